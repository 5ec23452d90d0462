"""An open book: entries in, history out. Every verb is one transaction."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from types import TracebackType

from sqlalchemy import Connection

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.base.version import __version__
from fitsolver.book import entries as made
from fitsolver.book import exchange, finding, health, writing
from fitsolver.book.history import history
from fitsolver.book.lines import checked_marking, markings
from fitsolver.book.passes import pass_entries
from fitsolver.book.place import Store
from fitsolver.book.verifying import Damages
from fitsolver.book.wear import earlier_records
from fitsolver.records.book import (
    BookCheck,
    BookEntry,
    BookKind,
    DamagedEntry,
    FittedParts,
    FoundAnswer,
    HistoryAnswer,
    Imported,
    Kept,
)
from fitsolver.records.final import FinalAnswer
from fitsolver.records.hone import HonePass
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer
from fitsolver.records.wear import EarlierRecord


class Book:
    """The record of every cylinder; see `fitsolver.book.open`.

    A verb that adds either writes its entries to the disk in full before it returns, or writes
    nothing and raises InputError. Adding the same entry again changes nothing. Dates are given,
    never read from the clock.
    """

    def __init__(self, store: Store) -> None:
        self._store = store
        self._damages = Damages()

    def __enter__(self) -> Book:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the database."""
        self._store.engine.dispose()

    @property
    def place(self) -> str:
        """Where the book is, as it may be shown."""
        return self._store.where.name

    @property
    def damaged(self) -> tuple[str, ...]:
        """A sentence for each damaged entry found and left out since the book was opened."""
        return tuple(map(str, self._damages))

    def newest(self) -> dt.date | None:
        """Return the day of the newest entry; None in an empty book."""
        with self._store.reading() as connection:
            return finding.newest(connection)

    def add_job(self, job: Job, answer: Answer | None = None, *, date: dt.date) -> Kept:
        """Add a job with its readings, and its plan where there is one.

        Raises InputError for a cylinder without marking, a plan of another job, a marking of
        another family, a job that the book holds already.
        """
        return self._keep(made.job_entry(job, answer, date))

    def add_passes(
        self,
        job: Job,
        passes: Iterable[HonePass],
        *,
        date: dt.date,
        to: str | None = None,
        accepted: frozenset[str] = frozenset(),
    ) -> tuple[Kept, ...]:
        """Add the passes of a log, from the first on; passes already in the book stay.

        `accepted` are the ids of the doubts that the log accepts. The passes belong to the entry
        `to`, else to the last job of each cylinder up to that day. Raises InputError for impossible
        passes, and for passes that contradict the book.
        """
        done = tuple(passes)
        found: list[Kept] = []
        with self._store.writing() as connection:
            jobs = {}
            for name, marking in markings(job).items():
                if any(item.cylinder == name for item in done):
                    jobs[marking] = self._job_key(connection, marking, date, to)
            for entry in pass_entries(job, done, date, jobs, accepted):
                marking = entry.lines[0].marking
                strict = Damages(strict=True)
                there = finding.live_passes(connection, str(entry.job), marking, strict)
                same = [e for e in there if e.number == entry.number and _same(e, entry)]
                kept = Kept(entry=same[0], new=False) if same else writing.keep(connection, entry)
                found.append(kept)
        return tuple(found)

    def add_fitted(
        self, marking: str, parts: FittedParts, *, date: dt.date, to: str | None = None
    ) -> Kept:
        """Add the parts that went into a cylinder, to the entry `to` or its last job up to then."""
        marking = checked_marking(marking)
        with self._store.writing() as connection:
            job = self._job(connection, [marking], date, to)
            if job is None and not finding.knows(connection, marking):
                finding.of_cylinder(connection, marking, Damages())  # names the known ones
            return writing.keep(connection, made.fitted_entry(marking, parts, date, job))

    def add_final(
        self, job: Job, answer: FinalAnswer, *, date: dt.date, to: str | None = None
    ) -> Kept:
        """Add the final check of a finished job; a cylinder may begin its record with one.

        It belongs to the entry `to`, else to the last job of its cylinders up to that day.
        """
        those = list(markings(job).values())
        with self._store.writing() as connection:
            of = self._job(connection, those, date, to)
            return writing.keep(
                connection, made.final_entry(job, answer, date, None if of is None else of.key)
            )

    def withdraw(self, key: str, reason: str, *, date: dt.date) -> Kept:
        """Take an entry out of the record, with what belongs to it; it stays in the book.

        A withdrawal that is withdrawn itself gives the entry back. `key` may be its beginning.
        """
        with self._store.writing() as connection:
            of = finding.entry_like(connection, key)
            return writing.keep(connection, made.withdrawal(of, reason, date))

    def history(self, marking: str) -> HistoryAnswer:
        """Return the whole history of a cylinder; InputError for an unknown one.

        Damaged entries are named in the cautions and left out, and so is every statement that
        depends on them.
        """
        with self._store.reading() as connection:
            return self._history(connection, marking)

    def _history(self, connection: Connection, marking: str) -> HistoryAnswer:
        damages = Damages()
        entries = finding.of_cylinder(connection, marking, damages)
        self._damages.take(damages, touched=damages.touched)
        return history(marking, entries, damages)

    def earlier_of(self, job: Job) -> dict[str, tuple[EarlierRecord, ...]]:
        """Return the earlier records of a job's cylinders, by their names there, where known.

        A cylinder to which a damaged entry may belong has none.
        """
        found = {}
        with self._store.reading() as connection:
            for name, marking in markings(job).items():
                if finding.knows(connection, marking):
                    told = self._history(connection, marking)
                    found[name] = earlier_records(told.visits)
        return {name: records for name, records in found.items() if records}

    def entry(self, key: str) -> BookEntry:
        """Return an entry by its key or the beginning of it, withdrawn ones too."""
        with self._store.reading() as connection:
            return finding.entry_like(connection, key)

    def search(
        self,
        text: str = "",
        *,
        kind: BookKind | None = None,
        since: dt.date | None = None,
        until: dt.date | None = None,
        unit: Unit = "mm",
    ) -> FoundAnswer:
        """Return the lines that contain every word of `text`, newest first; see docs/book.md."""
        damages = Damages()
        with self._store.reading() as connection:
            found = finding.search(
                connection, text, damages=damages, kind=kind, since=since, until=until
            )
        self._damages.take(damages, touched=damages.touched)
        limits = (text, kind, since and f"since {since}", until and f"until {until}")
        return FoundAnswer(
            program_version=__version__,
            unit=unit,
            asked=", ".join(str(limit) for limit in limits if limit),
            lines=tuple(found),
            cautions=tuple(map(str, damages)),
        )

    def export(self) -> str:
        """Return the whole book as text: one entry a line, the same bytes for equal books.

        Damaged entries, and all that belong to them, are left out: see `damaged`.
        """
        with self._store.reading() as connection:
            entries = health.readable(connection, self._store, self._damages)
        return "".join(exchange.to_lines(entries))

    def check(self) -> BookCheck:
        """Look through the whole book; see `BookCheck`."""
        damages = Damages()
        whole, wrong = health.look_through(self._store, damages)
        self._damages.take(damages, touched=damages.touched)
        return BookCheck(
            program_version=__version__,
            book=self.place,
            whole=whole,
            damaged=tuple(DamagedEntry(key=one.key, why=one.why) for one in damages),
            file=tuple(wrong),
        )

    def import_(self, lines: Iterable[str], *, file: str = "import") -> Imported:
        """Add every entry of an export missing from the book: all of them, or none.

        An entry that is damaged in the book, and whole in the export, is mended.
        Raises InputError, with the line number, for a file that is not an export, and for entries
        that contradict the book.
        """
        entries = exchange.from_lines(lines, file)
        with self._store.writing() as connection:
            there, damages = finding.keys(connection), Damages()
            there_whole = finding.all_entries(connection, damages)
            health.check_indexes(connection, there_whole, damages)
            damaged = [e for e in entries if e.key in there and e.key in damages.found]
            for entry in damaged:
                writing.mend(connection, entry)
            new = [entry for entry in entries if entry.key not in there]
            for entry in new:
                writing.store(connection, entry)
            writing.check_conflicts(connection, [*damaged, *new])
        known = len(entries) - len(new) - len(damaged)
        return Imported(added=len(new), known=known, mended=len(damaged))

    def _keep(self, entry: BookEntry) -> Kept:
        with self._store.writing() as connection:
            return writing.keep(connection, entry)

    def _job_key(self, connection: Connection, marking: str, date: dt.date, to: str | None) -> str:
        job = self._job(connection, [marking], date, to)
        if job is None:
            raise InputError(
                "the book has no job of this cylinder that the passes belong to",
                row=f"cylinder {marking}",
                allowed="adding the job first, with the day it came in",
            )
        return job.key

    def _job(
        self, connection: Connection, those: list[str], date: dt.date, to: str | None
    ) -> BookEntry | None:
        """Return the job that an entry of these cylinders belongs to; None without one."""
        if to is not None:
            job = finding.entry_like(connection, to)
            its = {line.marking for line in job.lines}
            if job.kind != "job" or not its.issuperset(those):
                raise InputError(
                    "this entry is no job of these cylinders",
                    field="to",
                    found=f"{job.kind} {job.key[:10]}: {', '.join(sorted(its)) or 'no cylinder'}",
                    allowed=f"a job of {', '.join(those)}",
                )
            return job
        strict = Damages(strict=True)
        jobs = [finding.last_job(connection, marking, date, strict) for marking in those]
        found = {job.key: job for job in jobs if job is not None}
        if len(found) > 1 or (found and None in jobs):
            raise InputError(
                "these cylinders did not come in with one job",
                field="to",
                found=", ".join(f"{job.key[:10]} of {job.date}" for job in found.values()),
                allowed="the key of the job that it belongs to",
            )
        return next(iter(found.values()), None)


def _same(one: BookEntry, other: BookEntry) -> bool:
    return one.documents == other.documents
