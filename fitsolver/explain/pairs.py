"""The smallest pair of changes that opens a cylinder where no single one does.

Neither change can be a step smaller: with the first at its maximum the second is minimised, then
the first with that second. Both orders are tried and the smaller sum is taken.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

from fitsolver.base.lengths import RATIO
from fitsolver.choices.options import options
from fitsolver.explain.edges import MOST_MOVED, Edge, edge_name, farthest, moved_words
from fitsolver.explain.openings import (
    Change,
    allowed,
    least,
    limit_words,
    pinned_parts,
    stated_limits,
    widened,
    with_limit,
)
from fitsolver.records.base import RuleId
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.rules import REGISTRY, Limit
from fitsolver.records.why import Measure
from fitsolver.solving.by_itself import fits_alone, minimal_own
from fitsolver.solving.possible import OWN_RULES
from fitsolver.solving.problem import Problem, problem


@dataclass(frozen=True, slots=True)
class _Move:
    """One figure of a job that may give way by `most` steps at most; a route by one."""

    what: str
    rule: RuleId
    measure: Measure
    most: int
    make: Callable[[Job, int], Job]
    words: Callable[[int], str]


@dataclass(frozen=True, slots=True)
class _Pair:
    moves: tuple[_Move, _Move]
    by: tuple[int, int]

    @property
    def what(self) -> str:
        return " and ".join(sorted(move.what for move in self.moves))

    def make(self, job: Job) -> Job:
        for move, by in zip(self.moves, self.by, strict=True):
            job = move.make(job, by)
        return job

    def change(self) -> Change:
        words = [move.words(by) for move, by in zip(self.moves, self.by, strict=True)]
        return Change(
            "pair",
            2,
            "none",
            f"both of these: {words[0]}; and {words[1]}",
            lambda job, parts: (self.make(job), parts),
            self.what,
        )


def pairs(single: Problem, rules: tuple[RuleId, ...]) -> Iterator[Change]:
    """Yield the smallest pair of changes that opens the only cylinder of a problem.

    `rules` are in conflict, and no single change of the job opens it. The smallest pair of edges
    and limits, and the smallest of a route that the job leaves out with one of these.
    """
    edges = [pair for move in _moves(single, rules) for pair in _with(single, move)]
    routes = [pair for move in _routes(single) for pair in _with(single, move)]
    for found in (edges, routes):
        if found:
            yield min(found, key=lambda pair: _size(single, pair)).change()


def _size(single: Problem, pair: _Pair) -> tuple[int, int, str]:
    """Return the sort key of a pair: pairs of lengths first, by their sum in ticks."""
    [state] = single.cylinders
    total = others = 0
    for move, by in zip(pair.moves, pair.by, strict=True):
        if move.measure == "parts in 10^9":
            total += by * state.largest // RATIO
        elif move.measure == "thousandths":
            others += by
        elif move.measure == "ticks":
            total += by
    return others, total, pair.what


def _moves(single: Problem, rules: tuple[RuleId, ...]) -> Iterator[_Move]:
    """Yield the window edges and the limit that the rules in conflict concern."""
    [state] = single.cylinders
    edges: tuple[Edge, Edge] = ("low", "high")
    for rule in rules:
        for index, window in enumerate(state.windows):
            if window.fit not in REGISTRY[rule].fits:
                continue
            for edge in edges:
                if getattr(window, edge) is None:
                    continue
                measure, most = farthest(window, edge, state.largest)
                if most > 0:
                    yield _Move(
                        edge_name(window, edge),
                        rule,
                        measure,
                        most,
                        lambda job, by, index=index, edge=edge: widened(  # type: ignore[misc]
                            job, state.name, index, edge, by
                        ),
                        lambda by, window=window, edge=edge: moved_words(  # type: ignore[misc]
                            single, window, edge, by
                        ),
                    )
    for rule, limit, stated in stated_limits(single, rules):
        words = REGISTRY[rule].words
        yield _Move(
            words,
            rule,
            "ticks",
            MOST_MOVED,
            partial(_raised, name=state.name, limit=limit, stated=stated),
            partial(limit_words, single, words, stated),
        )


def _raised(job: Job, by: int, *, name: str, limit: Limit, stated: int) -> Job:
    return with_limit(job, name, limit, stated + by)


def _routes(single: Problem) -> Iterator[_Move]:
    """Yield the routes of the shop that the cylinder does not have."""
    [state] = single.cylinders
    if single.job.finishing == "already finished":
        return
    present = {choice.route.name for choice in state.routes}
    for route in (each.name for each in single.catalogue.shop_routes):
        if route not in present:
            yield _Move(
                f"route {route}",
                "route_cut",
                "none",
                1,
                lambda job, by, route=route: allowed(  # type: ignore[misc]
                    job, single.catalogue, state.name, route
                ),
                lambda by, route=route: f"the route '{route}' allowed",  # type: ignore[misc]
            )


def _with(single: Problem, first: _Move) -> Iterator[_Pair]:
    """Yield the pairs of one change with each edge still in conflict after it."""
    job = first.make(single.job, first.most)
    wide = problem(job, single.catalogue)
    if fits_alone(wide, OWN_RULES):
        return
    for second in _moves(wide, minimal_own(wide)):
        if second.what == first.what:
            continue
        parts = _that_may_serve(wide, second.rule, single)
        pair = _smallest(single.job, parts, first, second)
        if pair is not None:
            yield pair


def _that_may_serve(wide: Problem, rule: RuleId, single: Problem) -> Catalogue:
    """Return the catalogue with the pistons that may serve once a second rule is relaxed."""
    [state] = wide.cylinders
    named = pinned_parts(single.job)
    serving = {option.piston.candidate.part.number for option in options(state, OWN_RULES - {rule})}
    kept = tuple(p for p in single.catalogue.pistons if p.number in serving | named)
    return single.catalogue.model_copy(update={"pistons": kept})


def _smallest(job: Job, parts: Catalogue, first: _Move, second: _Move) -> _Pair | None:
    """Return the two changes minimised one after the other, in the order with the smaller sum."""

    def opens(a: int, b: int) -> bool:
        return fits_alone(problem(second.make(first.make(job, a), b), parts), OWN_RULES)

    if not opens(first.most, second.most):
        return None
    b = least(lambda by: opens(first.most, by), second.most) or second.most
    a = least(lambda by: opens(by, b), first.most) or first.most
    other_a = least(lambda by: opens(by, second.most), first.most) or first.most
    other_b = least(lambda by: opens(other_a, by), second.most) or second.most
    by = min(((a, b), (other_a, other_b)), key=sum)
    return _Pair((first, second), by)
