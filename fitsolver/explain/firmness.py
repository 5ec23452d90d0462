"""How firm a pick is, held against how sure its readings are."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fitsolver.base.deadline import Clock
from fitsolver.explain.firm import firm_margins, pick_of
from fitsolver.metrology.correct import assumed_expansion
from fitsolver.metrology.form import extremes
from fitsolver.metrology.measured import Measured
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.firm import FirmAnswer, Margin
from fitsolver.records.heading import head_like
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import Answer, CylinderPlan, Plan

#: Standard uncertainties that a margin must reach: about 95 % (JCGM 100:2008, 6.3).
COVERAGE: Final = 2
_NOT_ALL: Final = (
    "The time was over before every figure was followed: those found by then are shown, and one "
    "that is not may change the pick sooner."
)
_NO_INSTRUMENTS: Final = (
    "The job does not say with which instruments it was measured, so whether a margin is smaller "
    "than the measuring uncertainty cannot be told: see [measuring] in the job file."
)


def firmness(
    ready: Measured, catalogue: Catalogue, answer: Answer, clock: Clock | None = None
) -> FirmAnswer:
    """Return how firm the plan of an answer is; `ready` is the job it was decided from.

    The clock is told which figure is followed. When its time is over, the answer has the margins
    found by then, and a caution says so.

    Without a plan that is proven best there is nothing to compare with, and no margins.
    """
    found = FirmAnswer(
        **head_like(answer),
        status=answer.status,
    )
    if answer.plan is None or answer.status != "proven best":
        return found
    now = pick_of(ready.job, catalogue)
    margins, whole = firm_margins(ready.job, catalogue, answer.plan, now, clock or Clock())
    cautions = [] if whole else [_NOT_ALL]
    if _measured_with(ready.job):
        margins = tuple(_judged(ready.job, catalogue, answer.plan, item) for item in margins)
    else:
        cautions.append(_NO_INSTRUMENTS)
    return found.model_copy(
        update={"picked": now or (), "margins": margins, "cautions": tuple(cautions)}
    )


def _measured_with(job: Job) -> bool:
    return job.measuring is not None and bool(job.measuring.instruments)


def _judged(job: Job, catalogue: Catalogue, plan: Plan, margin: Margin) -> Margin:
    """Return the margin of a measured figure with its uncertainty; others as they are."""
    found = list(_uncertainties(job, catalogue, plan, margin))
    if not found:
        return margin
    u = max(found)
    again = margin.margin is not None and margin.margin < COVERAGE * u
    return margin.model_copy(update={"uncertainty": u, "measure_again": again})


def _uncertainties(job: Job, catalogue: Catalogue, plan: Plan, margin: Margin) -> Iterator[float]:
    alloys = {part.number: part.alloy for part in catalogue.pistons}
    for cylinder, item in zip(job.cylinders, plan.cylinders, strict=True):
        if item.cylinder not in margin.cylinders:
            continue
        expansion = assumed_expansion(job, alloys[item.piston.number])
        if margin.what == "largest reading" and cylinder.readings:
            yield _standard(job, cylinder, item, expansion)[0]
        elif margin.what == "skirt tolerance" and item.piston.piece and item.skirt.known:
            yield _standard(job, cylinder, item, expansion)[1]


def _standard(
    job: Job, cylinder: Cylinder, item: CylinderPlan, expansion: int
) -> tuple[float, float]:
    """Return the standard uncertainties of the largest reading and of a measured skirt (ticks)."""
    from fitsolver.metrology.sources import Sources, standard
    from fitsolver.metrology.uncertainty import errors_of, fit_spreads

    spreads = fit_spreads(
        job,
        cylinder,
        bore=extremes(cylinder)[1],
        piston=item.skirt.high,
        piston_measured=True,
        piston_expansion=expansion,
        sources=Sources(),
        gaps={0: None},
        over=None,
    )
    errors = errors_of(spreads)
    # The error of ring over bore is that of the bore with the sign turned; with that of the
    # clearance, bore less piston, it leaves the piston's.
    bore = errors["ring_seat", 0]
    return standard(bore), standard(errors["clearance", None] + bore)
