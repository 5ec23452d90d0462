"""Why a smaller size was not taken: unavailable, no fit alone, or in conflict with the job."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from fitsolver.base.lengths import format_length, typed
from fitsolver.choices.options import as_bore
from fitsolver.choices.selection import CylinderSelection, Selection
from fitsolver.choices.types import CylinderChoices
from fitsolver.explain.job_reasons import joined_reasons
from fitsolver.explain.joined import Joined
from fitsolver.explain.misses import miss_sentence
from fitsolver.explain.nearest import nearest
from fitsolver.explain.passed_over import sizes_passed_over
from fitsolver.records.base import RuleId
from fitsolver.records.rules import REGISTRY
from fitsolver.records.why import ChoiceReason
from fitsolver.solving.by_itself import fits_alone, minimal_own, without_doubles
from fitsolver.solving.few import few_fit, fits
from fitsolver.solving.possible import OWN_RULES, alone
from fitsolver.solving.problem import Problem


def size_reasons(
    task: Problem, selection: Selection, state: CylinderChoices, chosen: CylinderSelection
) -> Iterator[ChoiceReason]:
    """Yield the sizes that only cannot be had, then why the next smaller one was not taken."""
    passed = set()
    for found in sizes_passed_over(task, selection):
        if state.name in found.cylinders:
            passed.add(found.oversize)
            yield _reason(state, found.sentence(task), ("availability",))
    own = chosen.option.piston.candidate.part.oversize
    smaller = [p.candidate.part.oversize for p in state.pistons if p.candidate.part.oversize < own]
    if not smaller:
        yield _reason(state, "no smaller size is there to choose")
    elif max(smaller) not in passed:
        restored = chosen.option.route.route.kind == "restore"
        yield _Smaller(task, selection, state, max(smaller), restored).reason()


def _reason(state: CylinderChoices, sentence: str, rules: tuple[RuleId, ...] = ()) -> ChoiceReason:
    return ChoiceReason(cylinder=state.name, subject="size", rules=rules, sentence=sentence)


@dataclass(frozen=True, slots=True)
class _Smaller:
    """A smaller size in one cylinder. `restored`: the plan restores its bore, so this one may."""

    task: Problem
    selection: Selection
    state: CylinderChoices
    oversize: int
    restored: bool

    @property
    def words(self) -> str:
        size = format_length(self.oversize, self.task.job.unit, sign=True, symbol=True)
        return f"{size}, the next smaller size,"

    def reason(self) -> ChoiceReason:
        whole = self._alone(self.state.name, restoring=True)
        single = whole if self.restored else self._alone(self.state.name)
        if _fits(single):
            return _reason(self.state, self._not_taken())
        lined = "" if self.restored else _after_restoring(whole)
        rules = minimal_own(single) if single.cylinders[0].routes else ()
        near = nearest(single.cylinders[0], single.shelf.rings)
        said = f"{self.words} does not fit"
        if near is not None:
            said += f": {miss_sentence(self.task.job.unit, near, list(rules))}"
        return _reason(self.state, said + _without_scratch(single, rules) + lined, rules)

    def _alone(self, name: str, *, restoring: bool = False) -> Problem:
        """Return the problem of one cylinder with this size, and with its bore as it is worn."""
        parts = without_doubles(self.task.job, self.task.catalogue)
        single = alone(replace(self.task, catalogue=parts), name)
        return _only(single, 0, self.oversize, restoring=restoring or self.restored)

    def _not_taken(self) -> str:
        """Return why the size was not taken although it fits this cylinder by itself."""
        mates = self._mates()
        unfit = [name for name in mates if not _fits(self._alone(name))]
        if unfit:
            return (
                f"{self.words} would fit this cylinder, not cylinder {', '.join(unfit)}; the set "
                "must have one size"
            )
        sized = self._sized([self.state.name, *mates])
        if self._with_all_else(sized, mates) or fits(sized):
            return (
                f"{self.words} would fit too, but a plan with it comes later in the order of the "
                "job"
            )
        joined = Joined(sized).closed()
        against = joined_reasons(joined, joined.conflict())
        if not against:
            return f"{self.words} would fit this cylinder alone, not together with the whole job"
        said = "; ".join(f"{REGISTRY[each.rule].words}: {each.sentence}" for each in against)
        return f"{self.words} would fit this cylinder by itself, but in the job: {said}"

    def _mates(self) -> list[str]:
        """Return the other cylinders that must have the same oversize."""
        own, job = self.state.name, self.task.job
        sets = [set(rule.cylinders) for rule in job.same_size if own in rule.cylinders]
        names = [cylinder.name for cylinder in job.cylinders if cylinder.name != own]
        return [name for name in names if any(name in each for each in sets)]

    def _sized(self, names: list[str]) -> Problem:
        """Return the problem with this size only in the cylinders named."""
        sized = self.task
        for index, state in enumerate(self.task.cylinders):
            if state.name in names:
                sized = _only(sized, index, self.oversize, restoring=self.restored)
        return sized

    def _with_all_else(self, sized: Problem, mates: list[str]) -> bool:
        """Tell whether a plan exists with everything else as picked; usually one does."""
        picked = list(sized.cylinders)
        for index, chosen in enumerate(self.selection.cylinders):
            if picked[index].name not in (self.state.name, *mates):
                own = (chosen.option.piston,)
                picked[index] = replace(picked[index], pistons=own, routes=(chosen.option.route,))
        return few_fit(replace(sized, cylinders=tuple(picked)))


def _fits(single: Problem) -> bool:
    return bool(single.cylinders[0].routes) and fits_alone(single, OWN_RULES)


def _only(task: Problem, index: int, oversize: int, *, restoring: bool) -> Problem:
    """Return the problem with pistons of one size in a cylinder, and its bore restored or not."""
    state = task.cylinders[index]
    sized = tuple(p for p in state.pistons if p.candidate.part.oversize == oversize)
    routes = tuple(c for c in state.routes if restoring or c.route.kind != "restore")
    states = list(task.cylinders)
    states[index] = replace(state, pistons=sized, routes=routes)
    return replace(task, cylinders=tuple(states))


def _after_restoring(single: Problem) -> str:
    """Return the routes that restore the bore by which a size would fit; empty: none."""
    [state] = single.cylinders
    names = [
        f"'{choice.route.name}'"
        for choice in state.routes
        if choice.route.kind == "restore"
        and _fits(replace(single, cylinders=(replace(state, routes=(choice,)),)))
    ]
    return (
        f"; it would fit only in a sleeved or re-plated bore ({' or '.join(names)})"
        if names
        else ""
    )


def _without_scratch(single: Problem, rules: tuple[RuleId, ...]) -> str:
    """Return the reason that the scratch rules out a size which would fit without it."""
    [state] = single.cylinders
    depth = state.cylinder.scratch
    if "clean_up" not in rules or not depth:
        return ""
    clean = as_bore(state, state.smallest, state.largest)
    if not _fits(replace(single, cylinders=(clean,))):
        return ""
    return f"; without the scratch, {typed(depth, state.job.unit)} deep, it would fit"
