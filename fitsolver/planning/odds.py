"""How probable it is that the true values conform, fit by fit and all at once (JCGM 106).

A machined bore keeps within the half-width of its route. For a bore left as it is, the readings
give the form: over the whole zone where they suffice, else at the places read
(`fitsolver.metrology.whole_bore`).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.choices.selection import CylinderSelection, Selection
from fitsolver.choices.types import CylinderChoices
from fitsolver.metrology.conformity import error_interval
from fitsolver.metrology.correct import assumed_expansion
from fitsolver.metrology.joint import joint_probability
from fitsolver.metrology.next_reading import next_reading
from fitsolver.metrology.sources import Sources, as_error
from fitsolver.metrology.whole_bore import odds_of, tried_here
from fitsolver.planning.aim import surer_aim
from fitsolver.records.job import Job
from fitsolver.records.plan import CylinderPlan, Fit, OddsOf, Plan
from fitsolver.records.windows import is_floor

if TYPE_CHECKING:
    from fitsolver.metrology.sources import Error
    from fitsolver.metrology.uncertainty import FitSpreads, TriedGap

Interval = tuple[float, float]
#: Decimals that equal jobs give equally.
_EQUAL_DIGITS: Final = 12


class Bounded(NamedTuple):
    """A fit: the conforming intervals of the errors of its ends, and their probability.

    One interval where both ends share one error.
    """

    ends: list[tuple[Interval, Error]]
    probability: float


def with_odds(
    job: Job, states: Sequence[CylinderChoices], selection: Selection, plan: Plan
) -> Plan:
    """Return the plan with the probability of every fit, every cylinder and the whole.

    The stated windows count, without guard. Fits without a measurement (side clearance, squish)
    follow from the parts' own figures.
    """
    sources = Sources()
    every = [
        cylinder_odds(job, state, chosen, item.fits, sources, item)
        for state, chosen, item in zip(states, selection.cylinders, plan.cylinders, strict=True)
    ]
    cylinders = [
        item.model_copy(update={**odds.record, "fits": odds.fits})
        for item, odds in zip(plan.cylinders, every, strict=True)
    ]
    probability, over = together(every)
    return plan.model_copy(
        update={"cylinders": tuple(cylinders), "probability": probability, "odds_of": over}
    )


class CylinderOdds(NamedTuple):
    """The odds of one cylinder: its `fits` with theirs, the other fields of its `record`.

    `bounded` are the errors with which they conform.
    """

    fits: tuple[Fit, ...]
    record: dict[str, object]
    bounded: list[Bounded]


def cylinder_odds(
    job: Job,
    state: CylinderChoices,
    chosen: CylinderSelection,
    fits: Sequence[Fit],
    sources: Sources,
    plan: CylinderPlan | None = None,
) -> CylinderOdds:
    """Return the odds of a cylinder's fits, their scope, and a better aim.

    The aim needs the plan and a machined bore. `sources` are those of the job: one object for all
    its cylinders.
    """
    over = "whole bore" if chosen.option.machined else odds_of(state.cylinder)
    spreads = _spreads(job, state, chosen, sources, over)
    bounded = _bounded(fits, spreads)
    probability = _at_once(bounded)
    found: dict[str, object] = {
        "probability": probability,
        "odds_of": None if probability is None else over,
    }
    if plan is not None and probability is not None and chosen.option.machined:
        found["surer"] = surer_aim(
            plan, fits, spreads, lambda moved: _at_once(_bounded(moved, spreads))
        )
    if plan is not None and plan.machined and not plan.restored:
        found["cut_everywhere"] = _cut_everywhere(job, state, plan)
    if probability is not None and not chosen.option.machined:
        found["next_reading"] = next_reading(job, state.cylinder)
        if over == "places read" and state.cylinder.zone is not None:
            whole = _spreads(job, state, chosen, Sources(), "whole bore")
            found["whole_probability"] = _at_once(_bounded(fits, whole))
    return CylinderOdds(tuple(_with_odds(fit, spreads) for fit in fits), found, bounded)


def together(every: Sequence[CylinderOdds]) -> tuple[float | None, OddsOf | None]:
    """Return the probability that all fits of all cylinders conform, and its scope."""
    probability = _at_once([one for odds in every for one in odds.bounded])
    if probability is None:
        return None, None
    places = any(odds.record["odds_of"] == "places read" for odds in every)
    return probability, "places read" if places else "whole bore"


def _cut_everywhere(job: Job, state: CylinderChoices, item: CylinderPlan) -> float | None:
    """Return the probability that the finished bore is clean everywhere.

    One gauge reads start and finish: the uncertainty is that of the present largest size plus the
    scatter of the finish reading. None where the zone is unknown, or the job states how far the
    bore may lie beyond its readings.
    """
    from fitsolver.metrology.spread import End, Spread
    from fitsolver.metrology.uncertainty import gauge_scatter, whole_of

    known = whole_of(job, state.cylinder)
    if known is None:
        return None
    once = Sources().normal("one reading", gauge_scatter(job, state.cylinder).once)
    end = End(as_error(once), known.sample.largest)
    spread = Spread(as_error(once), end, end, known.sample.weights)
    return spread.within(-inf, item.bore_low - known.read.high)


def _bounded(fits: Sequence[Fit], spreads: FitSpreads) -> list[Bounded]:
    """Return the fits that involve a measurement, with the permitted errors."""
    found: list[Bounded] = []
    for fit in fits:
        spread = spreads.get((fit.fit, fit.groove))
        if spread is not None and not (fit.low is None and fit.high is None):
            interval = _interval(fit)
            found.append(Bounded(spread.bounded(*interval), spread.within(*interval)))
    return found


def _interval(fit: Fit) -> Interval:
    """Return the errors with which a fit conforms; a difference is never below 0."""
    low = None if is_floor(fit.fit, fit.low) else fit.low
    return error_interval(fit.least, fit.most, low, fit.high)


def _with_odds(fit: Fit, spreads: FitSpreads) -> Fit:
    spread = spreads.get((fit.fit, fit.groove))
    if spread is None or (fit.low is None and fit.high is None):
        return fit
    interval = _interval(fit)
    sides = [high for high, edge in ((False, fit.low), (True, fit.high)) if edge is not None]
    return fit.model_copy(
        update={
            "uncertainty": max(spread.deviation(high=high) for high in sides),
            "beyond_low": spread.beyond(high=False),
            "beyond_high": spread.beyond(high=True),
            "probability": spread.within(*interval),
        }
    )


def _spreads(
    job: Job, state: CylinderChoices, chosen: CylinderSelection, sources: Sources, over: OddsOf
) -> FitSpreads:
    from fitsolver.metrology.uncertainty import fit_spreads

    candidate = chosen.option.piston.candidate
    return fit_spreads(
        job,
        state.cylinder,
        bore=chosen.high,
        piston=candidate.skirt.high,
        piston_measured=chosen.option.follows or candidate.skirt.known,
        piston_expansion=assumed_expansion(job, candidate.part.alloy),
        sources=sources,
        machined=chosen.option.machined,
        # The two blades of a measured gap are the ends of the fit's range already.
        gaps={groove: 0 if ring.candidate.piece else None for groove, ring in chosen.rings.items()},
        tried=_tried(state, chosen),
        over=over,
    )


def _tried(state: CylinderChoices, chosen: CylinderSelection) -> dict[int, TriedGap]:
    """Return the bore in which each measured ring's gap was measured, by groove.

    A ring filed afterwards no longer has its measured gap.
    """
    from fitsolver.metrology.uncertainty import TriedGap

    left = not chosen.option.machined
    return {
        groove: TriedGap(
            ring.candidate.gauge_diameter,
            left
            and not ring.filing(chosen.low)
            and tried_here(state.cylinder, ring.candidate.only_in, ring.candidate.gauge_diameter),
        )
        for groove, ring in chosen.rings.items()
        if ring.candidate.gap_measured
    }


def _at_once(bounded: Sequence[Bounded]) -> float | None:
    """Return the probability that all fits conform at once.

    The two ends of one fit are taken as jointly normal, scaled to the known joint probability.
    """
    if not bounded:
        return None
    together = _joint([end for fit in bounded for end in fit.ends])
    for fit in bounded:
        both = _joint(fit.ends) if len(fit.ends) > 1 else 0.0
        together *= fit.probability / both if both else 1.0
    # The last digits depend on the order of summation of the error components.
    together = round(together, _EQUAL_DIGITS)
    return min(together, *(fit.probability for fit in bounded), 1.0)


def _joint(ends: Sequence[tuple[Interval, Error]]) -> float:
    from fitsolver.metrology.uncertainty import covariance

    intervals = [interval for interval, _ in ends]
    return joint_probability(intervals, covariance([error for _, error in ends]))
