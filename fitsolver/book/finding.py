"""Entries from the tables, each verified; damaged ones are noted and left out."""

from __future__ import annotations

import datetime as dt
from difflib import get_close_matches
from typing import Any, NamedTuple

from sqlalchemy import Connection, Select, or_, select

from fitsolver.base.errors import InputError
from fitsolver.book.differences import differences
from fitsolver.book.entries import words_of
from fitsolver.book.tables import CYLINDER, ENTRY, LINE
from fitsolver.book.verifying import COLUMNS, Damages, content_of, verified
from fitsolver.reading.hints import LONGEST_WORD, shown, unknown
from fitsolver.records.book import BookEntry, BookKind, FoundLine

_ORDER: dict[BookKind, int] = {"job": 0, "fitted": 1, "pass": 2, "final": 3, "withdrawal": 4}
_LEAST_OF_A_KEY = 4
_FEW = 10


class Withdrawn(NamedTuple):
    """Keys of withdrawn entries, and of those in doubt through a damaged one (None: any may be)."""

    keys: set[str | None]
    doubtful: set[str | None]


def in_order(entries: list[BookEntry]) -> list[BookEntry]:
    """Return entries oldest first: of one day a job, parts, passes by number, final checks."""

    def place(entry: BookEntry) -> tuple[dt.date, int, str, int, str]:
        return entry.date, _ORDER[entry.kind], entry.job or "", entry.number or 0, entry.key

    return sorted(entries, key=place)


def all_entries(connection: Connection, damages: Damages) -> list[BookEntry]:
    """Return the whole book, withdrawn entries too."""
    return verified(connection.execute(select(*COLUMNS)), damages)


def keys(connection: Connection) -> set[str]:
    """Return the keys of all entries."""
    return set(connection.execute(select(ENTRY.c.key)).scalars())


def entry_of(connection: Connection, key: str, damages: Damages) -> BookEntry | None:
    """Return the entry of a key, None where there is none or it is damaged."""
    asked = select(*COLUMNS).where(ENTRY.c.key == key)
    found = verified(connection.execute(asked), damages)
    return found[0] if found else None


def entry_like(connection: Connection, beginning: str) -> BookEntry:
    """Return the entry with this key prefix; InputError unless it is unique and undamaged."""
    digits = beginning.strip().lower()
    fair = len(digits) >= _LEAST_OF_A_KEY and set(digits) <= set("0123456789abcdef")
    asked = select(*COLUMNS).where(ENTRY.c.key.startswith(digits, autoescape=True))
    rows = connection.execute(asked.limit(2)).all() if fair else []
    if len(rows) == 1:
        return verified(rows, Damages(strict=True))[0]
    raise InputError(
        "several entries begin so" if rows else "the book has no such entry",
        field="entry",
        found=beginning[:40],
        allowed="the key that `fitsolver book history` or `search` shows",
    )


def live_passes(
    connection: Connection, job: str, marking: str, damages: Damages
) -> list[BookEntry]:
    """Return the passes of a cylinder in a job that count, by number."""
    found = _live(connection, marking, damages)
    return [entry for entry in found if entry.kind == "pass" and entry.job == job]


def live_jobs(connection: Connection, marking: str, damages: Damages) -> list[BookEntry]:
    """Return the jobs of a cylinder that count, oldest first."""
    return [e for e in _live(connection, marking, damages) if e.kind == "job"]


def last_job(
    connection: Connection, marking: str, until: dt.date, damages: Damages
) -> BookEntry | None:
    """Return the last job of a cylinder up to a day; None where the book has none."""
    found = [job for job in live_jobs(connection, marking, damages) if job.date <= until]
    return found[-1] if found else None


def of_cylinder(connection: Connection, marking: str, damages: Damages) -> list[BookEntry]:
    """Return the valid entries of a cylinder, oldest first; InputError for an unknown one.

    `damages.touched` tells whether anything damaged may be of this cylinder.
    """
    if not knows(connection, marking):
        known = sorted(map(str, connection.execute(select(CYLINDER.c.marking)).scalars()))
        spelled = [word for word in known if len(word) <= LONGEST_WORD]
        near = get_close_matches(marking[:LONGEST_WORD], spelled, _FEW) or known[:_FEW]
        raise unknown("cylinder", marking, map(shown, near), file="the book", field="marking")
    return _live(connection, marking, damages)


def knows(connection: Connection, marking: str) -> bool:
    """Tell whether the book has a cylinder of this marking."""
    asked = select(CYLINDER.c.marking).where(CYLINDER.c.marking == marking)
    return connection.execute(asked).first() is not None


