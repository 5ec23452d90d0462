"""How probable it is that the true values conform, fit by fit and all at once (JCGM 106)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fitsolver.metrology.conformity import error_interval, probability_between
from fitsolver.metrology.correct import assumed_expansion
from fitsolver.metrology.joint import joint_probability
from fitsolver.options import CylinderChoices
from fitsolver.records.job import Job
from fitsolver.records.plan import CylinderPlan, Fit, Plan
from fitsolver.selection import CylinderSelection, Selection

if TYPE_CHECKING:
    from fitsolver.metrology.sources import Error, Sources
    from fitsolver.metrology.uncertainty import FitErrors

Interval = tuple[float, float]


def with_odds(
    job: Job, states: Sequence[CylinderChoices], selection: Selection, plan: Plan
) -> Plan:
    """Return the plan with the probability of every fit, every cylinder and the whole.

    The stated windows count, without guard. Fits that measuring has no part in (side
    clearance, squish) are taken as the parts' own figures.
    """
    from fitsolver.metrology.sources import Sources

    sources = Sources()
    cylinders: list[CylinderPlan] = []
    every: list[tuple[Interval, Error]] = []
    for state, chosen, item in zip(states, selection.cylinders, plan.cylinders, strict=True):
        cylinder, own = _cylinder(job, state, chosen, item, sources)
        cylinders.append(cylinder)
        every += own
    return plan.model_copy(update={"cylinders": tuple(cylinders), "probability": _at_once(every)})


def _cylinder(
    job: Job,
    state: CylinderChoices,
    chosen: CylinderSelection,
    item: CylinderPlan,
    sources: Sources,
) -> tuple[CylinderPlan, list[tuple[Interval, Error]]]:
    from fitsolver.metrology.uncertainty import standard

    errors = _errors(job, state, chosen, sources)
    fits: list[Fit] = []
    bounded: list[tuple[Interval, Error]] = []
    for fit in item.fits:
        error = errors.get((fit.fit, fit.groove))
        if error is None or (fit.low is None and fit.high is None):
            fits.append(fit)
            continue
        interval = error_interval(fit.least, fit.most, fit.low, fit.high)
        u = standard(error)
        bounded.append((interval, error))
        fits.append(
            fit.model_copy(
                update={"uncertainty": u, "probability": probability_between(*interval, u)}
            )
        )
    changed = {"fits": tuple(fits), "probability": _at_once(bounded)}
    return item.model_copy(update=changed), bounded


def _errors(
    job: Job, state: CylinderChoices, chosen: CylinderSelection, sources: Sources
) -> FitErrors:
    from fitsolver.metrology.uncertainty import fit_errors

    candidate = chosen.option.piston.candidate
    return fit_errors(
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
    )


def _at_once(bounded: Sequence[tuple[Interval, Error]]) -> float | None:
    from fitsolver.metrology.uncertainty import covariance

    if not bounded:
        return None
    intervals = [interval for interval, _ in bounded]
    return joint_probability(intervals, covariance([error for _, error in bounded]))
