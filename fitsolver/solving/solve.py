"""From a job's choices to the best selection, with few options where these suffice."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Final

from fitsolver.base.deadline import Clock
from fitsolver.base.running import TimeOverError, within
from fitsolver.choices.options import options
from fitsolver.choices.selection import Selection
from fitsolver.choices.types import ALL_RULES, Option
from fitsolver.records.base import RuleId
from fitsolver.records.job import Job
from fitsolver.records.plan import ObjectiveValue, Status
from fitsolver.solving.extract import extract
from fitsolver.solving.forbid import forbid
from fitsolver.solving.levels import level_order
from fitsolver.solving.problem import Problem, chosen_model, narrow_model
from fitsolver.solving.search import Outcome, Search

#: Options of a cylinder in the first model, and the growth factor of each next model.
_FIRST, _GROWTH = 24, 3


@dataclass(frozen=True, slots=True)
class Within:
    """The search behind a solution, in a model of the options up to a removal `limit`.

    `limit` in ticks, None for no limit; `restored`: the model includes options that restore a bore.
    """

    search: Search
    restored: bool
    limit: int | None


@dataclass(frozen=True, slots=True)
class Solution:
    """`selection` None with `settled`: nothing fits; else nothing was found in time."""

    selection: Selection | None
    levels: tuple[ObjectiveValue, ...]
    settled: bool
    within: Within | None = field(default=None, compare=False, repr=False)

    @property
    def proven(self) -> bool:
        return self.selection is not None and all(level.proven for level in self.levels)


#: In the time given neither a plan was found nor a proof that there is none.
NOT_FOUND: Final = Solution(None, (), settled=False)


def status_of(solution: Solution) -> Status:
    """Return what a solution is called in an answer."""
    if solution.selection is None:
        return "nothing fits" if solution.settled else "undecided"
    return "proven best" if solution.proven else "best found"


def best(
    task: Problem,
    clock: Clock | None = None,
    active: frozenset[RuleId] = ALL_RULES,
    forbidden: Sequence[Selection] = (),
    *,
    expected: int | None = None,
    parts_only: bool = False,
    hopeless: Callable[[], bool] | None = None,
) -> Solution:
    """Return the best selection under the active rules, proven as far as the clock allows.

    Selections with the parts and routes of a `forbidden` one are excluded. `expected` is a likely
    largest removal (ticks): options up to it come first. With `parts_only`, sizes and purchases
    that only the level `part_number` distinguishes stay open. `hopeless` is called after a first
    search without a plan; True proves that none exists.

    Options enter in order of their least removal. Let a model hold all options up to a removal T,
    and have a plan with a largest removal of at most T. That model then contains the best plan of
    all, for every option left out exceeds T.

    Raises KeyboardInterrupt where Ctrl-C ends the time before there is a plan.
    """
    clock = clock or Clock()
    everything = [options(cylinder, active) for cylinder in task.cylinders]
    if not all(everything):
        return Solution(None, (), settled=True)
    within = partial(_best_within, task, everything, active, clock, forbidden, parts_only)
    for restored, limit in _limits(task.job, everything, expected):
        solution = within(restored, limit)
        largest = largest_removal(solution)
        if limit is not None and largest is not None and largest.value > limit:
            if largest.proven:  # options between the two were left out: look again
                wider = _unless_ended(clock, partial(within, restored, largest.value))
                # Where the time ran out before the wider look found a plan, the first one stands.
                known = (wider, largest.value) if wider.selection else (solution, limit)
                solution = _bounded(*known)
            else:
                solution = _bounded(solution, limit)
        if solution.selection is None and clock.interrupted:
            raise KeyboardInterrupt
        if solution.selection is not None or not solution.settled:
            return solution
        if hopeless is not None and _told(hopeless, clock):
            break
        hopeless = None
    return Solution(None, (), settled=True)


def _unless_ended(clock: Clock, found: Callable[[], Solution]) -> Solution:
    """Return the result; nothing where Ctrl-C comes first."""
    try:
        return found()
    except KeyboardInterrupt:
        if not clock.interrupted:
            raise
        return NOT_FOUND


def _told(hopeless: Callable[[], bool], clock: Clock) -> bool:
    """Return the answer to a question; False where the time ends first."""
    try:
        with within(clock):
            return hopeless()
    except TimeOverError:
        return False


def largest_removal(solution: Solution) -> ObjectiveValue | None:
    """Return the level of that name; None where there is no selection."""
    return next((item for item in solution.levels if item.level == "largest_removal"), None)


def _bounded(solution: Solution, limit: int) -> Solution:
    """Withdraw bounds that a model without the options beyond `limit` cannot prove."""
    largest = largest_removal(solution)
    if largest is None or largest.value <= limit:
        return solution
    beyond = [item for item in solution.levels if item.level != "restored"]
    taken_back = {
        item.level: item.model_copy(
            update={"bound": min(item.bound, limit) if item is largest else 0, "proven": False}
        )
        for item in beyond
    }
    levels = tuple(taken_back.get(item.level, item) for item in solution.levels)
    return replace(solution, levels=levels)


def _best_within(
    task: Problem,
    everything: Sequence[Sequence[Option]],
    active: frozenset[RuleId],
    clock: Clock,
    forbidden: Sequence[Selection],
    parts_only: bool,
    restored: bool,
    limit: int | None,
) -> Solution:
    chosen = [_within(offered, restored, limit) for offered in everything]
    try:
        with within(clock):
            model = narrow_model(task, chosen, active) if all(chosen) else None
            if model is None:
                return Solution(None, (), settled=True)
            for selection in forbidden:
                forbid(model, selection)
            search = Search(model, clock)
    except TimeOverError:
        if not clock.over:  # an enclosing time limit ended
            raise
        return NOT_FOUND
    return _solution(search.first(parts_only=parts_only), Within(search, restored, limit))


def next_within(task: Problem, last: Solution) -> Solution:
    """Return the best selection of the same model with other parts or routes than the last.

    It is the next best of all if its largest removal lies within the model's limit.
    """
    assert last.selection is not None
    assert last.within is not None
    search = last.within.search
    forbid(search.model, last.selection)
    return _sized(task, _solution(search.again(), last.within), search.clock)


def _sized(task: Problem, parts: Solution, clock: Clock) -> Solution:
    """Settle sizes and purchases too, in the small model of the parts that were chosen."""
    if parts.selection is None or not parts.proven:
        return parts
    model = chosen_model(task, parts.selection)
    outcome = Search(model, clock).first()
    if outcome.found is None or not outcome.found.proven:
        left_open = {"proven": False}
        levels = tuple(
            item.model_copy(update=left_open) if item.level == "part_number" else item
            for item in parts.levels
        )
        return replace(parts, levels=levels)
    selection, levels = extract(model, outcome.found.solver), outcome.found.levels
    return replace(parts, selection=selection, levels=levels)


def _solution(outcome: Outcome, within: Within) -> Solution:
    if outcome.found is None:
        return Solution(None, (), outcome.settled)
    selection = extract(within.search.model, outcome.found.solver)
    return Solution(selection, outcome.found.levels, settled=True, within=within)


def _limits(
    job: Job, everything: Sequence[Sequence[Option]], expected: int | None
) -> Iterator[tuple[bool, int | None]]:
    """Yield ever wider limits: whether bores may be restored, and the largest removal (ticks).

    The `expected` removal comes first, then the fewest options that may suffice, without restoring;
    all options come last. A subset of the options can prove optimality only where the job ranks few
    restored cylinders first and a small largest removal second.
    """
    if level_order(job)[:2] == ("restored", "largest_removal"):
        sizes = [
            sorted(option.least_removal for option in offered if not _restores(option))
            for offered in everything
        ]
        count, last = _FIRST, -1
        if all(sizes) and expected is not None:
            yield False, expected
            last = expected
        while all(sizes) and any(count < len(each) for each in sizes):
            limit = max(each[min(count, len(each)) - 1] for each in sizes)
            if limit > last:
                yield False, limit
            count, last = count * _GROWTH, max(last, limit)
        if all(sizes):
            yield False, None
            if not any(_restores(option) for offered in everything for option in offered):
                return
    yield True, None


def _restores(option: Option) -> bool:
    return option.route.route.kind == "restore"


def _within(offered: Sequence[Option], restored: bool, limit: int | None) -> list[Option]:
    return [
        option
        for option in offered
        if (restored or not _restores(option)) and (limit is None or option.least_removal <= limit)
    ]
