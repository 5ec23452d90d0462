"""The coupling rules: which are in conflict, and which plans remain without some of them.

Arithmetic is tried before search. Open questions go to one model in which each rule has an
enforcement literal. A plan that keeps a set of conditions answers for every subset; infeasibility
of a set answers for every superset.
"""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from functools import cached_property
from itertools import islice
from typing import Final, Literal

from fitsolver.choices.options import options
from fitsolver.choices.types import Option
from fitsolver.explain.competing import Competition, competition, too_few_of_any_size
from fitsolver.explain.openings import least
from fitsolver.explain.passed_over import Passed, alike_together, sizes_passed_over
from fitsolver.records.base import RULES, RuleId
from fitsolver.records.job import Terms
from fitsolver.solving.by_itself import fits_alone, single
from fitsolver.solving.competing_rings import too_few_rings, too_few_rings_of_any_size
from fitsolver.solving.few import FEW, fits, least_removing
from fitsolver.solving.joint_model import TERMS, Condition, JointModel
from fitsolver.solving.least_terms import least_terms
from fitsolver.solving.minimal import minimal_unsatisfiable_subset
from fitsolver.solving.possible import JOINING, OWN_RULES
from fitsolver.solving.problem import Problem, problem

#: The most unavailable sizes named where nothing fits.
_SIZES_NAMED: Final = 3


Conditions = frozenset[Condition]


class Joined:
    """The plans that the rules joining a job's cylinders leave possible; each is asked once.

    The rules of single cylinders are kept throughout. With `availability` among the joining rules
    the `terms` named are kept too.
    """

    def __init__(self, task: Problem) -> None:
        self.task = task
        self.asking = frozenset(_asking(task))
        self._kept: set[Conditions] = set()
        self._least: dict[tuple[str, Conditions], int | None] = {}
        self._denied: set[Conditions] = set()

    def closed(self) -> Joined:
        """Take it as known that the job has no plan."""
        self._denied.add(self._conditions(JOINING, TERMS))
        return self

    def possible(
        self, rules: AbstractSet[RuleId] = JOINING, terms: AbstractSet[Condition] = TERMS
    ) -> bool:
        """Tell whether any plan keeps these joining rules and terms."""
        conditions = self._conditions(rules, terms)
        known = self._known(conditions)
        if known is None:
            known = self._keeps(conditions)
        return known

    def denied(self) -> bool:
        """Tell whether quick tests rule out a plan; False leaves it open.

        The tests are arithmetic. With few options they include the least price and the fewest days,
        which replace a series of ever wider searches within the terms.
        """
        known, terms = self._known(self._conditions(JOINING, TERMS)), self.task.job.terms
        if known is not None or terms == Terms() or self._many:
            return known is False
        if terms.budget is not None:
            price = self.least("price", terms=TERMS - {"budget"})
            return price is None or price > terms.budget
        if terms.needed_in_days is not None:
            days = self.least("days", terms=TERMS - {"needed_in_days"})
            return days is None or days > terms.needed_in_days
        return False

    def alone(self, name: str) -> bool:
        """Tell whether a cylinder has a choice by itself."""
        return self._alone[name]

    def least(
        self,
        level: Literal["price", "days"],
        rules: AbstractSet[RuleId] = JOINING,
        terms: AbstractSet[Condition] = frozenset(),
    ) -> int | None:
        """Return the proven least price or days of plans that keep these joining rules and terms.

        None where there is no such plan.
        """
        conditions = self._conditions(rules, terms)
        if self._known(conditions) is False:
            return None
        question = level, conditions
        if question not in self._least:
            self._least[question] = self._all.least(level, conditions)
            self._learn(conditions, self._least[question] is not None)
        return self._least[question]

    def conflict(self) -> tuple[RuleId, ...]:
        """Return a minimal set of coupling rules that cannot be kept together.

        Empty when there is a plan, or when the rules each cylinder keeps by itself allow none.
        """
        if self.possible():
            return ()
        if "budget" in self.asking:
            self.least("price")  # told with the reason, and a plan that keeps all but the terms
        needed: frozenset[RuleId] = frozenset()
        for rule in sorted(JOINING & self.asking):
            if self._likely(JOINING - {rule}):
                needed |= {rule}  # a rule without which there is a plan belongs to every conflict
                if not self.possible(needed):
                    return _ordered(needed)
        if not self.possible(frozenset()):
            return ()
        asking = sorted(JOINING & self.asking)
        return _ordered(minimal_unsatisfiable_subset(asking, self.possible))

    def _conditions(self, rules: AbstractSet[RuleId], terms: AbstractSet[Condition]) -> Conditions:
        return frozenset(rules | terms if "availability" in rules else rules) & self.asking

    def _known(self, conditions: Conditions) -> bool | None:
        if not self._each_fits:
            return False
        if any(conditions <= kept for kept in self._kept):
            return True
        if any(conditions >= denied for denied in self._denied):
            return False
        denial = next(self._denials(conditions), None)
        if denial is not None:
            self._denied.add(denial)
            return False
        return None

    def _denials(self, conditions: Conditions) -> Iterator[Conditions]:
        """Yield conditions among these that arithmetic denies."""
        if "availability" not in conditions:
            return
        if self._too_few:
            yield frozenset({"availability"})
        terms = self.task.job.terms
        limits: dict[Condition, int | None] = {
            "budget": terms.budget,
            "needed_in_days": terms.needed_in_days,
        }
        for term, most in limits.items():
            if most is not None and term in conditions and self._least_terms[term] > most:
                yield frozenset({"availability", term})
        if "same_size" in conditions and self._too_few_of_any_size:
            yield frozenset({"availability", "same_size"})

    @cached_property
    def competition(self) -> Competition | None:
        """How cylinders compete for pistons that are too few; None where they do not."""
        return competition(self.task)

    @cached_property
    def passed_over(self) -> tuple[Passed, ...]:
        """The first sizes that fit and cannot be had."""
        looked_at = _SIZES_NAMED + len(self.task.cylinders)
        found = list(islice(sizes_passed_over(self.task, None), looked_at))
        return alike_together(found)[:_SIZES_NAMED]

    @cached_property
    def _alone(self) -> dict[str, bool]:
        states = self.task.cylinders
        return {each.name: fits_alone(single(self.task, each), OWN_RULES) for each in states}

    @cached_property
    def _each_fits(self) -> bool:
        return all(self._alone.values())

    @cached_property
    def _too_few(self) -> bool:
        return self.competition is not None or too_few_rings(self.task)

    @cached_property
    def _too_few_of_any_size(self) -> bool:
        return too_few_of_any_size(self.task) or too_few_rings_of_any_size(self.task)

    @cached_property
    def _least_terms(self) -> dict[Condition, float]:
        least = least_terms(self.task)
        return {"budget": least.price, "needed_in_days": least.days}

    def _keeps(self, conditions: Conditions) -> bool:
        few = self._few
        if few is not None and few.holds(conditions):
            return self._learn(conditions, holds=True)
        return self._learn(conditions, self._all.holds(conditions))

    def _likely(self, rules: AbstractSet[RuleId]) -> bool:
        """Tell whether a plan is known or soon found; where options are many, others may be."""
        conditions = self._conditions(rules, TERMS)
        known, few = self._known(conditions), self._few
        if known is not None or few is None:
            return self.possible(rules)
        return few.holds(conditions) and self._learn(conditions, holds=True)

    def _learn(self, conditions: Conditions, holds: bool) -> bool:
        (self._kept if holds else self._denied).add(conditions)
        return holds

    @cached_property
    def _few(self) -> JointModel | None:
        """The model of the options that remove least; None where all are few."""
        return (
            JointModel(self.task, list(map(least_removing, self._offered))) if self._many else None
        )

    @cached_property
    def _all(self) -> JointModel:
        return JointModel(self.task, self._offered)

    @cached_property
    def _offered(self) -> list[tuple[Option, ...]]:
        return [options(state, OWN_RULES) for state in self.task.cylinders]

    @cached_property
    def _many(self) -> bool:
        return any(len(each) > FEW for each in self._offered)


