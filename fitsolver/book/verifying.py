"""Every entry that is read is verified: its key is the digest of its content.

The columns beside the content are derived from it and must agree. An entry that fails is damaged:
it is named and left out, never shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any, Final

from pydantic import ValidationError

from fitsolver.base.errors import InputError
from fitsolver.book.entries import check_entry
from fitsolver.book.tables import ENTRY
from fitsolver.reading.hints import shown
from fitsolver.records.book import BookEntry

#: Columns selected for the verification of an entry.
COLUMNS: Final = (
    ENTRY.c.key,
    ENTRY.c.kind,
    ENTRY.c.date,
    ENTRY.c.job,
    ENTRY.c.number,
    ENTRY.c.withdraws,
    ENTRY.c.content,
)
REMEDY: Final = "a good copy: `fitsolver book import` of an earlier export mends damaged entries"


@dataclass(frozen=True)
class Damage:
    """One damaged entry: the key it is stored under, in printable form, and the fault."""

    key: str
    why: str

    def __str__(self) -> str:
        return f"Entry {self.key[:10]} is damaged and left out: {self.why}."


@dataclass
class Damages:
    """The damaged entries found by one reading, each once.

    `strict`: raise InputError at the first, for reads that lead to a write. `touched`: the
    requested data may be incomplete.
    """

    strict: bool = False
    touched: bool = False
    found: dict[str, Damage] = field(default_factory=dict)

    def add(self, key: object, why: str) -> None:
        """Note a damaged entry; raises InputError if `strict`."""
        damage = Damage(shown(key), why)
        if self.strict:
            raise InputError(
                "an entry that this depends on is damaged",
                row=f"entry {damage.key[:10]}",
                found=why,
                allowed=REMEDY,
            )
        self.found.setdefault(damage.key, damage)

    def take(self, others: Damages, *, touched: bool) -> None:
        """Add the damage found by another reading; it concerns the requested data."""
        self.found |= {key: one for key, one in others.found.items() if key not in self.found}
        self.touched = self.touched or touched or bool(others.found)

    def __iter__(self) -> Iterator[Damage]:
        return iter(self.found.values())

    def __bool__(self) -> bool:
        return bool(self.found)


def verified(rows: Iterable[Any], damages: Damages) -> list[BookEntry]:
    """Return the entries of rows of `COLUMNS` that are whole; the others are noted."""
    found = []
    for row in rows:
        try:
            found.append(_entry(row))
        except InputError as error:
            damages.add(row.key, error.message)
    return found


def _entry(row: Any) -> BookEntry:
    entry = content_of(row)
    said = (entry.key, entry.kind, entry.date.isoformat(), entry.job, entry.number, entry.withdraws)
    for name, value in zip(row._fields, said, strict=False):
        if getattr(row, name) != value:
            raise InputError(f"its column '{name}' is not what its content says")
    return entry


def content_of(row: Any) -> BookEntry:
    """Return the entry in a row's content; its columns are not looked at.

    Raises InputError where it is damaged.
    """
    try:
        entry = BookEntry.model_validate_json(row.content)
        check_entry(entry)
    except (ValidationError, TypeError, UnicodeError, RecursionError) as error:
        raise InputError("its content cannot be read") from error
    except ValueError as error:  # a number that JSON does not have
        raise InputError("its content holds what no entry does") from error
    return entry
