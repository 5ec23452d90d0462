"""An instance as one sparse model: a binary variable a mode and an item, joined by flow.

Modes of a job whose slots begin at the same item share the items from there, each mode up to its
own last item. One unit flows from the chosen mode to one item of each slot. It enters at the mode's
last item and is carried on, from wider to narrower modes, until an item takes it. Without the
instance's rows the model is therefore totally unimodular, and its relaxation as tight as the
Lagrangian bound.
"""

from __future__ import annotations

from collections import defaultdict
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitsolver.mip.highs import SparseModel
from fitsolver.mip.instance import Column, Instance, Ints, Solution


class FlowModel(NamedTuple):
    """Variables are modes, then items (`item` -1: flow carried on)."""

    instance: Instance
    item: Ints
    model: SparseModel

    def solution(self, ones: NDArray[np.bool_]) -> Solution:
        """Return the solution encoded by the variables at 1."""
        instance, modes = self.instance, len(self.instance.mode_job)
        chosen = np.sort(self.item[modes:][ones[modes:]])
        chosen = chosen[chosen >= 0]
        found = {}
        for mode in np.flatnonzero(ones[:modes]).tolist():
            items = []
            for slot in range(int(instance.mode_slots[mode]), int(instance.mode_slots[mode + 1])):
                first, last = int(instance.first[slot]), int(instance.last[slot])
                at = int(np.searchsorted(chosen, first))
                known = at < len(chosen) and chosen[at] < last
                items.append(int(chosen[at]) if known else first)
            job = int(instance.mode_job[mode])
            found[job] = Column(job, mode, tuple(items))
        return found


class _Maker:
    def __init__(self, instance: Instance, level: int) -> None:
        self.instance, self.level = instance, level
        self.cost = [0] * len(instance.mode_job)
        self.item = [-1] * len(instance.mode_job)
        self.entries: list[tuple[int, int, int]] = []
        self.low: list[float] = []
        self.high: list[float] = []
        self.costs = instance.costs[:, level].tolist()
        self.coefs = [
            tuple((r, c) for r, c in zip(rows, coefs, strict=True) if c)
            for rows, coefs in zip(instance.rows.tolist(), instance.coefs.tolist(), strict=True)
        ]
        #: By row of the instance: (variable, coefficient).
        self.terms: dict[int, list[tuple[int, int]]] = defaultdict(list)

    def row(self, low: float, high: float) -> int:
        self.low.append(low)
        self.high.append(high)
        return len(self.low) - 1

    def variable(self, cost: int, item: int) -> int:
        self.cost.append(cost)
        self.item.append(item)
        return len(self.cost) - 1

    def take(self, variable: int, item: int) -> None:
        for row, coef in self.coefs[item]:
            self.terms[row].append((variable, coef))

    def block(self, first: int, ends: dict[int, list[int]]) -> None:
        """Add the items that modes share; `ends` holds the modes by their last item."""
        best: dict[tuple[tuple[int, int], ...], int] = {}
        carried = None
        begin = first
        for last in sorted(ends):
            # Flow from the modes that end here and from wider modes goes to these items, or on.
            row = self.row(0.0, 0.0)
            self.entries += [(row, mode, 1) for mode in ends[last]]
            if carried is not None:
                self.entries.append((row, carried, -1))
            for item in range(begin, last):
                held = best.get(self.coefs[item])
                if held is not None and held <= self.costs[item]:
                    continue
                best[self.coefs[item]] = self.costs[item]
                variable = self.variable(self.costs[item], item)
                self.entries.append((row, variable, -1))
                self.take(variable, item)
            begin = last
            carried = self.variable(0, -1)
            self.entries.append((row, carried, 1))
        assert carried is not None
        self.entries.append((self.row(0.0, 0.0), carried, 1))


def flow_model(instance: Instance, level: int) -> FlowModel:
    """Return the model of an instance on one level."""
    made = _Maker(instance, level)
    blocks: dict[int, dict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
    bounds = instance.mode_slots.tolist()
    first, last = instance.first.tolist(), instance.last.tolist()
    rows = [made.row(1.0, 1.0) for _ in range(instance.jobs)]
    for at, row in enumerate(instance.mode_rows.tolist()):
        for mode in np.flatnonzero(instance.mode_coefs[:, at]).tolist():
            made.terms[row].append((mode, int(instance.mode_coefs[mode, at])))
    for mode, job in enumerate(instance.mode_job.tolist()):
        made.entries.append((rows[job], mode, 1))
        for slot in range(bounds[mode], bounds[mode + 1]):
            blocks[first[slot]][last[slot]].append(mode)
    for begin, ends in blocks.items():
        if len(ends) == 1 and next(iter(ends)) == begin + 1 and len(ends[begin + 1]) == 1:
            mode = ends[begin + 1][0]
            made.cost[mode] += made.costs[begin]
            made.take(mode, begin)
        else:
            made.block(begin, ends)
    limits = zip(instance.capacity.tolist(), instance.equality.tolist(), strict=True)
    for number, (most, equal) in enumerate(limits):
        row = made.row(float(most) if equal else -np.inf, float(most))
        made.entries += [(row, variable, coef) for variable, coef in made.terms.get(number, ())]
    entries = np.array(made.entries, dtype=np.int64).reshape(-1, 3)
    item = np.array(made.item, dtype=np.int64)
    integer = (item >= 0) | (np.arange(len(item)) < len(instance.mode_job))  # the rest follows
    model = SparseModel(
        np.array(made.cost, dtype=np.int64),
        integer.astype(np.int64),
        entries[:, 0],
        entries[:, 1],
        entries[:, 2],
        np.array(made.low),
        np.array(made.high),
    )
    return FlowModel(instance, item, model)
