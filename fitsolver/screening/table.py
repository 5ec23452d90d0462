"""A whole table of bores screened: read, spread over cores or a cluster, written, counted."""

from __future__ import annotations

import pickle
import time
from collections import Counter, deque
from collections.abc import Generator, Iterator
from contextlib import ExitStack, closing
from dataclasses import dataclass, field
from functools import partial
from itertools import chain, islice
from pathlib import Path
from typing import Final

import numpy as np

from fitsolver.base.cluster import cores, run
from fitsolver.base.deadline import Progress
from fitsolver.base.errors import InputError
from fitsolver.base.version import __version__
from fitsolver.doubts.set_aside import cautions_of
from fitsolver.reading.chunks import read_chunks
from fitsolver.reading.columns import BadRow, Chunk, Text
from fitsolver.records.screening import FaultyRow, ScreenAnswer, Share
from fitsolver.screening.chunk import decide_chunk
from fitsolver.screening.decided import Decided
from fitsolver.screening.heading import heading
from fitsolver.screening.pattern import Pattern
from fitsolver.screening.writing import bad_rows_writer, check_out, table_writer

#: With this many cores, reading and writing occupy one and starting processes the other: two take
#: as long as one (see docs/screen.md). One piece is done before a process has started.
_FEW_CORES: Final = 2


@dataclass(frozen=True)
class Places:
    """The destinations of rows and bad rows, and the place of the work."""

    out: Path | None = None
    bad_rows: Path | None = None
    scheduler: str | None = None
    workers: int | None = None


@dataclass
class _Count:
    """What was seen so far."""

    rows: int = 0
    fits: int = 0
    bad: int = 0
    first_bad: BadRow | None = None
    pistons: Counter[str] = field(default_factory=Counter)
    routes: Counter[str] = field(default_factory=Counter)

    def add(self, decided: Decided) -> None:
        self.rows += len(decided.choice)
        self.bad += len(decided.bad)
        if self.first_bad is None and decided.bad:
            self.first_bad = decided.bad[0]
        times = np.bincount(decided.choice[decided.choice >= 0], minlength=len(decided.choices))
        for choice, bores in zip(decided.choices, times.tolist(), strict=True):
            if choice.piston:
                self.fits += bores
                self.pistons[choice.piston] += bores
                self.routes[choice.route] += bores


def screen_table(
    table: Path, pattern: Pattern, places: Places, progress: Progress | None = None
) -> ScreenAnswer:
    """Return what a table of bores came to; its rows go to `places.out`.

    Without a file for bad rows, the first bad row ends the run: InputError with row and field, and
    no output remains. `progress` is told the rows done, with the seconds gone. Raises as
    `read_chunks` and `cluster.run`.
    """
    count, names, started = _Count(), deque[Text | None](), time.monotonic()
    with ExitStack() as files:
        for path in (places.out, places.bad_rows):
            if path is not None and path == table:
                raise InputError("this is the table that is read", file=str(path))
        if places.out is not None:
            check_out(places.out)
        bad = None
        if places.bad_rows is not None:
            bad = files.enter_context(bad_rows_writer(places.bad_rows, str(table)))
        write = None if places.out is None else files.enter_context(table_writer(places.out))
        results = _decided(table, pattern, places, names)
        if isinstance(results, Generator):
            files.enter_context(closing(results))
        for decided in results:
            if decided.bad and bad is None:
                raise _refused(table, decided.bad[0])
            count.add(decided)
            name = names.popleft()
            if write is not None:
                write(decided, name)
            if bad is not None:
                bad(decided.bad)
            if progress is not None:
                progress(f"{count.rows:,} rows", time.monotonic() - started)
    return _answer(table, pattern, places, count)


def _decided(
    table: Path, pattern: Pattern, places: Places, names: deque[Text | None]
) -> Iterator[Decided]:
    """Yield the chunks of a table, decided; the name columns wait in `names` meanwhile."""

    def told(chunks: Iterator[Chunk]) -> Iterator[Chunk]:
        for chunk in chunks:
            name = chunk.columns.get("name")
            names.append(name if isinstance(name, Text) else None)
            kept = {title: c for title, c in chunk.columns.items() if title != "name"}
            yield Chunk(chunk.start, chunk.rows, kept, chunk.units)

    chunks = read_chunks(table, pattern.job.unit, heading)
    head = list(islice(chunks, 2))
    if not any(chunk.rows for chunk in head):
        raise InputError("the table has no rows", file=str(table))
    workers = places.workers
    few = len(head) == 1 or (workers is None and cores() <= _FEW_CORES)
    if few and places.scheduler is None:
        workers = 1
    work = partial(decide_chunk, pickle.dumps(pattern))
    return run(work, told(chain(head, chunks)), places.scheduler, workers)


def _refused(table: Path, bad: BadRow) -> InputError:
    return InputError(
        bad.reason, file=str(table), row=bad.row, field=bad.field, found=bad.found,
        allowed="a bore; or --bad-rows FILE to go on without such rows",
    )  # fmt: skip


def _answer(table: Path, pattern: Pattern, places: Places, count: _Count) -> ScreenAnswer:
    first = count.first_bad
    return ScreenAnswer(
        program_version=__version__,
        table=str(table),
        like=pattern.job.name,
        catalogue=pattern.catalogue.name,
        unit=pattern.job.unit,
        finishing=pattern.job.finishing,
        status="bad rows" if count.bad else "screened",
        not_asked=pattern.not_asked,
        rows=count.rows,
        fits=count.fits,
        nothing_fits=count.rows - count.fits - count.bad,
        bad=count.bad,
        first_bad=None
        if first is None
        else FaultyRow(row=first.row, field=first.field, found=first.found, reason=first.reason),
        pistons=_shares(count.pistons),
        routes=_shares(count.routes),
        out=None if places.out is None else str(places.out),
        bad_rows=None if places.bad_rows is None else str(places.bad_rows),
        cautions=cautions_of(pattern.catalogue),
    )


def _shares(taken: Counter[str]) -> tuple[Share, ...]:
    return tuple(
        Share(name=name, bores=bores)
        for name, bores in sorted(taken.items(), key=lambda item: (-item[1], item[0]))
    )
