"""Reduced-cost fixing: modes and items are fixed to 0 if no solution as good as the incumbent has
them.

Where an incumbent lies `gap` above the Lagrangian value, no better solution holds a column whose
reduced cost is above the gap; and no row with a dual above it has any slack (Dantzig, Fulkerson and
Johnson 1954; Nemhauser and Wolsey 1988, II.1.6).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitsolver.mip.dual_bound import DualBound, Pricing
from fitsolver.mip.instance import NEVER, Column, Flags, Instance, Ints, SmallInts, slot_blocks

#: Slot items are processed in chunks of this size.
_PIECE: Final = 1 << 20


class Subinstance(NamedTuple):
    """The instance after fixing; `item_of` and `mode_of` give the original items and modes.

    `exact`: every solution of it is as good as the incumbent; without it some may be worse.
    """

    instance: Instance
    exact: bool
    item_of: Ints
    mode_of: Ints

    @property
    def slots(self) -> int:
        """The number of slots."""
        return len(self.instance.first)


def fixed(dual: DualBound, value: int) -> Subinstance:
    """Return the instance without the modes and items that no solution of objective `value` or less
    has.

    A mode is fixed to 0 where its reduced cost is above the gap, an item in a slot where it adds
    more to the reduced cost of the mode than the gap leaves. A unit of slack in a row costs its
    dual: where that is above the gap, the row becomes an equality.
    """
    priced, duals, gap, step = dual.priced, dual.duals, dual.gap(value), dual.scale * dual.step
    instance = priced.instance
    spare = gap + priced.job[instance.mode_job] - priced.mode
    alive = spare >= 0
    slot_mode = instance.slot_mode
    most = priced.slot + spare[slot_mode]  # what an item in that slot may come to
    slots = np.flatnonzero(alive[slot_mode])
    item_of, first, last = _shared(priced, slots, most[slots])
    mode_of = np.flatnonzero(alive)
    equality = instance.equality | (np.abs(duals) > gap)
    slack = int(np.abs(duals[~equality]) @ instance.capacity[~equality])
    exact = gap == 0 or _all_below(priced, alive, slots, most[slots], gap + step - slack)
    if exact:
        own = sum(int(kept.sum()) for _, kept, _ in _pairs(priced, slots, most[slots]))
        if int((last - first).sum()) > own:
            item_of, first, last = _own(priced, slots, most[slots])
    smaller = replace(
        instance,
        mode_job=instance.mode_job[mode_of],
        mode_slots=np.append(0, np.cumsum(np.diff(instance.mode_slots)[mode_of])),
        first=first,
        last=last,
        costs=_of(instance.costs, item_of),
        rows=_of(instance.rows, item_of),
        coefs=_of(instance.coefs, item_of),
        mode_coefs=instance.mode_coefs[mode_of],
        equality=equality,
    )
    return Subinstance(smaller, exact, item_of, mode_of)


def _all_below(
    priced: Pricing, alive: Flags, slots: Ints, most: NDArray[np.float64] | Ints, room: int
) -> bool:
    """Tell whether every solution left has a reduced cost below `room`."""
    instance = priced.instance
    mode = np.asarray(priced.mode - priced.job[instance.mode_job], dtype=np.int64)
    if _most_of_all(instance, mode, alive) >= room:
        return False
    slot_mode, at = instance.slot_mode[slots], 0
    for items, kept, starts in _pairs(priced, slots, most):
        some = slots[at : at + len(starts)]
        dearest = np.maximum.reduceat(np.where(kept, priced.item[items], -NEVER), starts)
        np.add.at(mode, slot_mode[at : at + len(starts)], dearest - priced.slot[some])
        at += len(starts)
    return _most_of_all(instance, mode, alive) < room


def _most_of_all(instance: Instance, mode: Ints, alive: Flags) -> int:
    """Return the sum over the jobs of the largest reduced cost among their unfixed modes."""
    job = np.zeros(instance.jobs, dtype=np.int64)
    np.maximum.at(job, instance.mode_job[alive], mode[alive])
    return int(job.sum())


def _of(figures: SmallInts, item_of: Ints) -> SmallInts:
    """Return the figures of the items left: the same array where all are."""
    every = len(item_of) == len(figures) and bool((item_of == np.arange(len(figures))).all())
    return figures if every else figures[item_of]


def _pairs(
    priced: Pricing, slots: Ints, most: NDArray[np.float64] | Ints
) -> Iterator[tuple[Ints, Flags, Ints]]:
    """Yield the items of slots, a mask of the items kept, and the start of each slot.

    They come in chunks: all slots together may have tens of millions.
    """
    instance = priced.instance
    first, lengths = instance.first[slots], instance.last[slots] - instance.first[slots]
    cuts = np.searchsorted(np.cumsum(lengths), np.arange(_PIECE, int(lengths.sum()), _PIECE))
    for part in np.split(np.arange(len(slots)), np.unique(cuts)):
        if not len(part):
            continue
        starts = np.cumsum(lengths[part]) - lengths[part]
        items = np.arange(int(lengths[part].sum()))
        items += np.repeat(first[part] - starts, lengths[part])
        yield items, priced.item[items] <= np.repeat(most[part], lengths[part]), starts


def _own(priced: Pricing, slots: Ints, most: NDArray[np.float64] | Ints) -> tuple[Ints, Ints, Ints]:
    """Return items and ranges where every slot keeps its own."""
    found = [
        (items[kept], np.add.reduceat(kept.astype(np.int64), starts))
        for items, kept, starts in _pairs(priced, slots, most)
    ]
    counts = np.concatenate([count for _, count in found])
    last = np.cumsum(counts)
    return np.concatenate([items for items, _ in found]), last - counts, last


def _shared(
    priced: Pricing, slots: Ints, most: NDArray[np.float64] | Ints
) -> tuple[Ints, Ints, Ints]:
    """Return items and ranges; slots that begin at the same item share every item that one of them
    keeps.

    Some items stay that could be fixed; in return shared ranges stay shared, and the instance
    small.
    """
    instance = priced.instance
    first, last = instance.first[slots], instance.last[slots]
    ranks, rank = np.unique(most, return_inverse=True)
    # The limit of an item is the largest among the slots that reach it: a running maximum from the
    # last item down.
    begins, ends, block = slot_blocks(first, last)
    reach = np.full(len(instance.costs), -1, dtype=np.int64)
    np.maximum.at(reach, last - 1, rank)
    lengths = ends - begins
    starts = np.cumsum(lengths) - lengths
    at = np.arange(int(lengths.sum())) - np.repeat(starts - begins, lengths)
    step = np.repeat(np.arange(len(begins))[::-1], lengths)  # no block reaches into the one before
    high = np.maximum.accumulate((reach[at] + step * (len(ranks) + 1))[::-1])[::-1]
    high = high - step * (len(ranks) + 1)
    kept = priced.item[at] <= ranks[high]
    before = np.append(0, np.cumsum(kept))
    position = starts[block]
    return at[kept], before[position], before[position + last - first]


def projected(columns: Iterable[Column], sub: Subinstance) -> list[Column]:
    """Return columns in terms of the subinstance; fixed columns are left out."""
    modes: dict[int, list[int]] = defaultdict(list)
    for index, mode in enumerate(sub.mode_of.tolist()):
        modes[mode].append(index)
    found = []
    for column in columns:
        moved = (_moved(column, sub, mode) for mode in modes.get(column.mode, ()))
        found += [each for each in moved if each is not None][:1]
    return found


def _moved(column: Column, sub: Subinstance, mode: int) -> Column | None:
    instance, items = sub.instance, []
    begin = int(instance.mode_slots[mode])
    for slot, item in enumerate(column.items, start=begin):
        first, last = int(instance.first[slot]), int(instance.last[slot])
        at = int(np.searchsorted(sub.item_of[first:last], item)) + first
        if at >= last or sub.item_of[at] != item:
            return None
        items.append(at)
    return Column(column.job, mode, tuple(items))


def lifted(solution: dict[int, Column], sub: Subinstance) -> dict[int, Column]:
    """Return a solution of the subinstance in terms of the instance."""
    return {
        job: Column(job, int(sub.mode_of[c.mode]), tuple(int(sub.item_of[i]) for i in c.items))
        for job, c in solution.items()
    }


def composed(outer: Subinstance, inner: Subinstance) -> Subinstance:
    """Return a subinstance of a subinstance in terms of the instance."""
    return inner._replace(
        item_of=outer.item_of[inner.item_of], mode_of=outer.mode_of[inner.mode_of]
    )
