"""Primal heuristics: an incumbent improved item by item, and by fix-and-optimise.

Fix-and-optimise: the columns at 1 in the relaxation are fixed, and a small model assigns the other
jobs within the remaining capacity; each neighbourhood frees more jobs (a relaxation-induced
neighbourhood: E. Danna, E. Rothberg and C. Le Pape, "Exploring relaxation induced neighborhoods to
improve MIP solutions", Mathematical Programming 102, 2005).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import inf
from random import Random
from typing import Final

import numpy as np

from fitsolver.base.deadline import Clock
from fitsolver.mip.fixing import Subinstance, lifted
from fitsolver.mip.flow_model import flow_model
from fitsolver.mip.highs import binary_solution
from fitsolver.mip.instance import (
    Column,
    Instance,
    Ints,
    Solution,
    activity,
    feasible,
    objective,
)

#: Number of additional jobs freed from one neighbourhood to the next.
_MORE: Final = (0, 8, 16, 32, 64, 128, 256, 512)
#: Seconds for one neighbourhood.
_LOOK: Final = 4.0
#: Most passes over all slots in search of a cheaper item.
_PASSES: Final = 3
#: Number of cheapest items tried in a slot.
_TRIED: Final = 8


def fix_and_optimise(
    instance: Instance,
    level: int,
    near: Mapping[int, Column],
    wanted: int,
    clock: Clock,
    seconds: float = inf,
) -> Solution | None:
    """Return the best solution found near the columns of some jobs; None if none is found.

    The search ends at a solution of objective `wanted` or less; after `seconds` it begins no
    neighbourhood.
    """
    best: Solution | None = None
    until = clock.gone + seconds
    for free in _neighbourhoods(instance, near):
        if clock.left == 0 or clock.gone > until:
            break
        base = near if best is None else best
        stay = [column for job, column in base.items() if job not in free]
        found = _optimised(instance, level, stay, clock)
        if found is None:
            continue
        if best is None or objective(instance, found, level) < objective(instance, best, level):
            best = found
        if objective(instance, best, level) <= wanted:
            break
    return best


def _neighbourhoods(instance: Instance, near: Mapping[int, Column]) -> Iterator[set[int]]:
    """Yield the sets of free jobs: the jobs without a given column, then more and more others."""
    dice = Random(0)
    fractional = set(range(instance.jobs)) - set(near)
    rest = sorted(near)
    for more in _MORE:
        yield fractional | set(dice.sample(rest, min(more, len(rest))))
        if more >= len(rest):
            return


def _optimised(instance: Instance, level: int, stay: list[Column], clock: Clock) -> Solution | None:
    """Return the best solution with some columns fixed at 1."""
    held = {column.job: column for column in stay}
    part = _without(instance, held)
    if (part.instance.capacity < 0).any():
        return None
    jobs = sorted(set(range(instance.jobs)) - set(held))
    if not jobs:
        return held if feasible(instance, held) else None
    flow = flow_model(part.instance, level)
    ones = binary_solution(flow.model, _LOOK, clock)
    found = None if ones is None else flow.solution(ones)
    if found is None or not feasible(part.instance, found):
        return None
    chosen = {jobs[at]: c._replace(job=jobs[at]) for at, c in lifted(found, part).items()}
    return dict(sorted({**held, **chosen}.items()))


def _without(instance: Instance, held: Mapping[int, Column]) -> Subinstance:
    """Return the instance of the free jobs, with the capacity that the fixed columns leave."""
    free = np.ones(instance.jobs, dtype=np.bool_)
    free[list(held)] = False
    mode_of = np.flatnonzero(free[instance.mode_job])
    lengths = np.diff(instance.mode_slots)
    slots = np.flatnonzero(free[instance.mode_job[instance.slot_mode]])
    first, last = instance.first[slots], instance.last[slots]
    item_of, before = _members(first, last, len(instance.costs))
    number = np.cumsum(free) - 1
    smaller = replace(
        instance,
        jobs=int(free.sum()),
        mode_job=number[instance.mode_job[mode_of]],
        mode_slots=np.append(0, np.cumsum(lengths[mode_of])),
        first=before[first],
        last=before[last],
        costs=instance.costs[item_of],
        rows=instance.rows[item_of],
        coefs=instance.coefs[item_of],
        mode_coefs=instance.mode_coefs[mode_of],
        capacity=instance.capacity - activity(instance, held.values()),
    )
    return Subinstance(smaller, False, item_of, mode_of)


def _members(first: Ints, last: Ints, items: int) -> tuple[Ints, Ints]:
    """Return the items that lie in any range, and for each item the number of them before it."""
    change = np.zeros(items + 1, dtype=np.int64)
    np.add.at(change, first, 1)
    np.add.at(change, last, -1)
    inside = np.cumsum(change)[:-1] > 0
    return np.flatnonzero(inside), np.append(0, np.cumsum(inside))


def improved(instance: Instance, incumbent: Mapping[int, Column], level: int) -> Solution:
    """Return a solution in the same modes that costs no more on the level (1-opt)."""
    work = _OneOpt(instance, incumbent, level)
    for _ in range(_PASSES):
        if not work.run():
            break
    return {job: Column(job, c.mode, tuple(work.items[job])) for job, c in incumbent.items()}


class _OneOpt:
    def __init__(self, instance: Instance, incumbent: Mapping[int, Column], level: int) -> None:
        self.instance, self.incumbent = instance, incumbent
        self.costs = instance.costs[:, level]
        slack = instance.capacity - activity(instance, incumbent.values())
        self.slack: Ints = np.append(slack, 0)
        self.equality = np.append(instance.equality, np.zeros(1, dtype=np.bool_))
        self.items = {job: list(column.items) for job, column in incumbent.items()}

    def run(self) -> bool:
        """Pass over all slots once; tell whether any slot changed its item."""
        better = False
        for job, column in self.incumbent.items():
            begin = int(self.instance.mode_slots[column.mode])
            for at, held in enumerate(self.items[job]):
                item = self._cheaper(begin + at, held)
                better |= item != held
                self.items[job][at] = item
        return better

    def _cheaper(self, slot: int, held: int) -> int:
        """Return the cheapest item tried that satisfies every row; otherwise the current item."""
        first, last = int(self.instance.first[slot]), int(self.instance.last[slot])
        saving = self.costs[held] - self.costs[first:last]
        at = np.flatnonzero(saving > 0)
        for item in (first + at[np.argsort(-saving[at], kind="stable")[:_TRIED]]).tolist():
            self._add(held, -1)
            self._add(item, 1)
            if self._kept(held) and self._kept(item):
                return int(item)
            self._add(item, -1)
            self._add(held, 1)
        return held

    def _kept(self, item: int) -> bool:
        """Tell whether the rows of an item are satisfied."""
        rows = self.instance.rows[item]
        slack = self.slack[rows]
        return bool((slack >= 0).all()) and not slack[self.equality[rows]].any()

    def _add(self, item: int, times: int) -> None:
        rows, coefs = self.instance.rows[item], self.instance.coefs[item]
        np.subtract.at(self.slack, rows, coefs.astype(np.int64) * times)
