"""What the shelf lacks for a job: pieces beyond those that are left, as few as can be.

A model of one job that knows no sizes: which parts each cylinder can take together, what of them
comes in kits or can be ordered in time, and how much of each number is there.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Final, Protocol

from ortools.sat.python import cp_model

from fitsolver.allotment.component import Component
from fitsolver.allotment.forms import Brings, Form, Sources, forms
from fitsolver.allotment.prepare import Prepared
from fitsolver.allotment.supply import sold, with_stock
from fitsolver.base.deadline import Clock
from fitsolver.base.running import run
from fitsolver.mip.exact import cp_sat
from fitsolver.records.base import Level
from fitsolver.solving.levels import level_slot
from fitsolver.solving.problem import narrow_model

#: More than any job takes of a number.
_MUCH: Final = 10_000


class Shortage(Protocol):
    """Tells what is lacking of which numbers."""

    @property
    def numbers(self) -> Sequence[str]:
        """The numbers of which more may help."""
        ...

    def least(self, of: Iterable[str], clock: Clock) -> dict[str, int] | None:
        """Return the fewest pieces of some numbers that would serve the job; None: none would.

        None too where the clock ends first.
        """
        ...


class _Lacking:
    """The variables of what is lacking, and the search for the least of them."""

    def __init__(self, cp: cp_model.CpModel) -> None:
        self.cp = cp
        self.more: dict[str, cp_model.IntVar] = {}

    @property
    def numbers(self) -> list[str]:
        return sorted(self.more)

    def least(self, of: Iterable[str], clock: Clock) -> dict[str, int] | None:
        of = set(of)
        for number, variable in self.more.items():
            domain = variable.proto.domain
            domain.clear()
            domain.extend([0, _MUCH if number in of else 0])
        numbers = [number for number in self.numbers if number in of]
        # As few pieces as can be; of as few those of the first numbers.
        much = 1 + _MUCH * len(numbers)
        self.cp.minimize(
            cp_model.LinearExpr.weighted_sum(
                [self.more[number] for number in numbers],
                [much + rank for rank in range(len(numbers))],
            )
        )
        solver = cp_sat(clock)
        solver.parameters.cp_model_presolve = False
        if run(solver, self.cp, lambda: clock.interrupted) != cp_model.OPTIMAL:
            return None
        return {n: count for n in numbers if (count := solver.value(self.more[n]))}


class SimpleShortage(_Lacking):
    """Of a job whose cylinders are tied by size, mass, kits and days only."""

    def __init__(self, job: Prepared, order: tuple[Level, ...], left: Mapping[str, int]) -> None:
        super().__init__(cp_model.CpModel())
        counts = {item.number: left.get(item.number, 0) for item in sold(job.task.catalogue)}
        component = Component((job,), counts, frozenset(), (), order)
        taken: dict[str, list[cp_model.LinearExpr | cp_model.IntVar]] = defaultdict(list)
        chosen = []
        self.paid: list[cp_model.LinearExpr | cp_model.IntVar] = []
        budget = job.task.job.terms.budget
        price = None if budget is None else order.index("price")
        for form in forms(job, component, Sources(component)):
            chosen.append(self._form(form, taken, price))
        self.cp.add_exactly_one(chosen)
        if budget is not None:
            self.cp.add(cp_model.LinearExpr.sum(self.paid) <= budget)
        for number, uses in taken.items():
            self.more[number] = self.cp.new_int_var(0, 0, "")
            self.cp.add(cp_model.LinearExpr.sum(uses) <= counts[number] + self.more[number])

    def _form(
        self,
        form: Form,
        taken: dict[str, list[cp_model.LinearExpr | cp_model.IntVar]],
        price: int | None,
    ) -> cp_model.IntVar:
        is_it = self.cp.new_bool_var("")
        brought: dict[str, list[cp_model.LinearExpr | cp_model.IntVar]] = defaultdict(list)
        for some in form.cylinders:
            kinds = _fewest(
                {
                    (each.source.hard, each.brought, 0 if price is None else each.costs[price])
                    for each in some
                }
            )
            variables = [self.cp.new_bool_var("") for _ in kinds]
            self.cp.add(cp_model.LinearExpr.sum(variables) == is_it)
            for (hard, from_kits, costs), variable in zip(kinds, variables, strict=True):
                self.paid.append(costs * variable)
                for number, count in Counter(hard).items():
                    taken[number].append(count * variable)
                for number, count in Counter(from_kits).items():
                    brought[number].append(count * variable)
        brings: dict[str, list[cp_model.LinearExpr | cp_model.IntVar]] = defaultdict(list)
        for some in form.bought:
            each = some[0].stands
            assert isinstance(each, Brings)
            pieces = self.cp.new_int_var(0, len(some) - 1, "")
            self.cp.add(pieces <= (len(some) - 1) * is_it)
            if price is not None:
                self.paid.append(some[1].costs[price] * pieces)
            if some[1].source.hard:
                taken[each.number].append(pieces)
            for number, count in each.contents:
                brings[number].append(count * pieces)
        for number, uses in brought.items():
            self.cp.add(cp_model.LinearExpr.sum(uses) <= cp_model.LinearExpr.sum(brings[number]))
        return is_it


#: What is taken from the shelf, what is brought by kits, and what is paid of a budget.
_Kind = tuple[tuple[str, ...], tuple[str, ...], int]


def _fewest(kinds: set[_Kind]) -> list[_Kind]:
    """Return the kinds without those that take and pay all that another does, and more."""
    found: list[tuple[Counter[str], Counter[str], _Kind]] = []
    for kind in sorted(kinds, key=lambda kind: (len(kind[0]) + len(kind[1]), kind[2], kind)):
        hard, brought = Counter(kind[0]), Counter(kind[1])
        if not any(h <= hard and b <= brought and k[2] <= kind[2] for h, b, k in found):
            found.append((hard, brought, kind))
    return [kind for _, _, kind in found]


class WholeShortage(_Lacking):
    """Of any job: its whole model, in which more is on the shelf than there is."""

    def __init__(self, job: Prepared, left: Mapping[str, int]) -> None:
        super().__init__(cp_model.CpModel())
        every = {item.number: left.get(item.number, 0) for item in sold(job.task.catalogue)}
        plenty = with_stock(job.task.catalogue, {n: count + _MUCH for n, count in every.items()})
        task = replace(job.task, catalogue=plenty)
        model = narrow_model(task, job.options, cp=self.cp) if all(job.options) else None
        self.possible = model is not None
        for supply in [] if model is None else model.supply():
            number = supply.sold.number
            self.more[number] = self.cp.new_int_var(0, 0, "")
            self.cp.add(supply.stock <= every[number] + self.more[number])

    def least(self, of: Iterable[str], clock: Clock) -> dict[str, int] | None:
        return super().least(of, clock) if self.possible else None


def soonest(
    job: Prepared, order: tuple[Level, ...], left: Mapping[str, int], clock: Clock, *, simple: bool
) -> int | None:
    """Return in how many days a job could be done with what is left; None: never so.

    None too where the clock ends first.
    """
    if not simple:
        return _soonest_of_any(job, left, clock)
    catalogue, record = job.task.catalogue, job.task.job
    leads = {0, *(item.lead_days for item in sold(catalogue) if item.lead_days is not None)}
    works = {option.route.route.days for offered in job.options for option in offered}
    in_turn = record.finishing == "piston in hand"
    days = sorted(
        {lead + work for lead in leads for work in works} if in_turn else {*leads, *works}
    )
    low, high = 0, len(days)
    while low < high and clock.left != 0:
        middle = (low + high) // 2
        told = SimpleShortage(_due(job, days[middle]), order, left)
        if told.least((), clock) is None:
            low = middle + 1
        else:
            high = middle
    return days[low] if low < len(days) and clock.left != 0 else None


def _due(job: Prepared, days: int | None) -> Prepared:
    record = job.task.job
    terms = record.terms.model_copy(update={"needed_in_days": days, "needed_by": None})
    task = replace(job.task, job=record.model_copy(update={"terms": terms}))
    return replace(job, task=task)


def _soonest_of_any(job: Prepared, left: Mapping[str, int], clock: Clock) -> int | None:
    later = _due(job, None)
    task = replace(later.task, catalogue=with_stock(later.task.catalogue, left))
    cp = cp_model.CpModel()
    model = narrow_model(task, job.options, cp=cp) if all(job.options) else None
    if model is None:
        return None
    days = level_slot(model, "days").expr
    cp.minimize(days)
    solver = cp_sat(clock)
    if run(solver, cp, lambda: clock.interrupted) != cp_model.OPTIMAL:
        return None
    return solver.value(days)
