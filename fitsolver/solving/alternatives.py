"""The best plans that differ in parts, each proven to be the next best."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.base.deadline import Clock
from fitsolver.choices.selection import Selection
from fitsolver.solving.problem import Problem
from fitsolver.solving.solve import Solution, best, largest_removal, next_within


def ranked(task: Problem, clock: Clock | None = None) -> Iterator[Solution]:
    """Yield the solutions of a job, best first, no two with the same parts and routes.

    Each is the best solution that differs from all before it. The last solution has no selection:
    it is settled if no more exist, else the time was over. No selection follows a solution that is
    not proven.
    """
    clock = clock or Clock()
    found: list[Selection] = []
    solution = best(task, clock)
    while solution.selection is not None:
        yield solution
        found.append(solution.selection)
        if not solution.proven:
            return
        try:
            solution = _next(task, clock, solution, found)
        except KeyboardInterrupt:  # the plans found so far remain valid
            solution = Solution(None, (), settled=False)
    yield solution


def _next(task: Problem, clock: Clock, last: Solution, found: list[Selection]) -> Solution:
    """Continue in the present model; widen it where the next solution may lie outside."""
    assert last.within is not None
    limit, restored = last.within.limit, last.within.restored
    near = next_within(task, last)
    if near.selection is None:
        if not near.settled or (restored and limit is None):
            return near
    elif limit is None:
        return near
    else:
        largest = largest_removal(near)
        if not near.proven or (largest is not None and largest.value <= limit):
            return near
    return best(task, clock, forbidden=found)
