"""Handing out the shelf: every served job gets its own best plan from the remaining stock."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

from fitsolver.allotment.buying import Buyer
from fitsolver.allotment.combinations import separable
from fitsolver.allotment.component import Component
from fitsolver.allotment.left_out import Reasons
from fitsolver.allotment.own_best import bought_again, own_best, values_of
from fitsolver.allotment.prepared import Prepared
from fitsolver.allotment.result import Result, share_of
from fitsolver.allotment.serving import due_of
from fitsolver.allotment.supply import with_stock
from fitsolver.base.deadline import Clock
from fitsolver.base.errors import CheckError
from fitsolver.choices.selection import Selection
from fitsolver.picking.decide import answered, decide
from fitsolver.records.allotment import JobAllotment, JobLeftOut, Serving
from fitsolver.records.base import Level
from fitsolver.records.plan import Answer, ObjectiveValue
from fitsolver.solving.levels import level_order
from fitsolver.solving.solve import Solution, best


class Given(NamedTuple):
    """The jobs' answers, in their order, and the pieces that they take from the shelf."""

    jobs: list[JobAllotment]
    taken: Counter[str]


#: Every level but the part number: with these, combinations decide a job's own best plan.
_ALL = 6


class HandOut:
    """Gives the jobs of each component their plans, and the reason to jobs without one.

    The jobs of other components have no influence on them.
    """

    def __init__(self, stock: Mapping[str, int], order: tuple[Level, ...], clock: Clock) -> None:
        self.stock, self.order, self.clock = stock, order, clock
        self.buyers: dict[int, Buyer] = {}

    def give(self, part: Component, result: Result) -> Given:
        """Return the answers to the jobs of a component, in the order of serving."""
        left = Counter(self.stock)
        for share in result.shares.values():
            left.subtract(share)
        found: dict[str, JobAllotment] = {}
        takers: dict[str, Mapping[str, int]] = {}
        for job in part.jobs:
            if job.name not in result.chosen:
                continue
            chosen = result.chosen[job.name]
            left.update(share_of(chosen))
            final, proven = self._final(job, chosen, left, part, result)
            takers[job.name] = share_of(final)
            left.subtract(takers[job.name])
            if any(count < 0 for count in left.values()):
                raise CheckError("a part was handed out beyond its quantity")
            answer = _answer(job, final, proven=result.proven, least=proven)
            found[job.name] = _told(job, "served", answer=answer)
        reasons = Reasons(self.order, self.stock, left, takers, self.clock)
        for job in part.jobs:
            if job.name not in found:
                found[job.name] = self._without(job, reasons)
        taken: Counter[str] = Counter()
        for each in takers.values():
            taken.update(each)
        return Given([found[job.name] for job in part.jobs], taken)

    def _final(
        self,
        job: Prepared,
        chosen: Selection,
        left: Mapping[str, int],
        part: Component,
        result: Result,
    ) -> tuple[Selection, bool]:
        """Return the job's own best plan from the remaining stock, and whether it is proven."""
        if len(self.order) == _ALL and separable(job, self.order):
            known = id(job.task.catalogue)
            if known not in self.buyers:
                self.buyers[known] = Buyer(job.task.catalogue)
            buyer = self.buyers[known]
            if result.proven and self.clock.left != 0:
                found = own_best(job, chosen, left, buyer, self.order)
                if found is not None:
                    return found, True
            return bought_again(job, chosen, left, buyer, self.order), False
        if not result.proven or self.clock.left == 0:
            return chosen, False
        if len(part.jobs) == 1:
            return chosen, True
        catalogue = with_stock(job.task.catalogue, left)
        solved = best(replace(job.task, catalogue=catalogue), self.clock)
        return (solved.selection, True) if solved.selection and solved.proven else (chosen, False)

    def _without(self, job: Prepared, reasons: Reasons) -> JobAllotment:
        if reasons.never(job):
            refused = decide(job.job, job.task.catalogue, rows_back=False).no_fit
            sentence = "no plan with the whole shelf to itself"
            never = JobLeftOut(sentence=sentence, no_fit=refused)
            return _told(job, "can never be served", left_out=never)
        return _told(job, "left out", left_out=reasons.left_out(job))


def _answer(job: Prepared, final: Selection, *, proven: bool, least: bool) -> Answer:
    """Return a selection as the job's answer, its plan checked."""
    values = {**values_of(job, final), "part_number": 0}
    levels = tuple(
        ObjectiveValue(
            level=level,
            value=values[level],
            bound=values[level] if proven else 0,
            proven=proven and (least or level != "part_number"),
        )
        for level in level_order(job.job)
    )
    return answered(job.task, job.ready, Solution(final, levels, settled=True))


def _told(
    job: Prepared,
    status: Serving,
    *,
    answer: Answer | None = None,
    left_out: JobLeftOut | None = None,
) -> JobAllotment:
    return JobAllotment(
        job=job.name,
        priority=job.entry.priority,
        due=due_of(job.entry),
        catalogue=job.task.catalogue.name,
        status=status,
        answer=answer,
        left_out=left_out,
    )
