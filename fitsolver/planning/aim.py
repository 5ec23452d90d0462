"""A second aim for a machined bore: a finish above the least, where the odds are better.

The least finish cuts least, and where the lowest clearance sets it the true clearance is as
often below that as above. With d more on the diameter every clearance grows by d, every end gap
by pi d, and every ring stands d less over its bore; what measuring leaves open stays the same. A
gap that is filed is filed to its lowest value in any bore: no aim changes that.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from math import pi
from typing import TYPE_CHECKING, Final

from fitsolver.metrology.conformity import error_interval
from fitsolver.records.plan import Aim, CylinderPlan, Fit

if TYPE_CHECKING:
    from fitsolver.metrology.uncertainty import FitSpreads

#: Every fit is wanted as likely as this (own choice).
SURE: Final = 0.95
#: Less than this is no better aim (own choice).
_WORTH: Final = 0.01
#: Aims are told in whole micrometres (ticks).
_STEP: Final = 100
#: Standard uncertainties beyond which an aim gains nothing.
_FAR: Final = 4
_GROWS: Final[dict[str, float]] = {"clearance": 1, "end_gap": pi, "ring_seat": -1}


def surer_aim(
    item: CylinderPlan,
    fits: Sequence[Fit],
    spreads: FitSpreads,
    probability_of: Callable[[Sequence[Fit]], float | None],
) -> Aim | None:
    """Return the least aim at which every fit is 95 % likely, else that at which the weakest is
    most likely; None where it would bring nothing.

    `probability_of` is that of fits conforming at once. Fits are those of the plan.
    """
    clearance = next(fit for fit in fits if fit.fit == "clearance")
    if clearance.low is None:
        return None

    def weakest(steps: int) -> float:
        return min((_likely(fit, spreads) for fit in _moved(fits, steps * _STEP)), default=1.0)

    now = weakest(0)
    # The weakest fit grows likelier, and then less so.
    most = range(_room(item, spreads) // _STEP)
    best = bisect_left(most, True, key=lambda steps: weakest(steps + 1) <= weakest(steps))
    if now >= SURE or weakest(best) < now + _WORTH:
        return None
    more = _STEP * bisect_left(range(best), True, key=lambda steps: weakest(steps) >= SURE)
    here, there = (probability_of(_moved(fits, by)) or 0.0 for by in (0, more))
    if there < here + _WORTH:
        return None
    return Aim(more=more, aim=clearance.least - clearance.low + more, probability=there)


def _room(item: CylinderPlan, spreads: FitSpreads) -> int:
    """Return how much more the finish may be (ticks)."""
    far = round(_FAR * spreads["clearance", None].deviation(high=False))
    rooms = [far]
    if item.highest is not None:
        rooms.append(item.highest - item.finish_large)
    if item.highest_small is not None:
        rooms.append(item.highest_small - item.finish_small)
    return max(0, min(rooms))


def _moved(fits: Sequence[Fit], more: int) -> list[Fit]:
    return [
        fit.model_copy(update={"least": fit.least + by, "most": fit.most + by})
        for fit in fits
        for by in [0 if fit.filed else round(_GROWS.get(fit.fit, 0) * more)]
    ]


def _likely(fit: Fit, spreads: FitSpreads) -> float:
    spread = spreads.get((fit.fit, fit.groove))
    if spread is None or fit.filed or (fit.low is None and fit.high is None):
        return 1.0
    return spread.within(*error_interval(fit.least, fit.most, fit.low, fit.high))
