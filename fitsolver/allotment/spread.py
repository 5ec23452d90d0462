"""Components solved on this machine's cores or on a cluster: they do not know of each other."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Final, NamedTuple

from fitsolver.allotment.component import Component
from fitsolver.allotment.result import Result
from fitsolver.allotment.solve import solve_component
from fitsolver.allotment.start import Keys
from fitsolver.cluster import cores, run
from fitsolver.solving.running import heard
from fitsolver.solving.search import Clock

#: Solves components that do not depend on each other; results in their order.
Solve = Callable[[Sequence[Component], Clock, Mapping[str, Keys]], Iterable[Result]]

#: With fewer jobs than this starting processes takes longer than it saves.
_FEW: Final = 60


class Piece(NamedTuple):
    """A component with what its jobs took before; `until` is a time of day (None: without end)."""

    component: Component
    last: Mapping[str, Keys]
    until: float | None


def solver(scheduler: str | None = None, workers: int | None = None) -> Solve:
    """Return what solves components: on a cluster, in so many processes, or as is best here."""

    def solve(
        parts: Sequence[Component], clock: Clock, last: Mapping[str, Keys]
    ) -> Iterable[Result]:
        jobs = sum(len(part.jobs) for part in parts)
        worth = len(parts) > 1 and jobs >= _FEW and cores() > 1
        if scheduler is None and (workers == 1 or (workers is None and not worth)):
            return in_turn(parts, clock, last)
        return _spread(parts, clock, last, scheduler, workers)

    return solve


def in_turn(parts: Sequence[Component], clock: Clock, last: Mapping[str, Keys]) -> list[Result]:
    """Solve components one after the other, here; Ctrl-C ends it with the best so far."""
    with heard(clock.interrupt):
        return [solve_component(part, clock, _of(part, last)) for part in parts]


def _spread(
    parts: Sequence[Component],
    clock: Clock,
    last: Mapping[str, Keys],
    scheduler: str | None,
    workers: int | None,
) -> list[Result]:
    """Solve the smallest first, so that Ctrl-C, which ends all that is under way, loses little."""
    order = sorted(range(len(parts)), key=lambda index: len(parts[index].jobs))
    found: dict[int, Result] = {}
    pieces = _pieces([parts[index] for index in order], clock, last)
    try:
        for done, result in enumerate(run(solve_piece, pieces, scheduler, workers)):
            found[order[done]] = result
            clock.tell(f"{done + 1} of {len(parts)} components")
    except KeyboardInterrupt:
        clock.interrupt()
    return [
        found[index] if index in found else solve_component(part, Clock(0.0), _of(part, last))
        for index, part in enumerate(parts)
    ]


def _pieces(parts: Sequence[Component], clock: Clock, last: Mapping[str, Keys]) -> Iterator[Piece]:
    until = None if clock.left is None else time.time() + clock.left
    for part in parts:
        yield Piece(part, _of(part, last), until)


def solve_piece(piece: Piece) -> Result:
    """Solve one component, wherever this is."""
    left = None if piece.until is None else max(0.0, piece.until - time.time())
    return solve_component(piece.component, Clock(left), piece.last)


def _of(part: Component, last: Mapping[str, Keys]) -> dict[str, Keys]:
    return {job.name: last[job.name] for job in part.jobs if job.name in last}
