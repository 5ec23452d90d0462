"""Refusals caused by the gauge, not by a part: the guard bands leave no room."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from fitsolver.base.lengths import Unit, format_length
from fitsolver.metrology.measured import Measured
from fitsolver.metrology.measuring import cylinder_spreads, error_key, guarded
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import NoFit, Reason
from fitsolver.records.rules import RULE_OF
from fitsolver.records.windows import Window, place_words
from fitsolver.solving.possible import possible
from fitsolver.solving.problem import problem

_STEPS = 100  # the sufficient uncertainty is rounded to a percent of the present one


def with_gauge(no_fit: NoFit, job: Measured, catalogue: Catalogue) -> NoFit:
    """Return why nothing fits, led by the gauge where there is a plan without its guards."""
    found = gauge(job, catalogue)
    if found is None:
        return no_fit
    return no_fit.model_copy(
        update={
            "reasons": (*found.reasons, *no_fit.reasons),
            "ways_left": (
                f"the {found.blamed}, not the part, is what fails: {found.way}",
                *no_fit.ways_left,
            ),
        }
    )


@dataclass(frozen=True, slots=True)
class GaugeFails:
    """Windows that their guards close; `by` is the percentage of uncertainty to get rid of.

    `blamed`: the gauge, and what lies between the readings where all bores are left or restored.
    """

    reasons: tuple[Reason, ...]
    way: str
    by: int
    blamed: str


def gauge(job: Measured, catalogue: Catalogue) -> GaugeFails | None:
    """Return what a better gauge would achieve; None where no plan exists without guards either."""
    if not job.guarded:
        return None
    task = problem(job.stated, catalogue)
    if not possible(task):
        return None
    left = not any(
        route.route.machined and route.route.restored_bore is None and not route.refusals
        for state in task.cylinders
        for route in state.routes
    )
    share = _largest_share(job.stated, catalogue)
    reasons = tuple(_reason(job.job, cylinder) for cylinder in job.job.cylinders)
    return GaugeFails(
        tuple(item for item in reasons if item is not None),
        f"measured with {_percent(share)} of the uncertainty there is a plan "
        f"({_needed(job.job, catalogue, share, left=left)})",
        _STEPS - int(share * _STEPS),
        "gauge and what lies between the readings" if left and _read(job.job) else "gauge",
    )


def _read(job: Job) -> bool:
    """Tell whether what lies between the readings of some bore is part of its guards."""
    return any(cylinder.readings and not cylinder.form_allowance for cylinder in job.cylinders)


def _largest_share(stated: Job, catalogue: Catalogue) -> Fraction:
    """Return the largest share of the uncertainty (in hundredths) that leaves a plan."""
    good, bad = 0, _STEPS
    while bad - good > 1:
        middle = (good + bad) // 2
        if possible(problem(guarded(stated, catalogue, share=Fraction(middle, _STEPS)), catalogue)):
            good = middle
        else:
            bad = middle
    return Fraction(good, _STEPS)


def _percent(share: Fraction) -> str:
    return f"at most {float(share):.0%}"


def _needed(job: Job, catalogue: Catalogue, share: Fraction, *, left: bool) -> str:
    """Return the standard uncertainty of the clearance that suffices, and the present one."""
    from fitsolver.metrology.sources import Sources

    cylinder = job.cylinders[0]
    spreads = cylinder_spreads(
        job, cylinder, Sources(), catalogue, machined=False if left else None
    )
    u = spreads["clearance", None].deviation(high=True)
    return (
        f"clearance of cylinder {cylinder.name}: a standard uncertainty of "
        f"{_say(int(u * share), job.unit)} instead of {_say(round(u), job.unit)}"
    )


def _reason(job: Job, cylinder: Cylinder) -> Reason | None:
    """Return the window that its guard narrows most, where it leaves less than half of it."""
    worst: tuple[Fraction, Window, int] | None = None
    for window in job.windows_for(cylinder):
        low, high = window.stated(max((r.size for r in cylinder.readings), default=0))
        if low is None or high is None or high == low:
            continue
        used = Fraction(2 * window.guard, high - low)
        if worst is None or used > worst[0]:
            worst = used, window, high - low
    if worst is None or 2 * worst[0] < 1:
        return None
    _, window, width = worst
    left = format_length(max(0, width - 2 * window.guard), job.unit, "down", symbol=True)
    fit, groove = error_key(window)
    name = place_words(fit, groove or None)
    return Reason(
        rule=RULE_OF[window.fit],
        cylinder=cylinder.name,
        sentence=(
            f"{left} is left of the {name} window of {_say(width, job.unit)}, with "
            f"the measuring allowance of {_say(window.guard, job.unit)} on each side"
        ),
    )


def _say(ticks: int, unit: Unit) -> str:
    return format_length(ticks, unit, symbol=True, places=4 if unit == "mm" else None)