def _asking(task: Problem) -> Iterator[Condition]:
    """Yield the conditions that ask anything of the job."""
    job = task.job
    yield "availability"
    if job.same_size:
        yield "same_size"
    if job.mass_match:
        yield "mass_match"
    if job.engine.displacement_limit is not None and job.engine.stroke is not None:
        yield "displacement"
    if job.terms.budget is not None:
        yield "budget"
    if job.terms.needed_in_days is not None:
        yield "needed_in_days"


def _ordered(rules: AbstractSet[RuleId]) -> tuple[RuleId, ...]:
    return tuple(rule for rule in RULES if rule in rules)


def least_mass_limit(task: Problem, index: int) -> int | None:
    """Return the least limit (mg) of one mass match with which there is a plan; None: with none.

    All other rules are kept. Only what two pistons can differ by is worth a try.
    """
    match = task.job.mass_match[index]
    masses = {piston.candidate.mass for state in task.cylinders for piston in state.pistons}
    known = [mass for mass in masses if mass is not None]
    spreads = {one[1] - other[0] for one in known for other in known}
    steps = sorted(spread for spread in spreads if spread > match.limit)

    def serves(count: int) -> bool:
        wider = list(task.job.mass_match)
        wider[index] = match.model_copy(update={"limit": steps[count - 1]})
        return fits(
            problem(task.job.model_copy(update={"mass_match": tuple(wider)}), task.catalogue)
        )

    # Few steps more do mostly: double before halving.
    most = 1
    while most < len(steps) and not serves(most):
        most *= 2
    found = least(serves, min(most, len(steps))) if steps else None
    return None if found is None else steps[found - 1]
