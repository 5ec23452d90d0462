"""A book of invented entries, and seeded damage to its files."""

from __future__ import annotations

import datetime as dt
import random
import shutil
import sqlite3
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from fitsolver import book
from fitsolver.book.book import Book
from fitsolver.records.book import BookLine, FittedParts, HistoryAnswer

from .made import BORE, DAY, cylinder, job, strokes

MARKINGS = ("pump 7, left", "pump 7, right", "saw 3")


@dataclass(frozen=True)
class Truth:
    """A sound book: its file, its export, and what it tells of every cylinder."""

    file: Path
    export: str
    histories: dict[str, HistoryAnswer]
    lines: dict[str, set[BookLine]]


def fill(shop: Book) -> None:
    """Three cylinders over the years: jobs, passes, parts, withdrawals, one of them given back."""
    for year in range(4):
        day = DAY + dt.timedelta(days=365 * year)
        for number, marking in enumerate(MARKINGS):
            size = BORE + 700 * year + number
            task = job(cylinder(marking, size))
            key = shop.add_job(task, date=day).entry.key
            passes = [strokes(10 + year), strokes(20, size + 400)]
            shop.add_passes(task, passes, date=day + dt.timedelta(days=1), to=key)
            parts = FittedParts(piston=f"P-{year}", rings=("R",), note="by hand")
            shop.add_fitted(marking, parts, date=day + dt.timedelta(days=2), to=key)
    wrong = FittedParts(piston="P-wrong")
    again = shop.add_fitted(MARKINGS[0], wrong, date=day + dt.timedelta(days=3)).entry.key
    shop.withdraw(again, "another cylinder", date=day + dt.timedelta(days=4))
    right = FittedParts(piston="P-late")
    kept = shop.add_fitted(MARKINGS[1], right, date=day + dt.timedelta(days=3)).entry.key
    gone = shop.withdraw(kept, "by mistake", date=day + dt.timedelta(days=4)).entry.key
    shop.withdraw(gone, "it was right", date=day + dt.timedelta(days=5))


@cache
def truth() -> Truth:
    """The sound book."""
    file = Path(mkdtemp()) / "sound.sqlite"
    with book.open(str(file)) as shop:
        fill(shop)
        histories = {marking: shop.history(marking) for marking in MARKINGS}
        lines: dict[str, set[BookLine]] = {}
        for found in shop.search().lines:
            lines.setdefault(found.key, set()).add(found.line)
        export = shop.export()
    raw = sqlite3.connect(file)
    raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    raw.close()
    return Truth(file, export, histories, lines)


def damage(content: bytes, draw: random.Random) -> bytes:
    """Return bytes with some of them changed, taken out, repeated or cut off."""
    found = bytearray(content)
    for _ in range(draw.choice((1, 1, 1, 2, 5, 40))):
        at = draw.randrange(len(found))
        how = draw.randrange(8)
        if how < 3:
            found[at] ^= 1 << draw.randrange(8)
        elif how < 5:
            found[at] = draw.randrange(256)
        elif how == 5:
            length = draw.choice((4, 64, 4096))
            found[at : at + length] = bytes(len(found[at : at + length]))
        elif how == 6:
            length, to = draw.choice((16, 512, 4096)), draw.randrange(len(found))
            part = found[at : at + length]
            found[to : to + len(part)] = part
        elif draw.random() < 0.3:
            del found[at:]
            found += b"\0" * (not found)
    return bytes(found)


def change_a_figure(file: Path, draw: random.Random) -> None:
    """Change one cell of one table, as a hand with a tool would: SQLite finds nothing wrong."""
    raw = sqlite3.connect(file)
    table = draw.choice(("fitsolver_entry", "fitsolver_entry", "fitsolver_line"))
    columns = [row[1] for row in raw.execute(f"PRAGMA table_info({table})")]
    column = "content" if draw.random() < 0.5 and "content" in columns else draw.choice(columns)
    rowids = [row[0] for row in raw.execute(f"SELECT rowid FROM {table}")]
    (value,) = raw.execute(
        f"SELECT {column} FROM {table} WHERE rowid = ?", [row := draw.choice(rowids)]
    ).fetchone()
    text = str(value)
    at = draw.randrange(len(text))
    changed = draw.choice(
        (text[:at] + draw.choice('0123456789af"},') + text[at + 1 :], None, b"\xff")
    )
    try:
        raw.execute(f"UPDATE {table} SET {column} = ? WHERE rowid = ?", [changed, row])
        raw.commit()
    except sqlite3.IntegrityError:
        pass
    raw.close()


def copied(to: Path) -> Path:
    """Return a copy of the sound file."""
    shutil.copy(truth().file, to)
    return to
