"""Why nothing fits, as minimal sets of rules in conflict, and what would open it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from fitsolver.base.deadline import Clock
from fitsolver.base.running import TimeOverError, within
from fitsolver.explain.competing import Competition, pistons_too_few
from fitsolver.explain.competing_openings import shortage_opening
from fitsolver.explain.gauge_reasons import gauge
from fitsolver.explain.job_openings import job_openings, opening, route_openings
from fitsolver.explain.job_reasons import joined_reasons, no_shared_stack, short_of_pistons
from fitsolver.explain.joined import Joined
from fitsolver.explain.larger_piston import larger_piston
from fitsolver.explain.nearest import Near, nearest
from fitsolver.explain.openings import Change, changes
from fitsolver.explain.other_ring import other_rings
from fitsolver.explain.pairs import pairs
from fitsolver.explain.reasons import lacking, near_miss, no_cut
from fitsolver.explain.sentences import describe, nothing_to_choose
from fitsolver.explain.shared_stack import shared_stack
from fitsolver.explain.together import together
from fitsolver.metrology.measured import Measured
from fitsolver.records.base import RuleId
from fitsolver.records.plan import NearMiss, Reason
from fitsolver.records.why import Opening
from fitsolver.solving.by_itself import fits_alone, minimal_own, without_doubles
from fitsolver.solving.few import fits
from fitsolver.solving.possible import OWN_RULES, alone
from fitsolver.solving.problem import Problem, problem


@dataclass(frozen=True, slots=True)
class Conflict:
    """A minimal set of rules that cannot be kept together.

    It belongs to one cylinder, with the problem of that cylinder alone, or to the job (`cylinder`
    empty). `rules` is empty where nothing can be chosen.
    """

    cylinder: str
    rules: tuple[RuleId, ...]
    single: Problem


@dataclass(frozen=True, slots=True)
class NothingFits:
    """The reasons, near misses and openings of a job without a plan."""

    conflicts: tuple[Reason, ...]
    near_misses: tuple[NearMiss, ...]
    openings: tuple[Opening, ...]
    complete: bool = True


@dataclass(slots=True)
class _Told:
    """The same while it is being found out."""

    conflicts: list[Reason] = field(default_factory=list)
    near_misses: list[NearMiss] = field(default_factory=list)
    openings: list[Opening] = field(default_factory=list)


def conflicts(task: Problem, joined: Joined | None = None) -> tuple[Conflict, ...]:
    """Return the conflict of every cylinder that has no choice by itself, else that of the job.

    Minimal unsatisfiable sets; `joined` holds earlier answers about the job.
    """
    trimmed = without_doubles(task.job, task.catalogue)
    found = []
    for cylinder in task.job.cylinders:
        single = alone(replace(task, catalogue=trimmed), cylinder.name)
        if not fits_alone(single, OWN_RULES):
            found.append(Conflict(cylinder.name, minimal_own(single), single))
    return tuple(found) or (Conflict("", (joined or Joined(task)).conflict(), task),)


def nothing_fits(
    task: Problem, measured: Measured | None = None, clock: Clock | None = None
) -> NothingFits:
    """Return why a job has no plan, and the smallest changes that open it.

    Where `measured` shows that the gauge's guards close it, they lead both. Results not found
    before the `clock` ends are left out; the answer is not `complete` then.
    """
    clock = clock or Clock()
    told, complete = _Told(), True
    try:
        with within(clock):
            _by_rules(task, told, clock)
            _by_gauge(task, measured, told, clock)
    except TimeOverError:
        complete = False
    return NothingFits(
        tuple(told.conflicts), tuple(told.near_misses), tuple(told.openings), complete
    )


def _by_gauge(task: Problem, measured: Measured | None, told: _Told, clock: Clock) -> None:
    if measured is None or not measured.guarded:
        return
    clock.tell("the gauge")
    failing = gauge(measured, task.catalogue)
    if failing is not None:
        told.conflicts[:0] = failing.reasons
        better = opening("gauge", failing.by, "percent", f"a better gauge: {failing.way}")
        told.openings.insert(0, better)


def _by_rules(task: Problem, told: _Told, clock: Clock) -> None:
    clock.tell("rules in conflict")
    joined = Joined(task).closed()
    few = pistons_too_few(task)
    if few is not None:
        _by_shortage(joined, few, told, clock)
        return
    found = conflicts(task, joined)
    if found[0].cylinder:
        _by_cylinders(task, found, told, clock)
        return
    rules = found[0].rules
    told.conflicts += joined_reasons(joined, rules) or [no_shared_stack()]
    clock.tell("changes of the job")
    for change in job_openings(joined, rules) if rules else shared_stack(task):
        told.openings.append(change)


def _by_shortage(joined: Joined, few: Competition, told: _Told, clock: Clock) -> None:
    task = joined.task
    told.conflicts += short_of_pistons(joined, few)
    clock.tell("changes of the job")
    more = shortage_opening(task, few)
    told.openings += [] if more is None else [more]
    opened = job_openings(joined, ("availability",)) if more is None else route_openings(task)
    for change in opened:
        told.openings.append(change)


def _by_cylinders(task: Problem, found: Sequence[Conflict], told: _Told, clock: Clock) -> None:
    told.conflicts += no_cut(task)
    nears = [nearest(each.single.cylinders[0], each.single.shelf.rings) for each in found]
    for conflict, near in zip(found, nears, strict=True):
        told.conflicts += _reasons(conflict, near)
        if near is not None and conflict.rules:
            against = list(conflict.rules)
            miss = near_miss(conflict.single, near, conflict.cylinder, against)
            told.near_misses.append(miss)
    changed: dict[str, list[Change]] = {}
    for conflict, near in zip(found, nears, strict=True):
        clock.tell(f"changes of cylinder {conflict.cylinder}")
        made = changed[conflict.cylinder] = []
        for change in changes_of(conflict, near):
            made.append(change)
            whole = len(found) == 1 and fits(problem(*change.make(task.job, task.catalogue)))
            told.openings.append(change.opening(conflict.cylinder, opens_job=whole))
    for several in together(task, changed):
        told.openings.append(several)


def changes_of(conflict: Conflict, near: Near | None) -> Iterator[Change]:
    """Yield the smallest changes that open a cylinder; `near` is its nearest choice."""
    single, rules = conflict.single, conflict.rules
    found = rings = False
    for change in changes(single, rules):
        found = True
        yield change
    for change in () if near is None else other_rings(single, near):
        rings = True
        yield change
    if near is not None and not rings:
        yield from larger_piston(single, near)
    if rules and not found and not rings:
        yield from pairs(single, rules)


def _reasons(conflict: Conflict, near: Near | None) -> list[Reason]:
    [state] = conflict.single.cylinders
    if near is None:
        return [nothing_to_choose(state)]
    if not conflict.rules:
        return [lacking(near, state.name)]
    return [
        Reason(
            rule=rule,
            cylinder=state.name,
            sentence=describe(rule, conflict.single, state, near, conflict.rules),
        )
        for rule in conflict.rules
    ]
