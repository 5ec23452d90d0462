"""Entries out of the tables."""

from __future__ import annotations

import datetime as dt
from difflib import get_close_matches
from typing import Any

from sqlalchemy import Connection, Select, select

from fitsolver.book.tables import CYLINDER, ENTRY, LINE
from fitsolver.errors import InputError
from fitsolver.reading.hints import unknown
from fitsolver.records.book import BookEntry, BookKind, FoundLine

_ORDER: dict[BookKind, int] = {"job": 0, "fitted": 1, "pass": 2, "final": 3, "withdrawal": 4}
_LEAST_OF_A_KEY = 4
_FEW = 10


def in_order(entries: list[BookEntry]) -> list[BookEntry]:
    """Return entries oldest first: of one day a job, parts, passes by number, final checks."""

    def place(entry: BookEntry) -> tuple[dt.date, int, str, int, str]:
        return entry.date, _ORDER[entry.kind], entry.job or "", entry.number or 0, entry.key

    return sorted(entries, key=place)


def all_entries(connection: Connection) -> list[BookEntry]:
    """Return the whole book, withdrawn entries too."""
    return _entries(connection, select(ENTRY.c.content))


def keys(connection: Connection) -> set[str]:
    """Return the keys of all entries."""
    return set(connection.execute(select(ENTRY.c.key)).scalars())


def entry_of(connection: Connection, key: str) -> BookEntry | None:
    """Return the entry of a key, None where there is none."""
    found = _entries(connection, select(ENTRY.c.content).where(ENTRY.c.key == key))
    return found[0] if found else None


def entry_like(connection: Connection, beginning: str) -> BookEntry:
    """Return the entry whose key begins so; InputError where that is none, or several."""
    digits = beginning.strip().lower()
    fair = len(digits) >= _LEAST_OF_A_KEY and set(digits) <= set("0123456789abcdef")
    asked = select(ENTRY.c.content).where(ENTRY.c.key.startswith(digits, autoescape=True))
    found = _entries(connection, asked.limit(2)) if fair else []
    if len(found) == 1:
        return found[0]
    raise InputError(
        "several entries begin so" if found else "the book has no such entry",
        field="entry",
        found=beginning[:40],
        allowed="the key that `fitsolver book history` or `search` shows",
    )


def live_passes(connection: Connection, job: str, marking: str) -> list[BookEntry]:
    """Return the passes of a cylinder in a job that count, by number."""
    return _live(connection, _of(marking).where(ENTRY.c.kind == "pass", ENTRY.c.job == job))


def live_jobs(connection: Connection, marking: str) -> list[BookEntry]:
    """Return the jobs of a cylinder that count, oldest first."""
    return _live(connection, _of(marking).where(ENTRY.c.kind == "job"))


def last_job(connection: Connection, marking: str, until: dt.date) -> BookEntry | None:
    """Return the last job of a cylinder up to a day; None where the book has none."""
    found = [job for job in live_jobs(connection, marking) if job.date <= until]
    return found[-1] if found else None


def of_cylinder(connection: Connection, marking: str) -> list[BookEntry]:
    """Return what counts of a cylinder, oldest first; InputError for one nobody knows."""
    if not knows(connection, marking):
        known = sorted(connection.execute(select(CYLINDER.c.marking)).scalars())
        near = get_close_matches(marking, known, _FEW) or known[:_FEW]
        raise unknown("cylinder", marking, near, file="the book", field="marking")
    return _live(connection, _of(marking))


def knows(connection: Connection, marking: str) -> bool:
    """Tell whether the book has a cylinder of this marking."""
    asked = select(CYLINDER.c.marking).where(CYLINDER.c.marking == marking)
    return connection.execute(asked).first() is not None


def withdrawn(connection: Connection) -> set[str | None]:
    """Return the keys of the entries that do not count any more.

    A withdrawal that is withdrawn itself takes nothing out; it goes no deeper than that.
    """
    # Above the empty text: all that there are, and the index finds them.
    asked = select(ENTRY.c.key, ENTRY.c.withdraws).where(ENTRY.c.withdraws > "")
    targets = {row.key: row.withdraws for row in connection.execute(asked)}
    given_back = {target for target in targets.values() if target in targets}
    return {target for key, target in targets.items() if key not in given_back}


def search(
    connection: Connection,
    text: str = "",
    *,
    kind: BookKind | None = None,
    since: dt.date | None = None,
    until: dt.date | None = None,
) -> list[FoundLine]:
    """Return the lines in which every word of `text` stands, newest first.

    Words may be parts of a marking, the job's name, its family, material, route or a part
    number; capitals do not matter.
    """
    asked = select(ENTRY.c.content, LINE.c.marking).join(LINE, LINE.c.entry == ENTRY.c.key)
    for word in text.casefold().split():
        asked = asked.where(LINE.c.words.contains(word, autoescape=True))
    if kind is not None:
        asked = asked.where(ENTRY.c.kind == kind)
    if since is not None:
        asked = asked.where(ENTRY.c.date >= since.isoformat())
    if until is not None:
        asked = asked.where(ENTRY.c.date <= until.isoformat())
    wanted: dict[str, set[str]] = {}
    entries: dict[str, BookEntry] = {}
    gone = withdrawn(connection)
    for content, marking in connection.execute(asked):
        entry = BookEntry.model_validate_json(content)
        if not {entry.key, entry.job} & gone:
            entries[entry.key] = entry
            wanted.setdefault(entry.key, set()).add(marking)
    return [
        FoundLine(key=e.key, kind=e.kind, date=e.date, title=e.title, line=line)
        for e in reversed(in_order(list(entries.values())))
        for line in e.lines
        if line.marking in wanted[e.key]
    ]


def _of(marking: str) -> Select[Any]:
    lines = LINE.c.entry == ENTRY.c.key
    return select(ENTRY.c.content).join(LINE, lines).where(LINE.c.marking == marking)


def _live(connection: Connection, asked: Select[Any]) -> list[BookEntry]:
    gone = withdrawn(connection)
    found = in_order(_entries(connection, asked))
    return [entry for entry in found if not {entry.key, entry.job} & gone]


def _entries(connection: Connection, asked: Select[Any]) -> list[BookEntry]:
    return [BookEntry.model_validate_json(text) for text in connection.execute(asked).scalars()]