def withdrawn(connection: Connection, damages: Damages) -> Withdrawn:
    """Return the keys of the entries that do not count any more.

    A withdrawn withdrawal has no effect; there is no deeper level. The entry that a damaged
    withdrawal seems to name stays out, and is in doubt.
    """
    lost = differences(connection).withdrawals
    # Above the empty text: matches every row, through the index.
    asked = select(*COLUMNS).where(or_(ENTRY.c.withdraws > "", ENTRY.c.key.in_(lost)))
    rows = connection.execute(asked).all()
    whole = {entry.key for entry in verified(rows, damages)}
    targets = {row.key: _target(row) for row in rows}
    for key in lost:
        damages.add(key, "the index of withdrawals does not have it")
    given_back = {target for target in targets.values() if target in targets}
    doubtful: set[str | None] = set()
    for key, target in targets.items():
        if key not in whole:
            doubtful |= {target, targets.get(target)} if _is_there(connection, target) else {None}
    if lost - set(targets):
        doubtful.add(None)
    gone: set[str | None] = {t for key, t in targets.items() if key not in given_back}
    return Withdrawn(gone, doubtful)


def _target(row: Any) -> str:
    """Return the entry that a withdrawal takes out: by its content, where that is whole."""
    try:
        return str(content_of(row).withdraws)
    except InputError:
        return str(row.withdraws)


def _is_there(connection: Connection, key: str) -> bool:
    asked = select(ENTRY.c.key).where(ENTRY.c.key == key)
    return connection.execute(asked).first() is not None


def search(
    connection: Connection,
    text: str = "",
    *,
    damages: Damages,
    kind: BookKind | None = None,
    since: dt.date | None = None,
    until: dt.date | None = None,
) -> list[FoundLine]:
    """Return the lines that contain every word of `text`, newest first.

    Words may be parts of a marking, the job's name, its family, material, route or a part
    number; capitals do not matter.
    """
    asked = select(*COLUMNS, LINE.c.marking, LINE.c.words)
    asked = asked.join(LINE, LINE.c.entry == ENTRY.c.key)
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
    gone = withdrawn(connection, damages).keys
    rows = connection.execute(asked).all()
    whole = {entry.key: entry for entry in verified(rows, damages)}
    for row in rows:
        entry = whole.get(row.key)
        if entry is None or {entry.key, entry.job} & gone:
            continue
        if row.words not in [words_of(entry, e) for e in entry.lines if e.marking == row.marking]:
            damages.add(entry.key, "its index is not what its content says")
            continue
        entries[entry.key] = entry
        wanted.setdefault(entry.key, set()).add(row.marking)
    return [
        FoundLine(key=e.key, kind=e.kind, date=e.date, title=e.title, line=line)
        for e in reversed(in_order(list(entries.values())))
        for line in e.lines
        if line.marking in wanted[e.key]
    ]


def newest(connection: Connection) -> dt.date | None:
    """Return the day of the newest entry; None in an empty book."""
    asked = select(*COLUMNS).order_by(ENTRY.c.date.desc()).limit(1)
    found = verified(connection.execute(asked), Damages())
    return found[0].date if found else None


def _of(marking: str) -> Select[Any]:
    """Return the question for what the index has of a cylinder, entries that are gone too."""
    asked = select(*COLUMNS, LINE.c.entry).select_from(LINE)
    return asked.join(ENTRY, LINE.c.entry == ENTRY.c.key, isouter=True).where(
        LINE.c.marking == marking
    )


def _live(connection: Connection, marking: str, damages: Damages) -> list[BookEntry]:
    """Return the valid entries of a cylinder, in order; note relevant damage in `damages`."""
    rows = connection.execute(_of(marking)).all()
    ours = Damages(strict=damages.strict)
    found = verified((row for row in rows if row.key is not None), ours)
    whole = [e for e in found if any(line.marking == marking for line in e.lines)]
    known = {row.entry for row in rows}
    for key in {e.key for e in found} - {e.key for e in whole}:
        ours.add(key, "its index is not what its content says")
    for key in {row.entry for row in rows if row.key is None}:
        ours.add(key, "it is not there any more")
    for key in differences(connection).lines_of(marking) - known:
        ours.add(key, "the index of cylinders does not have it")
    gone, doubtful = withdrawn(connection, damages)
    damages.take(ours, touched=None in doubtful or bool(doubtful & known))
    return [entry for entry in in_order(whole) if not {entry.key, entry.job} & gone]
