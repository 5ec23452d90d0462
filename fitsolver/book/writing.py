"""Writing of entries inside the caller's transaction; conflicts are refused."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import Connection, delete, insert, select, update

from fitsolver.base.errors import InputError
from fitsolver.book.entries import canonical, words_of
from fitsolver.book.finding import entry_of, live_jobs, live_passes, withdrawn
from fitsolver.book.tables import CYLINDER, ENTRY, LINE
from fitsolver.book.verifying import Damages
from fitsolver.records.book import BookEntry, BookLine, Kept


def keep(connection: Connection, entry: BookEntry) -> Kept:
    """Put an entry into the book, unless the same one is there already.

    Raises InputError where it contradicts the book: a marking of another family, another
    pass of the same number, an entry it refers to that is missing, one that was withdrawn.
    """
    strict = Damages(strict=True)
    if entry_of(connection, entry.key, strict) is not None:
        if entry.key in withdrawn(connection, strict).keys:
            raise InputError(
                "this entry was in the book and was withdrawn",
                field="entry",
                found=entry.key[:10],
                allowed="withdrawing its withdrawal",
            )
        return Kept(entry=entry, new=False)
    store(connection, entry)
    check_conflicts(connection, [entry])
    return Kept(entry=entry, new=True)


def store(connection: Connection, entry: BookEntry) -> None:
    """Put a new entry into the book; the conflict check follows later.

    Raises InputError for a marking of another family, and for a missing referenced entry.
    """
    _check_refers(connection, entry)
    for line in entry.lines:
        _know(connection, line)
    connection.execute(insert(ENTRY).values(key=entry.key, **_columns(entry)))
    _store_lines(connection, entry)


def mend(connection: Connection, entry: BookEntry) -> None:
    """Rewrite a damaged entry; the key proves that it is the same."""
    for line in entry.lines:
        _know(connection, line)
    connection.execute(update(ENTRY).where(ENTRY.c.key == entry.key).values(**_columns(entry)))
    _store_lines(connection, entry)


def _columns(entry: BookEntry) -> dict[str, object]:
    return {
        "kind": entry.kind,
        "date": entry.date.isoformat(),
        "job": entry.job,
        "number": entry.number,
        "withdraws": entry.withdraws,
        "content": canonical(entry),
    }


def _store_lines(connection: Connection, entry: BookEntry) -> None:
    # Of an entry whose key was damaged, lines may be there already.
    connection.execute(delete(LINE).where(LINE.c.entry == entry.key))
    rows = [
        {
            "entry": entry.key,
            "marking": line.marking,
            "date": entry.date.isoformat(),
            "smallest": line.smallest,
            "largest": line.largest,
            "words": words_of(entry, line),
        }
        for line in entry.lines
    ]
    if rows:
        connection.execute(insert(LINE), rows)


def check_conflicts(connection: Connection, entries: Iterable[BookEntry]) -> None:
    """Refuse entries, now in the book, that contradict or repeat others that count.

    A pass of the same job, cylinder and number; the same job of the same cylinder.
    """
    strict = Damages(strict=True)
    gone = withdrawn(connection, strict).keys
    for entry in entries:
        if {entry.key, entry.job} & gone:
            continue
        if entry.kind == "pass":
            _check_pass(connection, entry, strict)
        elif entry.kind == "job":
            _check_job(connection, entry, strict)


def _check_pass(connection: Connection, entry: BookEntry, strict: Damages) -> None:
    (line,) = entry.lines
    for other in live_passes(connection, str(entry.job), line.marking, strict):
        if other.number == entry.number and other.key != entry.key:
            raise InputError(
                f"the book holds another pass {entry.number} of this cylinder and job",
                file=entry.title,
                row=f"cylinder {line.marking}",
                field="pass",
                found=f"entry {other.key[:10]} of {other.date}",
                allowed="the passes as they were entered, or withdrawing that entry first",
            )


def _check_job(connection: Connection, entry: BookEntry, strict: Damages) -> None:
    for line in entry.lines:
        for other in live_jobs(connection, line.marking, strict):
            if other.key != entry.key and other.documents["job"] == entry.documents["job"]:
                raise InputError(
                    "the book holds this job already, with the same readings",
                    file=entry.title,
                    row=f"cylinder {line.marking}",
                    found=f"entry {other.key[:10]} of {other.date}",
                    allowed="new readings, or withdrawing that entry first",
                )


def _check_refers(connection: Connection, entry: BookEntry) -> None:
    key = entry.job or entry.withdraws
    if key is None:
        return
    strict = Damages(strict=True)
    other = entry_of(connection, key, strict)
    if other is None or (entry.job and other.kind != "job"):
        raise InputError(
            f"the book has not the entry that this {entry.kind} belongs to",
            field="entry",
            found=key[:10],
        )
    if entry.withdraws and other.withdraws:
        again = entry_of(connection, other.withdraws, strict)
        if again is not None and again.withdraws:
            raise InputError(
                "this was given back already",
                field="entry",
                found=key[:10],
                allowed="withdrawing the entry itself, with another reason",
            )


def _know(connection: Connection, line: BookLine) -> None:
    """Enter the cylinder of a line; its family is that of the first job that tells it."""
    known = connection.execute(
        select(CYLINDER.c.family).where(CYLINDER.c.marking == line.marking)
    ).first()
    if known is None:
        connection.execute(insert(CYLINDER).values(marking=line.marking, family=line.family))
    elif known[0] is None and line.family is not None:
        connection.execute(
            CYLINDER.update().where(CYLINDER.c.marking == line.marking).values(family=line.family)
        )
    elif line.family not in (None, known[0]):
        raise InputError(
            "the book has this marking for a cylinder of another family",
            row=f"cylinder {line.marking}",
            field="family",
            found=line.family,
            allowed=f"{known[0]}, or a marking of its own",
        )
