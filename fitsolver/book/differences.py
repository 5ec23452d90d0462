"""Tables compared with their own indexes, once for every opened book: they must agree.

An entry lost from an index would not be found, and an entry it withdraws would count again.
"""

from __future__ import annotations

from dataclasses import dataclass
from weakref import WeakKeyDictionary

from sqlalchemy import Connection, Engine, or_, select

from fitsolver.book.tables import ENTRY, LINE

_KNOWN: WeakKeyDictionary[Engine, Differences] = WeakKeyDictionary()


@dataclass(frozen=True)
class Differences:
    """Rows of the tables missing from their indexes.

    `withdrawals` are keys of entries; `lines` pairs of the folded marking and the key of an entry.
    """

    withdrawals: frozenset[str]
    lines: frozenset[tuple[str, str]]

    def lines_of(self, marking: str) -> set[str]:
        """Return the entries of a cylinder that its index has not."""
        folded = marking.casefold()
        return {entry for word, entry in self.lines if word == folded}


def differences(connection: Connection) -> Differences:
    """Return the differences of a book as they were when it was first read."""
    if connection.engine not in _KNOWN:
        _KNOWN[connection.engine] = Differences(_withdrawals(connection), _lines(connection))
    return _KNOWN[connection.engine]


def _withdrawals(connection: Connection) -> frozenset[str]:
    """A withdrawal is recognised by its content, by its kind, and by its lack of cylinder lines."""
    indexed = select(ENTRY.c.key).where(ENTRY.c.withdraws > "")
    asked = select(ENTRY.c.key).with_hint(ENTRY, "NOT INDEXED", "sqlite")
    asked = asked.where(
        or_(
            ENTRY.c.withdraws.is_not(None),
            ENTRY.c.kind == "withdrawal",
            ENTRY.c.key.not_in(select(LINE.c.entry)),
        )
    )
    there = {str(key) for key in connection.execute(asked).scalars()}
    return frozenset(there - set(connection.execute(indexed).scalars()))


def _lines(connection: Connection) -> frozenset[tuple[str, str]]:
    """Every line holds its marking twice: a changed marking shows against the line's words."""
    lines = select(LINE.c.marking, LINE.c.entry, LINE.c.words)
    by_table = lines.with_hint(LINE, "NOT INDEXED", "sqlite")
    by_index = lines.with_hint(LINE, "INDEXED BY fitsolver_line_marking", "sqlite")
    indexed = {(str(row[0]), str(row[1])) for row in connection.execute(by_index)}
    found = set()
    for marking, entry, words in connection.execute(by_table):
        pair = (str(marking), str(entry))
        if pair not in indexed:
            found.add((pair[0].casefold(), pair[1]))
        word = str(words).partition("\n")[0]
        if word != pair[0].casefold():
            found.add((word, pair[1]))
    return frozenset(found)
