"""A second aim for a machined bore: a finish above the least, where the odds are better.

The least finish cuts least. Where the lowest clearance sets it, the true clearance lies below that
value as often as above. With d more on the diameter every clearance grows by d, every end gap by pi
d, and every ring stands d less over its bore; the measurement uncertainty stays the same. A filed
gap is filed to its lowest value in any bore, so no aim changes it.
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

#: Target probability of every fit (own choice).
SURE: Final = 0.95
#: The least gain that makes another aim worthwhile (own choice).
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
    """Return the least aim with every fit at 95 %, else the max-min aim; None: no gain.

    `probability_of` returns the joint probability that fits conform. The max-min aim has the
    highest probability of the weakest fit. Fits are those of the plan.
    """
    clearance = next(fit for fit in fits if fit.fit == "clearance")
    if clearance.low is None:
        return None

    def weakest(steps: int) -> float:
        return min((_likely(fit, spreads) for fit in _moved(fits, steps * _STEP)), default=1.0)

    now = weakest(0)
    # The minimum probability rises, then falls.
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
