"""A row compared with its sisters: one deviating figure is a doubt, several make another kind.

Two rows are sisters in a figure where they agree in all other figures. A maker who changes a
piston or a ring changes several figures with it; a slip of the hand changes one.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from typing import Final, NamedTuple

Value = int | str | tuple[int, ...] | None

#: A figure is the usual one where at least this many sisters have it ...
FEWEST: Final = 2
#: ... and this many times as many as have any other.
TIMES_OTHERS: Final = 2


class Column(NamedTuple):
    """One figure of every row of a table that sisters share.

    `near` is the tolerance (parts in 1000 of the usual figure). A column that is not `tested` only
    distinguishes kinds.
    """

    field: str
    values: Sequence[Value]
    near: int = 0
    tested: bool = True


class Odd(NamedTuple):
    """A row (by position) that differs in one column from `sisters`, which have `usual`."""

    row: int
    column: Column
    usual: int
    sisters: tuple[int, ...]


def odd_rows(columns: Sequence[Column]) -> Iterator[Odd]:
    """Yield every row that lies off its sisters in one figure; each row and column once."""
    told: set[tuple[int, str]] = set()
    for odd in (*_off_its_kind(columns), *_off_the_table(columns)):
        if (odd.row, odd.column.field) not in told:
            told.add((odd.row, odd.column.field))
            yield odd


def kinds(columns: Sequence[Column]) -> list[int]:
    """Return a number for each row; rows equal in all columns share it."""
    known: dict[tuple[Value, ...], int] = {}
    rows = zip(*(column.values for column in columns), strict=True)
    return [known.setdefault(row, len(known)) for row in rows]


def _off_its_kind(columns: Sequence[Column]) -> Iterator[Odd]:
    """Rows that differ in one figure from rows that agree in all others.

    Equal rows are tested once. The key of a kind is the sum of a code for each figure, so that
    leaving a figure out is one subtraction.
    """
    alike: dict[tuple[Value, ...], list[int]] = defaultdict(list)
    for position, row in enumerate(zip(*(column.values for column in columns), strict=True)):
        alike[row].append(position)
    codes = {row: [hash((at, value)) for at, value in enumerate(row)] for row in alike}
    sums = {row: sum(each) for row, each in codes.items()}
    for at, column in enumerate(columns):
        if not column.tested:
            continue
        groups: dict[int, list[tuple[Value, ...]]] = defaultdict(list)
        for row in alike:
            groups[sums[row] - codes[row][at]].append(row)
        for group in groups.values():
            if len(group) > 1:
                yield from _off_the_usual(column, {row[at]: alike[row] for row in group})


def _off_the_usual(column: Column, holders: dict[Value, list[int]]) -> Iterator[Odd]:
    """Yield single rows whose figure differs from that of the majority."""
    usual = max(holders, key=lambda value: len(holders[value]))
    sisters = holders[usual]
    others = sum(map(len, holders.values())) - len(sisters)
    if len(sisters) < max(FEWEST, TIMES_OTHERS * others) or not isinstance(usual, int):
        return
    for value, rows in holders.items():
        if value != usual and len(rows) == 1 and _is_off(column, value, usual):
            yield Odd(rows[0], column, usual, tuple(sisters))


def _is_off(column: Column, value: Value, usual: int) -> bool:
    return isinstance(value, int) and abs(value - usual) * 1000 > column.near * abs(usual)


def _off_the_table(columns: Sequence[Column]) -> Iterator[Odd]:
    """Rows that alone differ from the whole table, in one figure only.

    This helps where each kind has few rows: a figure common to several kinds belongs to the engine.
    """
    alone: dict[int, list[tuple[Column, Value]]] = defaultdict(list)
    for column in columns:
        counts = Counter(column.values)
        if len(counts) == 2:
            (usual, most), (value, least) = counts.most_common()
            if least == 1 and most >= FEWEST:
                alone[column.values.index(value)].append((column, usual))
    for row, found in alone.items():
        column, usual = found[0]
        if len(found) > 1 or not column.tested or not isinstance(usual, int):
            continue
        if _is_off(column, column.values[row], usual):
            others = tuple(at for at in range(len(column.values)) if at != row)
            yield Odd(row, column, usual, others)


def off_the_trend(
    sizes: Sequence[int],
    values: Sequence[int],
    allowed: Callable[[int, int], int],
) -> Iterator[tuple[int, int, int]]:
    """Yield (position, low, high) of rows whose value deviates from neighbours in size.

    The expected range spans the values of the other rows of the same size and of the next size on
    each side. At an end of the ladder it includes the next two sizes and their extrapolation.
    `allowed(position, expected)` is how far a value may lie outside.
    """
    if len(values) <= FEWEST:
        return
    by_size: dict[int, list[int]] = defaultdict(list)
    for size, value in zip(sizes, values, strict=True):
        by_size[size].append(value)
    ladder = sorted(by_size)
    ordered = [sorted(by_size[size]) for size in ladder]
    rank = {size: at for at, size in enumerate(ladder)}
    for position, (size, value) in enumerate(zip(sizes, values, strict=True)):
        at = rank[size]
        near = [*_beside(ladder, ordered, at), *_of_its_size(ordered[at], value)]
        if not near:
            continue
        low, high = min(near), max(near)
        room = allowed(position, (low + high) // 2)
        if not low - room <= value <= high + room:
            yield position, low, high


def _beside(ladder: Sequence[int], ordered: Sequence[Sequence[int]], at: int) -> Iterator[int]:
    """Yield least and most of the next sizes; at an end also their extrapolation."""
    for way in (-1, 1):
        one, two = at + way, at + 2 * way
        if 0 <= one < len(ladder):
            yield from (ordered[one][0], ordered[one][-1])
            if not 0 <= at - way < len(ladder) and 0 <= two < len(ladder):
                far, step = ladder[at] - ladder[one], ladder[one] - ladder[two]
                for edge in (0, -1):
                    yield ordered[two][edge]
                    rise = ordered[one][edge] - ordered[two][edge]
                    yield ordered[one][edge] + rise * far // step


def _of_its_size(values: Sequence[int], own: int) -> Iterator[int]:
    """Yield least and most of the others of a size (`values` in order)."""
    if len(values) > 1:
        yield values[1] if own == values[0] else values[0]
        yield values[-2] if own == values[-1] else values[-1]
