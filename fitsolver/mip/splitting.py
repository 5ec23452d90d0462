"""Modes split by enumerated columns, so that cuts on columns become rows of the instance.

Cutting planes have coefficients of whole columns. Each mode is split into parts whose columns all
have the same coefficients in the cuts; with the cuts as rows of its own, the instance keeps the
bound and the fixing, and the next level starts from both.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import accumulate
from typing import Final, NamedTuple

import numpy as np

from fitsolver.base.deadline import Clock
from fitsolver.mip.cutting_planes import CutBound, cut_bound
from fitsolver.mip.dual_bound import dual_bound
from fitsolver.mip.fixing import Subinstance, composed, fixed
from fitsolver.mip.instance import NEVER, Instance, Ints, slot_blocks
from fitsolver.mip.row_codes import RowCodes, SurvivorFilter, Survivors

#: Modes are not split when the number of comparisons or of parts exceeds these limits.
_MOST: Final = 5_000_000
_MOST_COMPARED: Final = 20_000_000
_MOST_SLOTS: Final = 1_000_000

_Span = tuple[int, int]


def optimal_face(
    sub: Subinstance, level: int, cut: CutBound, value: int, clock: Clock
) -> Subinstance:
    """Return the optimal face of a subinstance: its solutions of the optimal objective `value`.

    Where fixing by duals alone is not exact and leaves worse solutions, enumerated columns narrow
    it.
    """
    if sub.exact or clock.left == 0:
        return sub
    again = cut_bound(cut.within(value), value, value, clock)
    parts = split(sub.instance, level, again, value, clock)
    if parts is None:
        return sub
    dual = dual_bound(parts.sub.instance, level, parts.duals, parts.scale)
    return composed(composed(sub, parts.sub), fixed(dual, value))


class Split(NamedTuple):
    """A fully enumerated instance, and the duals that prove its bound."""

    sub: Subinstance
    duals: Ints
    scale: int


class _Group(NamedTuple):
    """Items of slots that begin at the same item, with equal coefficients in the distinguished
    rows.

    `least` is the least cost up to each of them.
    """

    code: int
    items: Sequence[int]
    least: Sequence[int]


class _Part(NamedTuple):
    """A group for some slots of a mode: the code of the coefficients, and the least cost."""

    code: int
    cost: int
    groups: tuple[int, ...]


#: The groups of every slot; any combination of them is allowed.
_Box = tuple[frozenset[int], ...]


class _Mode(NamedTuple):
    """A mode under construction: its item ranges, its original mode, and one of its columns."""

    job: int
    spans: tuple[_Span, ...]
    mode: int
    column: int


def split(instance: Instance, level: int, cut: CutBound, value: int, clock: Clock) -> Split | None:
    """Return the instance with split modes; only parts in a solution of objective `value` stay.

    `cut` has all columns of such solutions. None if splitting exceeds its limit, or the time ran
    out.
    """
    parts, modes, slots = _Parts(instance, level, cut, value), list[_Mode](), 0
    for mode, job in enumerate(instance.mode_job.tolist()):
        for each in parts.of_mode(mode, job):
            modes.append(each)
            slots += len(each.spans)
        if slots > _MOST_SLOTS or parts.too_much or clock.left == 0:
            return None
    # Modes that share slots side by side, the narrower first.
    modes.sort(key=lambda each: (each.job, [first for first, _ in each.spans[1:]], each.mode))
    return _made(instance, cut, modes, parts)


class _Parts:
    """`order` has the items in their new places; `looked` counts comparisons.

    `new` (rows, columns) are the coefficients of the columns in the rows that are new.
    """

    def __init__(self, instance: Instance, level: int, cut: CutBound, value: int) -> None:
        self.instance, self.costs = instance, instance.costs[:, level]
        self.bounds, self.first = instance.mode_slots.tolist(), instance.first.tolist()
        self.last = instance.last.tolist()
        self.mode_coefs = instance.mode_coefs.tolist()
        problem, unfixed = cut.problem, cut.unfixed(value)
        columns = [(column.job, coefs) for column, _, coefs in problem.only(unfixed).columns]
        self.codes = RowCodes(instance, problem.rows)
        self.survivors = SurvivorFilter(Survivors(problem.rows, columns), self.codes)
        self.column = {
            (job, self.codes.encoded(coefs)): at
            for (job, coefs), at in zip(columns, np.flatnonzero(unfixed).tolist(), strict=True)
        }
        # Largest cost of a column with the same coefficients, and of any column of a job.
        most = problem.cost + cut.spare(value) // cut.scale
        self.most = most.tolist()
        self.of_job = (-problem.least_of_jobs(-most)).tolist()
        # Columns of one kind have equal coefficients in the new rows.
        self.new = np.asarray(problem.coefs.tocsr()[cut.new_rows, :].toarray(), dtype=np.int64)
        self.kind = np.unique(self.new, axis=1, return_inverse=True)[1].tolist()
        self.groups = self._blocks()
        self.order: list[int] = []
        self.looked = 0
        self.runs: dict[tuple[int, frozenset[int]], tuple[int, list[int]]] = {}

    def of_mode(self, mode: int, job: int) -> Iterator[_Mode]:
        """Yield the parts of a mode."""
        slots = range(self.bounds[mode], self.bounds[mode + 1])
        boxes: dict[tuple[_Box, int], int] = {}
        for part in self._chosen(mode, job):
            column = self.column.get((job, part.code))
            if column is not None and part.cost <= self.most[column]:
                boxes[tuple(frozenset([at]) for at in part.groups), self.kind[column]] = column
        for at in range(len(slots)):
            boxes = _joined(boxes, at)
        for (box, _), column in boxes.items():
            spans = tuple(self._span(s, which) for s, which in zip(slots, box, strict=True))
            yield _Mode(job, spans, mode, column)

    def _chosen(self, mode: int, job: int) -> list[_Part]:
        """Return the group combinations that can occur in an enumerated column."""
        own = zip(self.instance.mode_rows.tolist(), self.mode_coefs[mode], strict=True)
        parts = [_Part(self.codes.encoded(own), 0, ())]
        offered = [self._offered(s) for s in range(self.bounds[mode], self.bounds[mode + 1])]
        least = [min((cost for _, cost, _ in some), default=NEVER) for some in offered]
        rest = sum(least)
        for some, here in zip(offered, least, strict=True):
            rest -= here
            most = self.of_job[job] - rest
            longer: list[_Part] = []
            for part in parts:
                self.looked += len(some)
                if self.too_much:
                    return []
                longer += [
                    _Part(key, part.cost + cost, (*part.groups, at))
                    for code, cost, at in some
                    if part.cost + cost <= most
                    and self.survivors.within(job, key := part.code + code)
                ]
            parts = longer
        return parts

    @property
    def too_much(self) -> bool:
        """Tell whether the work exceeds the limit of splitting."""
        return self.looked > _MOST or self.survivors.looked > _MOST_COMPARED

    def _offered(self, slot: int) -> list[tuple[int, int, int]]:
        """Return the groups of a slot: code, least cost, number."""
        last, found = self.last[slot], []
        for at, group in enumerate(self.groups[self.first[slot]]):
            count = bisect_left(group.items, last)
            if count:
                found.append((group.code, group.least[count - 1], at))
        return found

    def _span(self, slot: int, which: frozenset[int]) -> _Span:
        """Return the item range of some groups in a slot; equal ranges are shared."""
        first = self.first[slot]
        if (first, which) not in self.runs:
            groups = self.groups[first]
            items = sorted(item for at in which for item in groups[at].items)
            self.runs[first, which] = len(self.order), items
            self.order += items
        start, items = self.runs[first, which]
        return start, start + bisect_left(items, self.last[slot])

    def _blocks(self) -> dict[int, list[_Group]]:
        """Return the items of slots that begin alike, in groups, by where those slots begin."""
        instance, costs = self.instance, self.costs.tolist()
        begins, ends, _ = slot_blocks(instance.first, instance.last)
        found: dict[int, list[_Group]] = {}
        for begin, end in zip(begins.tolist(), ends.tolist(), strict=True):
            alike: dict[int, list[int]] = defaultdict(list)
            pairs = zip(
                instance.rows[begin:end].tolist(), instance.coefs[begin:end].tolist(), strict=True
            )
            for item, (rows, coefs) in enumerate(pairs, start=begin):
                alike[self.codes.encoded(zip(rows, coefs, strict=True))].append(item)
            found[begin] = [
                _Group(code, items, list(accumulate((costs[item] for item in items), min)))
                for code, items in alike.items()
            ]
        return found


def _joined(boxes: Mapping[tuple[_Box, int], int], at: int) -> dict[tuple[_Box, int], int]:
    """Return the parts after joining those of one kind that differ in a single slot."""
    alike: dict[tuple[_Box, _Box, int], list[frozenset[int]]] = defaultdict(list)
    columns: dict[tuple[_Box, _Box, int], int] = {}
    for (box, kind), column in boxes.items():
        key = box[:at], box[at + 1 :], kind
        alike[key].append(box[at])
        columns[key] = column
    return {
        ((*before, frozenset[int]().union(*some), *after), kind): columns[before, after, kind]
        for (before, after, kind), some in alike.items()
    }


def _made(instance: Instance, cut: CutBound, modes: Sequence[_Mode], parts: _Parts) -> Split:
    problem, rows = cut.problem, np.array(cut.problem.rows, dtype=np.int64)
    item_of = np.array(parts.order, dtype=np.int64)
    mode_of = np.array([each.mode for each in modes], dtype=np.int64)
    column = np.array([each.column for each in modes], dtype=np.int64)
    ranges = np.array([span for each in modes for span in each.spans], dtype=np.int64)
    own, new = np.flatnonzero(problem.units == 1), cut.new_rows
    duals = np.zeros(len(instance.capacity), dtype=np.int64)
    duals[rows[own]] = cut.duals[own]
    known = len(instance.capacity)
    wider = instance.with_rows(problem.capacity[new].tolist())
    made = replace(
        wider,
        mode_job=np.array([each.job for each in modes], dtype=np.int64),
        mode_slots=np.cumsum([0, *(len(each.spans) for each in modes)], dtype=np.int64),
        first=ranges[:, 0],
        last=ranges[:, 1],
        costs=wider.costs[item_of],
        rows=wider.rows[item_of],
        coefs=wider.coefs[item_of],
        mode_rows=np.append(instance.mode_rows, np.arange(known, known + len(new))),
        mode_coefs=np.column_stack([instance.mode_coefs[mode_of], parts.new.T[column]]),
        equality=np.append(instance.equality, problem.equality[new]),
    )
    return Split(
        Subinstance(made, False, item_of, mode_of), np.append(duals, cut.duals[new]), cut.scale
    )
