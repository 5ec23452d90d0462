"""The best plans that differ in parts, each proven to be the next best."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.base.deadline import Clock
from fitsolver.choices.selection import Selection
from fitsolver.solving.problem import Problem
from fitsolver.solving.solve import Solution, best, largest_removal, next_within


def ranked(task: Problem, clock: Clock | None = None) -> Iterator[Solution]:
    """Yield the solutions of a job from the best on, no two with the same parts and routes.

    Each is the best of all that differ from those before it. Ends with a solution that has no
    selection: settled where there are no more, else the time was over. A solution that is not
    proven is the last one with a selection.
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
        except KeyboardInterrupt:  # the plans known by then stand
            solution = Solution(None, (), settled=False)
    yield solution


def _next(task: Problem, clock: Clock, last: Solution, found: list[Selection]) -> Solution:
    """Go on in the model at hand; look further where more than it holds may come next."""
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
