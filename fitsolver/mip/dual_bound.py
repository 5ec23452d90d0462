"""Lagrangian relaxation of the rows: pricing by duals, and the exact lower bound that duals prove.

With the rows priced into the objective, each job by itself takes its cheapest mode with the
cheapest item in every slot. For any duals (0 or more on inequality rows) the sum over the jobs less
the duals' value of the capacity is a lower bound; with integer duals it is exact.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitsolver.mip.instance import (
    NEVER,
    Column,
    Flags,
    Instance,
    Ints,
    step_of,
)

#: Limits of the scale by which duals are multiplied before they are rounded. The first choice is
#: the least scale up to the first limit that makes all duals integers: nothing is lost. Otherwise
#: the scale is a power of 2, with the second limit as exponent (a row that holds a level has
#: coefficients of millions). The scale is lower where sums would exceed the third limit, in bits.
_FRACTIONS: Final = 2520
_FINEST: Final = 30
_BITS: Final = 52
#: The largest sum that fits 64 bits at the largest scale.
_MOST: Final = 2.0**63 / (2 * max(_FRACTIONS, 1))
#: Relative tolerance within which a scaled dual counts as an integer.
_EXACT: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Pricing:
    """The pricing problem solved: the Lagrangian cost (scaled) of each item, and the least of
    each slot, mode and job.

    The reduced cost of a mode is `mode[m] - job[mode_job[m]]`.
    """

    instance: Instance
    item: NDArray[np.float64] | Ints
    slot: NDArray[np.float64] | Ints
    mode: NDArray[np.float64] | Ints
    job: NDArray[np.float64] | Ints


def pricing(
    instance: Instance, costs: NDArray[np.float64] | Ints, duals: NDArray[np.float64] | Ints
) -> Pricing:
    """Return the pricing problem of costs (items) and duals (rows), solved."""
    padded = np.append(duals, np.zeros(1, dtype=duals.dtype))
    item = costs + (padded[instance.rows] * instance.coefs).sum(axis=1)
    slot = least_of_ranges(item, instance.first, instance.last)
    own = instance.mode_coefs @ duals[instance.mode_rows]
    mode = np.add.reduceat(slot, instance.mode_slots[:-1]) + own
    return Pricing(instance, item, slot, mode, instance.least_of_modes(mode))


def least_of_ranges(
    item: NDArray[np.float64] | Ints, first: Ints, last: Ints
) -> NDArray[np.float64] | Ints:
    """Return the least item of every range; ranges may begin alike."""
    edges = np.empty(2 * len(first), dtype=np.int64)
    edges[0::2], edges[1::2] = first, last
    closed = np.append(item, item.dtype.type(NEVER))  # so that a range may end at the last item
    return np.minimum.reduceat(closed, edges)[0::2]


def cheapest_columns(priced: Pricing) -> list[Column]:
    """Return the column of least reduced cost of every job, the first of equals."""
    instance = priced.instance
    modes = np.flatnonzero(priced.mode == priced.job[instance.mode_job])
    _, at = np.unique(instance.mode_job[modes], return_index=True)
    return [_cheapest(priced, int(mode)) for mode in modes[at]]


def _cheapest(priced: Pricing, mode: int) -> Column:
    instance = priced.instance
    items = tuple(
        int(
            instance.first[slot]
            + np.argmin(priced.item[instance.first[slot] : instance.last[slot]])
        )
        for slot in range(int(instance.mode_slots[mode]), int(instance.mode_slots[mode + 1]))
    )
    return Column(int(instance.mode_job[mode]), mode, items)


class DualBound(NamedTuple):
    """Integer duals (times `scale`), the lower bound that they prove, and the pricing by them.

    `scaled` is the Lagrangian value times `scale`; every objective value is a multiple of `step`,
    so `bound` is the Lagrangian value rounded up to one.
    """

    bound: int
    scaled: int
    scale: int
    step: int
    duals: Ints
    priced: Pricing

    def stepped(self, bound: int) -> int:
        """Return a bound raised to the next multiple of the step."""
        return -(-bound // self.step) * self.step

    def gap(self, value: int) -> int:
        """Return how far an objective value is above the Lagrangian value (scaled)."""
        return value * self.scale - self.scaled


def dual_bound(instance: Instance, level: int, duals: Ints, scale: int) -> DualBound:
    """Return the lower bound on a level that integer duals (multiplied by `scale`) prove."""
    costs = instance.costs[:, level].astype(np.int64)
    priced = pricing(instance, costs * scale, duals)
    scaled = int(priced.job.sum()) - int(duals @ instance.capacity)
    step = step_of(costs)
    bound = -(-scaled // (scale * step)) * step
    return DualBound(bound, scaled, scale, step, duals, priced)


def best_dual_bound(instance: Instance, level: int, duals: NDArray[np.float64]) -> DualBound:
    """Return the best bound that duals in floating point prove once they are integers."""
    duals, largest = with_room(duals, lambda some: _largest(instance, level, some))
    fine = fine_scale(largest, _BITS)
    return max(
        (
            dual_bound(instance, level, *some)
            for some in integer_duals(duals, instance.equality, fine)
        ),
        key=lambda found: (found.bound, -found.gap(found.bound) / found.scale),
    )


def _largest(instance: Instance, level: int, duals: NDArray[np.float64]) -> float:
    """Return an upper limit of every sum over jobs or rows."""
    sizes = np.abs(duals)
    padded = np.append(sizes, 0.0)
    item = instance.costs[:, level] + (padded[instance.rows] * np.abs(instance.coefs)).sum(axis=1)
    slots = int(np.diff(instance.mode_slots).max())
    own = np.abs(instance.mode_coefs) @ sizes[instance.mode_rows]
    column = float(item.max()) * slots + float(own.max(initial=0.0))
    return column * instance.jobs + float(sizes @ np.abs(instance.capacity))


def fine_scale(largest: float, bits: int) -> int:
    """Return the power of 2 by which duals are scaled: `largest` times it still fits the given
    bits.
    """
    return 1 << max(0, min(_FINEST, bits - int(np.ceil(np.log2(max(1.0, largest))))))


def integer_duals(
    duals: NDArray[np.float64], equality: Flags, fine: int
) -> Iterator[tuple[Ints, int]]:
    """Yield duals as integers with their scale: exactly, where they are simple fractions."""
    scale = common_denominator(duals, _FRACTIONS)
    if scale is not None:
        yield _rounded(duals, equality, scale), scale
    yield _rounded(duals, equality, fine), fine


def common_denominator(figures: NDArray[np.float64], most: int) -> int | None:
    """Return the least number up to `most` that makes all figures integers, if there is one."""
    for scale in range(1, most + 1):
        if np.abs(figures * scale - np.rint(figures * scale)).max(initial=0.0) < _EXACT * scale:
            return scale
    return None


def with_room(
    duals: NDArray[np.float64], largest: Callable[[NDArray[np.float64]], float]
) -> tuple[NDArray[np.float64], float]:
    """Return the duals that still fit 64 bits once scaled, and their `largest` sum.

    A dual that is NaN or too large becomes 0. Where the sums are too large, all duals become 0:
    zeros prove a bound too.
    """
    held = np.isfinite(duals) & (np.abs(duals) <= _MOST)
    duals = np.where(held, duals, 0.0)
    most = largest(duals)
    if most > _MOST:
        duals = np.zeros_like(duals)
        most = largest(duals)
    return duals, max(most, np.abs(duals).max(initial=0.0))  # a row may have nothing in it


def _rounded(duals: NDArray[np.float64], equality: Flags, scale: int) -> Ints:
    whole = np.rint(duals * scale).astype(np.int64)
    return np.where(equality, whole, np.maximum(whole, 0))
