"""Independent components, solved on this machine's cores or on a cluster."""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from fitsolver.allotment.component import Component
from fitsolver.allotment.result import Result
from fitsolver.allotment.solve import solve_component
from fitsolver.base.cluster import cores, run, while_told
from fitsolver.base.deadline import Clock
from fitsolver.choices.selection import Selection

#: Below this number of jobs, starting processes takes longer than it saves.
_FEW: Final = 60


class Piece(NamedTuple):
    """A component with its jobs' earlier selections; `until` is a time of day (None: no end)."""

    component: Component
    last: Mapping[str, Selection]
    until: float | None


@dataclass(frozen=True, slots=True)
class Spread:
    """The place of the work: a cluster, a number of processes, or (None) the best choice here."""

    scheduler: str | None = None
    workers: int | None = None

    def solve(
        self, parts: Sequence[Component], clock: Clock, last: Mapping[str, Selection]
    ) -> list[Result]:
        """Return the result of each component. An early end leaves the best so far."""
        if self._here([len(part.jobs) for part in parts]):
            return _in_turn(parts, clock, last)
        return self._solve_spread(parts, clock, last)

    def _here(self, jobs: Sequence[int]) -> bool:
        worth = len(jobs) > 1 and sum(jobs) >= _FEW and cores() > 1
        return self.scheduler is None and (
            self.workers == 1 or (self.workers is None and not worth)
        )

    def _solve_spread(
        self, parts: Sequence[Component], clock: Clock, last: Mapping[str, Selection]
    ) -> list[Result]:
        """Solve the smallest first, so that an early end loses little."""
        order = sorted(range(len(parts)), key=lambda index: len(parts[index].jobs))
        found: dict[int, Result] = {}
        until = None if clock.left is None else time.time() + clock.left
        pieces = (Piece(parts[at], _of(parts[at], last), until) for at in order)

        def ended() -> bool:
            return clock.left == 0

        some = run(solve_piece, pieces, self.scheduler, self.workers, ended)
        for done, result in enumerate(some):
            found[order[done]] = result
            clock.tell(f"{done + 1} of {len(parts)} components")
        return [
            found[index] if index in found else solve_component(part, clock, _of(part, last))
            for index, part in enumerate(parts)
        ]


def _in_turn(
    parts: Sequence[Component], clock: Clock, last: Mapping[str, Selection]
) -> list[Result]:
    """Return the result of each component, the smallest first; each has its share of the time.

    The remaining time goes to the unproven components.
    """
    order = sorted(range(len(parts)), key=lambda index: len(parts[index].jobs))
    found = dict(_shared_out([(at, parts[at]) for at in order], clock, last))
    again = [(at, parts[at]) for at in order if not found[at].proven]
    if clock.limit is not None and clock.left != 0:
        taken = {**last, **{n: c for at, _ in again for n, c in found[at].chosen.items()}}
        for at, result in _shared_out(again, clock, taken):
            if result.proven:
                found[at] = result
    return [found[at] for at in range(len(parts))]


def _shared_out(
    parts: Sequence[tuple[int, Component]], clock: Clock, last: Mapping[str, Selection]
) -> Iterator[tuple[int, Result]]:
    whole, jobs = clock.limit, sum(len(part.jobs) for _, part in parts)
    for at, part in parts:
        if whole is not None and not clock.interrupted:
            gone = clock.gone
            clock.limit = min(whole, gone + max(0.0, whole - gone) * len(part.jobs) / jobs)
        yield at, solve_component(part, clock, _of(part, last))
        if not clock.interrupted:
            clock.limit = whole
        jobs -= len(part.jobs)


def solve_piece(piece: Piece) -> Result:
    """Solve one component, on any machine."""
    until = piece.until
    clock = Clock(None if until is None else max(0.0, until - time.time()))
    with while_told(clock.interrupt):
        return solve_component(piece.component, clock, piece.last)


def _of(part: Component, last: Mapping[str, Selection]) -> dict[str, Selection]:
    return {job.name: last[job.name] for job in part.jobs if job.name in last}
