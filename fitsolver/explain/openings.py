"""The smallest changes that open a cylinder that has no choice by itself, each tested.

Feasibility is monotone in the width of a window and in a limit, so bisection on feasibility finds
the smallest step. The crossing of a choice's bounds is a lower bound on the step. That step is
tried first, only with the pistons that may serve at it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from fitsolver.base.lengths import format_length, parse_length
from fitsolver.choices.options import make_option, options
from fitsolver.choices.types import NO_BOUND, CylinderChoices
from fitsolver.explain.edges import MOST_MOVED, Edge, edge_name, exact, farthest, moved_words, room
from fitsolver.explain.nearest import crossed
from fitsolver.records.base import Range, RuleId
from fitsolver.records.catalogue import Catalogue, Ring
from fitsolver.records.job import Job
from fitsolver.records.rules import REGISTRY, ChangeKind, Limit
from fitsolver.records.why import Measure, Opening
from fitsolver.records.windows import Window
from fitsolver.solving.by_itself import fits_alone
from fitsolver.solving.possible import OWN_RULES
from fitsolver.solving.problem import Problem, problem


@dataclass(frozen=True, slots=True)
class Change:
    """A change that opens a cylinder, and how to make it in a job and a catalogue.

    `what` is equal for the same change in several cylinders.
    """

    kind: ChangeKind
    by: int
    measure: Measure
    sentence: str
    make: Callable[[Job, Catalogue], tuple[Job, Catalogue]]
    what: str

    def opening(self, cylinder: str, *, opens_job: bool) -> Opening:
        """Return the change as it is told."""
        return Opening(
            kind=self.kind,
            cylinder=cylinder,
            by=self.by,
            measure=self.measure,
            opens_job=opens_job,
            sentence=self.sentence,
        )


def changes(single: Problem, rules: tuple[RuleId, ...]) -> Iterator[Change]:
    """Yield the smallest changes of the job that open the only cylinder of a problem.

    `rules` are in conflict: a change must relax one of them to open the cylinder.
    """
    yield from _windows(single, rules)
    yield from _limits(single, rules)
    yield from _routes(single)


def least(opens: Callable[[int], bool], most: int, first: int = 1) -> int | None:
    """Return the smallest step from `first` to `most` that opens; None when `most` does not.

    Requires monotonicity: every step above one that opens opens too, and none below `first` does.
    """
    if first > most:
        return None
    if first > 1 and opens(first):
        return first
    if not opens(most):
        return None
    bad, good = first if first > 1 else 0, most
    while good - bad > 1:
        middle = (bad + good) // 2
        if first > 1:
            middle = min(middle, 2 * bad)  # the step sought mostly is not far from the first
        if opens(middle):
            good = middle
        else:
            bad = middle
    return good


class _Trials:
    """Trials of one cylinder with one rule relaxed, with the pistons that may serve.

    `lacking` is how many ticks the bounds of each piston cross by (0: they leave a size).
    """

    def __init__(self, single: Problem, rule: RuleId) -> None:
        [state] = single.cylinders
        self.single = single
        self.named = pinned_parts(single.job)
        self.lacking: dict[str, int] = {}
        for option in options(state, OWN_RULES - {rule}):
            part = option.piston.candidate.part
            short = crossed(make_option(state, option.piston, option.route))
            self.lacking[part.number] = min(short, self.lacking.get(part.number, short))

    @property
    def first(self) -> int:
        """The least relaxation (ticks) of a rule on sizes."""
        return max(1, min(self.lacking.values(), default=1))

    def opens(self, job: Job, given: int) -> bool:
        """Tell whether a job has a choice once the rule is relaxed by that many ticks."""
        kept = tuple(
            part
            for part in self.single.catalogue.pistons
            if self.lacking.get(part.number, given + 1) <= given or part.number in self.named
        )
        parts = self.single.catalogue.model_copy(update={"pistons": kept})
        return fits_alone(problem(job, parts), OWN_RULES)


def pinned_parts(job: Job) -> set[str]:
    """Return the parts that a job names: they stay in every catalogue it is tried with."""
    named = {item.number for item in job.in_hand}
    for cylinder in job.cylinders:
        named |= {cylinder.piston or "", *(ring.number for ring in cylinder.rings)}
    return named


def never_too_tight(ring: Ring) -> Ring:
    """Return a ring that seats however large it is, and whose ends never meet."""
    gap = Range(low=NO_BOUND, high=ring.gap.high)
    return ring.model_copy(update={"seat_over": None, "gap": gap})


def with_cylinder(job: Job, name: str, **update: Any) -> Job:
    """Return the job with some fields of one cylinder changed."""
    cylinders = tuple(
        item.model_copy(update=update) if item.name == name else item for item in job.cylinders
    )
    return job.model_copy(update={"cylinders": cylinders})


def widened(job: Job, name: str, index: int, edge: Edge, by: int) -> Job:
    """Return the job with one edge of one of a cylinder's windows moved outwards.

    `index` counts the windows that hold for the cylinder; the service limit moves too. A lowest
    edge stops at the physical limit.
    """
    cylinder = next(item for item in job.cylinders if item.name == name)
    windows = list(job.windows_for(cylinder))
    window = windows[index]
    fields = (edge, f"service_{edge}")
    values = {field: getattr(window, field) for field in fields}
    moved = {
        field: value + by if edge == "high" else value - room(window.fit, value, by)
        for field, value in values.items()
        if value is not None
    }
    windows[index] = window.model_copy(update=moved)
    return with_cylinder(job, name, windows=tuple(windows))


def _windows(single: Problem, rules: tuple[RuleId, ...]) -> Iterator[Change]:
    [state] = single.cylinders
    edges: tuple[Edge, Edge] = ("low", "high")
    for rule in rules:
        fits = REGISTRY[rule].fits
        trials = _Trials(single, rule) if fits else None
        for index, window in enumerate(state.windows):
            for edge in edges:
                if trials and window.fit in fits and getattr(window, edge) is not None:
                    yield from _wider(trials, state, index, window, edge)


def _wider(
    trials: _Trials, state: CylinderChoices, index: int, window: Window, edge: Edge
) -> Iterator[Change]:
    name, single = state.name, trials.single
    measure, most = farthest(window, edge, state.largest)
    # Only the clearance gives a lower bound; other rules are tried from 0.
    of_sizes = window.fit == "clearance" and not window.per_bore

    def opens(step: int) -> bool:
        given = step if of_sizes else MOST_MOVED
        return trials.opens(widened(single.job, name, index, edge, step), given)

    by = least(opens, most, trials.first if of_sizes else 1) if most > 0 else None
    if by is None:
        return
    yield Change(
        "window",
        by,
        measure,
        moved_words(single, window, edge, by),
        lambda job, parts, by=by: (widened(job, name, index, edge, by), parts),  # type: ignore[misc]
        edge_name(window, edge),
    )


def _limits(single: Problem, rules: tuple[RuleId, ...]) -> Iterator[Change]:
    """Yield the size limits of the rules in conflict, each raised by the least that opens."""
    for rule, limit, stated in stated_limits(single, rules):
        yield from _higher(_Trials(single, rule), limit, stated, REGISTRY[rule].words)


def _higher(trials: _Trials, limit: Limit, stated: int, words: str) -> Iterator[Change]:
    single, name = trials.single, trials.single.cylinders[0].name

    def opens(step: int) -> bool:
        return trials.opens(with_limit(single.job, name, limit, stated + step), step)

    by = least(opens, MOST_MOVED, trials.first)
    if by is not None:
        yield Change(
            limit.kind,
            by,
            "ticks",
            limit_words(single, words, stated, by),
            lambda job, parts: (with_limit(job, name, limit, stated + by), parts),
            words,
        )


def stated_limits(
    single: Problem, rules: tuple[RuleId, ...]
) -> Iterator[tuple[RuleId, Limit, int]]:
    """Yield the size limits (ticks) that some rules set for the only cylinder."""
    [state] = single.cylinders
    for rule in rules:
        limit = REGISTRY[rule].limit
        stated = None if limit is None else single.job.limit_for(limit, state.cylinder)
        if limit is not None and stated is not None:
            yield rule, limit, stated


def with_limit(job: Job, name: str, limit: Limit, value: int) -> Job:
    """Return the job with a largest size (ticks) changed, for one cylinder where it can be."""
    if limit.own:
        return with_cylinder(job, name, **{limit.key: value})
    return job.model_copy(update={"engine": job.engine.model_copy(update={limit.key: value})})


def limit_words(single: Problem, words: str, stated: int, by: int) -> str:
    """Return a largest size raised, beside what it is now."""
    unit = single.job.unit
    raised = format_length(stated + by, unit, "up", symbol=True)
    more = format_length(parse_length(raised, unit) - stated, unit, "up", symbol=True)
    return f"a {words} of {raised} instead of {exact(stated, single)}: {more} more"


def allowed(job: Job, catalogue: Catalogue, name: str, route: str) -> Job:
    """Return the job with one more route allowed for a cylinder."""
    cylinder = next(item for item in job.cylinders if item.name == name)
    listed = cylinder.routes or job.routes or tuple(r.name for r in catalogue.shop_routes)
    kept = (cylinder.route,) if cylinder.route else listed
    return with_cylinder(job, name, routes=(*kept, route), route=None)


def _routes(single: Problem) -> Iterator[Change]:
    [state] = single.cylinders
    name = state.name
    if single.job.finishing == "already finished":
        return
    present = {choice.route.name for choice in state.routes}
    for route in (each.name for each in single.catalogue.shop_routes):
        only = with_cylinder(single.job, name, routes=(route,), route=None)
        if route not in present and fits_alone(problem(only, single.catalogue), OWN_RULES):
            yield Change(
                "route",
                1,
                "none",
                f"the route '{route}' allowed",
                lambda job, parts, route=route: (allowed(job, parts, name, route), parts),  # type: ignore[misc]
                f"route {route}",
            )
