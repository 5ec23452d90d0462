"""Some jobs of an instance with their days as one CP-SAT model.

A mode and an item are a binary variable each; the items of a slot that are so many pieces of one
thing are one integer variable. Slots that begin alike share their items: those up to
some last item are taken as often as the modes are whose slots end there or before. Of each job it
is asked, time by time, whether it takes so long; a piece that is ordered asks for its time, and
one that is not comes from the row's capacity.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Final, NamedTuple

import numpy as np
from ortools.sat.python import cp_model

from fitsolver.mip.instance import Column, Flags, Instance, Ints, SmallInts, Solution
from fitsolver.mip.timing import Timing

Terms = list[tuple[int, cp_model.IntVar]]
#: Below every number of days.
_NOW: Final = -1


class Taken(NamedTuple):
    """How many pieces a job takes of a row that it could wait for."""

    job: int
    row: int
    pieces: cp_model.IntVar


class Pieces(NamedTuple):
    """Items of a slot, each as far from the one before in all its figures: which one is taken is
    told by `which`, from 0; none is, where none of `modes` is.
    """

    items: range
    modes: Sequence[cp_model.IntVar]
    which: cp_model.IntVar


def total(terms: Iterable[tuple[int, cp_model.IntVar]]) -> cp_model.LinearExpr:
    """Return the weighted sum of variables."""
    some = list(terms)
    if not some:
        return cp_model.LinearExpr.constant(0)
    return cp_model.LinearExpr.weighted_sum([v for _, v in some], [c for c, _ in some])


class TimedModel:
    """`cp` is the model, `days` the terms of the days of all jobs; `taken` what is not ordered."""

    def __init__(
        self, instance: Instance, timing: Timing, jobs: Sequence[int], most: Ints, binds: Flags
    ) -> None:
        self.instance, self.timing, self.most = instance, timing, most
        self.cp = cp_model.CpModel()
        self.modes: dict[int, cp_model.IntVar] = {}
        self.items: dict[int, cp_model.IntVar] = {}
        #: By their first item; these have no variables of their own.
        self.pieces: dict[int, Pieces] = {}
        #: The items of slots that begin alike, by job.
        self.blocks: dict[int, list[range]] = defaultdict(list)
        self.days: Terms = []
        self.taken: list[Taken] = []
        self.rows: dict[int, Terms] = defaultdict(list)
        self.binds = binds
        for job in jobs:
            self._add_job(job)
        self._add_rows()
        for job in jobs:
            self._add_days(job)
        self._add_supply()

    def cost(self, figures: SmallInts) -> cp_model.LinearExpr:
        """Return what the chosen items come to; `figures` (items)."""
        terms = [(int(figures[item]), variable) for item, variable in self.items.items()]
        for some in self.pieces.values():
            terms += self._cost_of(some, figures[some.items.start : some.items.stop])
        return total((figure, variable) for figure, variable in terms if figure)

    def _cost_of(self, some: Pieces, figures: SmallInts) -> Terms:
        """Return the terms of `cost` of some items; uneven figures give each item a variable."""
        if np.diff(figures, 2).any():
            own = [self.cp.new_bool_var("") for _ in some.items]
            self.cp.add(cp_model.LinearExpr.sum(own) == cp_model.LinearExpr.sum(some.modes))
            self.cp.add(total(enumerate(own)) == some.which)
            return list(zip(figures.tolist(), own, strict=True))
        base, step = int(figures[0]), int(figures[1]) - int(figures[0])
        return [(step, some.which), *((base, mode) for mode in some.modes)]

    def hint(self, start: Mapping[int, Column]) -> None:
        """Let the search begin at a solution."""
        modes = {column.mode for column in start.values()}
        items = {item for column in start.values() for item in column.items}
        for mode, variable in self.modes.items():
            self.cp.add_hint(variable, mode in modes)
        own = {variable.index for variable in self.modes.values()}
        for item, variable in self.items.items():
            if variable.index not in own:
                self.cp.add_hint(variable, item in items)
        for first, some in self.pieces.items():
            self.cp.add_hint(some.which, max(items.intersection(some.items), default=first) - first)

    def solution(self, solver: cp_model.CpSolver) -> Solution:
        """Return the columns that a solver has found."""
        instance = self.instance
        taken = [item for item, variable in self.items.items() if solver.value(variable)]
        for first, some in self.pieces.items():
            if any(solver.value(mode) for mode in some.modes):
                taken.append(first + solver.value(some.which))
        chosen = np.array(sorted(taken))
        found = {}
        for mode in (mode for mode, y in self.modes.items() if solver.value(y)):
            slots = range(int(instance.mode_slots[mode]), int(instance.mode_slots[mode + 1]))
            at = np.searchsorted(chosen, instance.first[slots.start : slots.stop])
            job = int(instance.mode_job[mode])
            found[job] = Column(job, mode, tuple(chosen[at].tolist()))
        return found

    def _add_job(self, job: int) -> None:
        """Add the modes and items of a job: one mode, and one item for each of its slots."""
        instance = self.instance
        low, high = np.searchsorted(instance.mode_job, [job, job + 1]).tolist()
        for mode in range(low, high):
            self.modes[mode] = self.cp.new_bool_var("")
            for at, row in enumerate(instance.mode_rows.tolist()):
                if instance.mode_coefs[mode, at]:
                    self.rows[row].append((int(instance.mode_coefs[mode, at]), self.modes[mode]))
        self.cp.add_exactly_one([self.modes[mode] for mode in range(low, high)])
        ends: dict[int, dict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
        for mode in range(low, high):
            for slot in range(int(instance.mode_slots[mode]), int(instance.mode_slots[mode + 1])):
                ends[int(instance.first[slot])][int(instance.last[slot])].append(mode)
        for first, modes in ends.items():
            self.blocks[job].append(range(first, max(modes)))
            self._add_block(first, modes)

    def _add_block(self, first: int, modes: Mapping[int, list[int]]) -> None:
        last = max(modes)
        if last == first + 1 and len(modes[last]) == 1:
            self.items[first] = self.modes[modes[last][0]]
        elif len(modes) == 1 and self._even(range(first, last)):
            self._add_pieces(range(first, last), [self.modes[mode] for mode in modes[last]])
            return
        else:
            for item in range(first, last):
                self.items[item] = self.cp.new_bool_var("")
            so_far: list[cp_model.IntVar] = []
            for end in sorted(modes):
                so_far += [self.modes[mode] for mode in modes[end]]
                some = cp_model.LinearExpr.sum([self.items[i] for i in range(first, end)])
                many = cp_model.LinearExpr.sum(so_far)
                self.cp.add(some == many if end == last else some >= many)
        rows, coefs = self.instance.rows[first:last], self.instance.coefs[first:last]
        for item, own, much in zip(range(first, last), rows.tolist(), coefs.tolist(), strict=True):
            for row, coef in zip(own, much, strict=True):
                if coef:
                    self.rows[row].append((coef, self.items[item]))

    def _even(self, block: range) -> bool:
        """Tell whether each item differs from the one before by the same figures."""
        if len(block) == 1:
            return False
        instance, timing, some = self.instance, self.timing, slice(block.start, block.stop)
        if np.ptp(timing.lead[some]) or np.ptp(timing.work[some]):
            return False
        if np.diff(instance.costs[some], 2, axis=0).any():
            return False
        each = [self._uses(item) for item in block]
        keys = dict.fromkeys(key for uses in each for key in uses)
        figures = [[uses[key] for key in keys] for uses in each]
        return not np.diff(np.array(figures, dtype=np.int64), 2, axis=0).any()

    def _uses(self, item: int) -> Counter[tuple[int, int]]:
        """Return what an item takes of rows, (row, 0), and wants of them, (row, days)."""
        found: Counter[tuple[int, int]] = Counter()
        pairs = zip(self.instance.rows[item], self.instance.coefs[item], strict=True)
        found.update({(int(row), _NOW): int(coef) for row, coef in pairs if coef})
        for each in self.timing.wanted.get(item, ()):
            found[each.row, each.days] += each.pieces
        return found

    def _add_pieces(self, block: range, modes: Sequence[cp_model.IntVar]) -> None:
        count = self.cp.new_int_var(0, len(block) - 1, "")
        self.cp.add(count <= (len(block) - 1) * cp_model.LinearExpr.sum(modes))
        self.pieces[block.start] = some = Pieces(block, modes, count)
        for (row, days), terms in self._uses_of(some).items():
            if days == _NOW:
                self.rows[row] += terms

    def _uses_of(self, some: Pieces) -> dict[tuple[int, int], Terms]:
        """Return what is taken of rows, and wanted of them, as `_uses` does."""
        base, more = self._uses(some.items[0]), self._uses(some.items[1])
        found: dict[tuple[int, int], Terms] = {}
        for key in dict.fromkeys([*base, *more]):
            terms = [(base[key], mode) for mode in some.modes] if base[key] else []
            step = more[key] - base[key]
            found[key] = [*terms, (step, some.which)] if step else terms
        return found

    def _add_rows(self) -> None:
        for row, terms in self.rows.items():
            if self.binds[row]:
                most = int(self.instance.capacity[row])
                equal = self.instance.equality[row]
                self.cp.add(total(terms) == most if equal else total(terms) <= most)

    def _add_days(self, job: int) -> None:
        """Ask of each time whether the job takes so long, and let its items tell."""
        items = [item for block in self.blocks[job] for item in block]
        leads = {int(self.timing.lead[item]) for item in items}
        leads |= {each.days for item in items for each in self.timing.wanted.get(item, ())}
        works = {int(self.timing.work[item]) for item in items}
        if self.timing.added[job]:
            late, busy = self._times(leads), self._times(works)
        else:
            late = busy = self._times(leads | works)
        for block in self.blocks[job]:
            self._ask(block, self.timing.lead, late)
            self._ask(block, self.timing.work, busy)
        self._order(job, items, late)

    def _times(self, days: set[int]) -> dict[int, cp_model.IntVar]:
        """Return, of each number of days above 0, whether a job takes so long."""
        found: dict[int, cp_model.IntVar] = {}
        before, longer = 0, None
        for time in sorted(days - {0}):
            found[time] = self.cp.new_bool_var("")
            self.days.append((time - before, found[time]))
            if longer is not None:
                self.cp.add_implication(found[time], longer)
            before, longer = time, found[time]
        return found

    def _ask(self, block: range, days: Ints, asked: Mapping[int, cp_model.IntVar]) -> None:
        """Let the items of slots that begin alike ask for their days."""
        own = days[block.start : block.stop]
        for time in sorted(set(own.tolist()) - {0}):
            some: Sequence[cp_model.IntVar]
            if block.start in self.pieces:  # all of them take as long
                some = self.pieces[block.start].modes
            else:
                some = [self.items[block.start + at] for at in np.flatnonzero(own >= time).tolist()]
            self.cp.add(cp_model.LinearExpr.sum(some) <= asked[time])

    def _order(self, job: int, items: Sequence[int], late: Mapping[int, cp_model.IntVar]) -> None:
        """Let what items want be taken, or waited for."""
        use: dict[int, Terms] = defaultdict(list)
        days = {}
        for item in items:
            if item in self.items:
                for each in self.timing.wanted.get(item, ()):
                    use[each.row].append((each.pieces, self.items[item]))
                    days[each.row] = each.days
            elif item in self.pieces:
                for (row, time), terms in self._uses_of(self.pieces[item]).items():
                    if time != _NOW:
                        use[row] += terms
                        days[row] = time
        for row, terms in use.items():
            most = int(self.most[job, row])
            if self.instance.equality[row]:  # every piece of it is spoken for
                self.cp.add(total(terms) <= most * late[days[row]])
                continue
            pieces = self.cp.new_int_var(0, min(most, int(self.instance.capacity[row])), "")
            self.cp.add(total(terms) - pieces <= most * late[days[row]])
            self.taken.append(Taken(job, row, pieces))

    def _add_supply(self) -> None:
        """Hold what is taken, with what is not to be waited for, within the capacity."""
        more: dict[int, Terms] = defaultdict(list)
        for each in self.taken:
            more[each.row].append((1, each.pieces))
        for row, terms in more.items():
            if self.binds[row]:
                self.cp.add(total([*self.rows[row], *terms]) <= int(self.instance.capacity[row]))
