"""Components on this machine's cores or on a cluster: they do not know of each other.

First all are solved, then their jobs get their plans.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from fitsolver.allotment.component import Component
from fitsolver.allotment.hand_out import Shelf
from fitsolver.allotment.jobs import Claim, Given, hand_out
from fitsolver.allotment.result import Result
from fitsolver.allotment.solve import solve_component
from fitsolver.allotment.start import Keys
from fitsolver.cluster import cores, run
from fitsolver.records.base import Level
from fitsolver.records.catalogue import Catalogue
from fitsolver.solving.running import heard
from fitsolver.solving.search import Clock

#: With fewer jobs than this starting processes takes longer than it saves.
_FEW: Final = 60
#: So many jobs at least get their plans in one piece.
_BATCH: Final = 20


class Piece(NamedTuple):
    """A component with what its jobs took before; `until` is a time of day (None: without end)."""

    component: Component
    last: Mapping[str, Keys]
    until: float | None


class Store(NamedTuple):
    """What plans are made from: all that is on the shelf, and what of it to want first."""

    stock: Mapping[str, int]
    catalogues: tuple[Catalogue, ...]
    order: tuple[Level, ...]

    def give(self, components: Sequence[Sequence[Claim]], clock: Clock) -> list[Given]:
        """Return what the jobs of each component are given."""
        return [
            hand_out(Shelf(self.stock, self.catalogues, self.order), jobs, clock)
            for jobs in components
        ]


class Batch(NamedTuple):
    """Components whose jobs get their plans together; `until` as for a `Piece`."""

    store: Store
    components: Sequence[Sequence[Claim]]
    until: float | None


@dataclass(frozen=True, slots=True)
class Spread:
    """Where the work is done: on a cluster, in so many processes, or (None) as is best here."""

    scheduler: str | None = None
    workers: int | None = None

    def solve(
        self, parts: Sequence[Component], clock: Clock, last: Mapping[str, Keys]
    ) -> list[Result]:
        """Return what each component comes to. Ctrl-C ends it with the best so far."""
        if self._here([len(part.jobs) for part in parts]):
            with heard(clock.interrupt):
                return [solve_component(part, clock, _of(part, last)) for part in parts]
        return self._solve_spread(parts, clock, last)

    def give(
        self, store: Store, components: Sequence[Sequence[Claim]], clock: Clock
    ) -> list[Given]:
        """Return what the jobs of each component are given."""
        if self._here([len(jobs) for jobs in components]):
            return store.give(components, clock)
        batches = [Batch(store, some, _until(clock)) for some in _batches(components)]
        found: list[Given] = []
        given = 0
        try:
            for some in run(give_batch, batches, self.scheduler, self.workers):
                found += some
                given += sum(len(each.jobs) for each in some)
                clock.tell(f"plans of {given} jobs")
        except KeyboardInterrupt:  # it was meant for the search, or for why jobs are left out
            clock.interrupt()
        return found + store.give(components[len(found) :], clock)

    def _here(self, jobs: Sequence[int]) -> bool:
        worth = len(jobs) > 1 and sum(jobs) >= _FEW and cores() > 1
        return self.scheduler is None and (
            self.workers == 1 or (self.workers is None and not worth)
        )

    def _solve_spread(
        self, parts: Sequence[Component], clock: Clock, last: Mapping[str, Keys]
    ) -> list[Result]:
        """Solve the smallest first, so that Ctrl-C, which ends all under way, loses little."""
        order = sorted(range(len(parts)), key=lambda index: len(parts[index].jobs))
        found: dict[int, Result] = {}
        until = _until(clock)
        pieces = (Piece(parts[at], _of(parts[at], last), until) for at in order)
        try:
            for done, result in enumerate(run(solve_piece, pieces, self.scheduler, self.workers)):
                found[order[done]] = result
                clock.tell(f"{done + 1} of {len(parts)} components")
        except KeyboardInterrupt:
            clock.interrupt()
        return [
            found[index] if index in found else solve_component(part, Clock(0.0), _of(part, last))
            for index, part in enumerate(parts)
        ]


def solve_piece(piece: Piece) -> Result:
    """Solve one component, wherever this is."""
    return solve_component(piece.component, _clock(piece.until), piece.last)


def give_batch(batch: Batch) -> list[Given]:
    """Make the plans of some components' jobs, wherever this is."""
    return batch.store.give(batch.components, _clock(batch.until))


def _batches(components: Sequence[Sequence[Claim]]) -> Iterator[list[Sequence[Claim]]]:
    some: list[Sequence[Claim]] = []
    for jobs in components:
        some.append(jobs)
        if sum(map(len, some)) >= _BATCH:
            yield some
            some = []
    if some:
        yield some


def _until(clock: Clock) -> float | None:
    return None if clock.left is None else time.time() + clock.left


def _clock(until: float | None) -> Clock:
    return Clock(None if until is None else max(0.0, until - time.time()))


def _of(part: Component, last: Mapping[str, Keys]) -> dict[str, Keys]:
    return {job.name: last[job.name] for job in part.jobs if job.name in last}
