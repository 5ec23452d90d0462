"""Why nothing fits, as minimal sets of rules in conflict, and what would open it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from fitsolver.measured import Measured
from fitsolver.records.base import RuleId
from fitsolver.records.plan import NearMiss, Reason
from fitsolver.records.why import Opening
from fitsolver.solving.by_itself import fits_alone, minimal_own, without_doubles
from fitsolver.solving.competing import pistons_too_few
from fitsolver.solving.competing_openings import shortage_opening
from fitsolver.solving.gauge_reasons import gauge
from fitsolver.solving.job_openings import job_openings, opening, route_openings
from fitsolver.solving.job_reasons import joined_reasons, no_shared_stack, short_of_pistons
from fitsolver.solving.joined import Joined, fits
from fitsolver.solving.larger_piston import larger_piston
from fitsolver.solving.nearest import Near, nearest
from fitsolver.solving.openings import Change, changes
from fitsolver.solving.other_ring import other_rings
from fitsolver.solving.pairs import pairs
from fitsolver.solving.possible import OWN_RULES, alone
from fitsolver.solving.problem import Problem, problem
from fitsolver.solving.reasons import lacking, near_miss, no_cut
from fitsolver.solving.sentences import describe, nothing_to_choose
from fitsolver.solving.shared_stack import shared_stack
from fitsolver.solving.together import together


@dataclass(frozen=True, slots=True)
class Conflict:
    """Rules that cannot be kept together, none of which can be spared.

    Of one cylinder, with the problem of it alone; or of the job (`cylinder` empty). `rules` is
    empty where there is nothing to choose from.
    """

    cylinder: str
    rules: tuple[RuleId, ...]
    single: Problem


@dataclass(frozen=True, slots=True)
class NothingFits:
    """What `why` tells of a job without a plan."""

    conflicts: tuple[Reason, ...]
    near_misses: tuple[NearMiss, ...]
    openings: tuple[Opening, ...]


def conflicts(task: Problem, joined: Joined | None = None) -> tuple[Conflict, ...]:
    """Return the conflict of every cylinder that has no choice by itself, else that of the job.

    Minimal unsatisfiable sets; `joined` holds what is known of the job already.
    """
    trimmed = without_doubles(task.job, task.catalogue)
    found = []
    for cylinder in task.job.cylinders:
        single = alone(replace(task, catalogue=trimmed), cylinder.name)
        if not fits_alone(single, OWN_RULES):
            found.append(Conflict(cylinder.name, minimal_own(single), single))
    return tuple(found) or (Conflict("", (joined or Joined(task)).conflict(), task),)


def nothing_fits(task: Problem, measured: Measured | None = None) -> NothingFits:
    """Return why a job that has no plan has none, and the smallest changes that open it.

    Where `measured` tells that the gauge's guards close it, they lead both.
    """
    told = _by_rules(task)
    failing = None if measured is None else gauge(measured, task.catalogue)
    if failing is None:
        return told
    better = opening("gauge", failing.by, "percent", f"a better gauge: {failing.way}")
    return replace(
        told,
        conflicts=(*failing.reasons, *told.conflicts),
        openings=(better, *told.openings),
    )


def _by_rules(task: Problem) -> NothingFits:
    joined = Joined(task).closed()
    few = pistons_too_few(task)
    if few is not None:
        more = shortage_opening(task, few)
        opened = job_openings(joined, ("availability",)) if more is None else route_openings(task)
        openings = (*(() if more is None else (more,)), *opened)
        return NothingFits(tuple(short_of_pistons(task, few)), (), openings)
    found = conflicts(task, joined)
    if not found[0].cylinder:
        rules = found[0].rules
        reasons = joined_reasons(joined, rules) or [no_shared_stack()]
        opened = job_openings(joined, rules) if rules else shared_stack(task)
        return NothingFits(tuple(reasons), (), tuple(opened))
    told = no_cut(task)
    misses: list[NearMiss] = []
    opens: list[Opening] = []
    changed: dict[str, list[Change]] = {}
    for conflict in found:
        [state] = conflict.single.cylinders
        near = nearest(state, conflict.single.shelf.rings)
        told += _reasons(conflict, near)
        if near is not None and conflict.rules:
            against = list(conflict.rules)
            misses.append(near_miss(conflict.single, near, conflict.cylinder, against))
        changed[conflict.cylinder] = list(changes_of(conflict, near))
        for change in changed[conflict.cylinder]:
            whole = len(found) == 1 and fits(problem(*change.make(task.job, task.catalogue)))
            opens.append(change.opening(conflict.cylinder, opens_job=whole))
    opens += together(task, changed)
    return NothingFits(tuple(told), tuple(misses), tuple(opens))


def changes_of(conflict: Conflict, near: Near | None) -> Iterator[Change]:
    """Yield the smallest changes that open a cylinder; `near` is its nearest choice."""
    single, rules = conflict.single, conflict.rules
    found = list(changes(single, rules))
    rings = [] if near is None else list(other_rings(single, near))
    yield from (*found, *rings)
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
