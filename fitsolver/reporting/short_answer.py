"""The short answer of `pick`: verdict, order and a line a cylinder, in one screen of 80 columns.

A longer answer is condensed step by step: equal cylinders share a row, then the order list becomes
running text, of every number its count first; then the numbers are counted, and the order list
follows the answer; then only the rows that fit are shown, with a line about the others.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import product
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from fitsolver.records.figures import NONE, Figures, likely, money
from fitsolver.records.told import asked_lines, order_rows
from fitsolver.records.words import counted, ready_words
from fitsolver.reporting.bore_rows import Row, alike, bore_table, rows_of, zero_lines
from fitsolver.reporting.layout import SCREEN_LINES, Columns, indented, lines_of, pairs, text
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.plan import Answer, Plan, Status

_STATUS: Final[dict[Status, tuple[str, str]]] = {
    "proven best": (
        "PROVEN BEST for what is asked, and checked again without the solver.",
        "bold green",
    ),
    "best found": (
        "BEST FOUND in the time given, not proven best. It keeps every rule, which was checked "
        "again without the solver; how much better one may be stands below.",
        "bold yellow",
    ),
    "nothing fits": ("NOTHING FITS: no choice of parts and work keeps every rule.", "bold red"),
    "undecided": (
        "UNDECIDED: in the time given no plan was found, nor that there is none. Give more time.",
        "bold yellow",
    ),
}
_ORDER: Final[Columns] = (
    ("number", "text"),
    ("what", "word"),
    ("count", "figure"),
    ("from", "word"),
    ("price", "figure"),
    ("days", "figure"),
)
#: Lines of an order that is shown for any number of cylinders, with its head.
_FEW: Final = 4
_MOST_OF: Final = "Of several cylinders: the most to remove, the least left."
_Told = Literal["table", "list", "text", "short", "counted"]
#: Cells of an order row: its number, what it is, how many, from where, each, price, days.
_Cells = tuple[str, ...]


class Short(NamedTuple):
    """A short answer; `order_counted`: its order numbers did not fit and were counted."""

    parts: list[RenderableType]
    order_counted: bool = False


def verdict(answer: Answer) -> list[RenderableType]:
    """Return the verdict: whether the plan is proven, and in which respect."""
    asked = map(indented, asked_lines(answer))
    parts: list[RenderableType] = ["", status_line(answer.status), *asked]
    if answer.plan is not None and answer.plan.probability is not None:
        how = likely(answer.plan.probability, answer.plan.odds_of)
        parts.append(indented(f"all fits in their windows: {how}"))
    return parts


def status_line(status: Status) -> RenderableType:
    """Return the line that says whether a plan is proven."""
    return text(*_STATUS[status])


def short_answer(answer: Answer, figures: Figures, used: int) -> Short:
    """Return verdict, order and a line a cylinder; `used` lines of the screen are taken above."""
    parts = verdict(answer)
    if answer.plan is None:
        return Short(parts)
    room = SCREEN_LINES - used - lines_of(parts)
    found = plan_in_short(answer.plan, figures, answer.currency, room)
    return Short(parts + found.parts, found.order_counted)


def plan_in_short(plan: Plan, figures: Figures, currency: str, room: int = SCREEN_LINES) -> Short:
    """Return order and a line a cylinder in at most `room` lines, told as fully as that permits."""
    each = rows_of(plan.cylinders, figures)
    as_one = alike(each)
    orders: tuple[_Told, ...] = ("table", "list", "text", "short", "counted")
    for told, rows in product(orders, (each, as_one)):
        parts = _parts(plan, rows, (), told, figures, currency)
        if lines_of(parts) <= room:
            return Short(parts, told == "counted")
    told = next(
        (way for way in ("text", "short") if lines_of([*_order(plan, way, currency)]) <= _FEW),
        "counted",
    )
    for shown in _whole_cylinders(as_one):
        parts = _parts(plan, as_one[:shown], as_one[shown:], told, figures, currency)
        if lines_of(parts) <= room:
            break
    return Short(parts, told == "counted")


def _whole_cylinders(rows: Sequence[Row]) -> list[int]:
    """Return the row counts at which the table may end, the largest first. The two rows of a
    cylinder stay together, except those of the first cylinder if they do not fit. A split cylinder
    counts as one with more to show.
    """
    ends = [
        end
        for end in range(len(rows) - 1, 0, -1)
        if not {n for row in rows[:end] for n in row.cylinders}.intersection(
            n for row in rows[end:] for n in row.cylinders
        )
    ]
    return ends if 1 in ends else [*ends, 1]


def _parts(
    plan: Plan,
    rows: Sequence[Row],
    others: Sequence[Row],
    order: _Told,
    figures: Figures,
    currency: str,
) -> list[RenderableType]:
    parts: list[RenderableType] = list(_order(plan, order, currency))
    if order != "short":  # its lines are those of the table's blank one
        parts.append("")
    parts += bore_table(rows, figures, [item.cylinder for item in plan.cylinders])
    told = {name for row in rows for name in row.cylinders}
    parts += zero_lines([item for item in plan.cylinders if item.cylinder in told], figures)
    if others:
        more = len({name for row in others for name in row.cylinders})
        parts.append(indented(f"{more} of {len(plan.cylinders)} cylinders more: --show work"))
    if any(len(row.cylinders) > 1 for row in rows):
        parts.append(indented(_MOST_OF))
    return parts


def _order(plan: Plan, told: _Told, currency: str) -> Iterator[RenderableType]:
    parts, all_of_it = money(plan.parts_price, currency), money(plan.price, currency)
    yield ""
    yield text(f"ORDER: {parts}, with work {all_of_it}; {ready_words(plan.days)}", "bold")
    lines = list(order_rows(plan))
    if told == "table":
        yield table(_ORDER, [(*row[:4], *row[5:]) for row in lines])
    elif told == "list":
        yield pairs((f"{row[2]} x {row[0]}", _how(row)) for row in lines)
    elif told == "text":
        yield indented("; ".join(f"{row[2]} x {row[0]} ({_how(row)})" for row in lines))
    elif told == "short":
        yield order_in_words(plan)
    else:
        count = counted(len({row[0] for row in lines}), "number", "numbers")
        yield indented(f"{count} to order or take: --show order")


def order_in_words(plan: Plan) -> RenderableType:
    """Return what to order and take as running text: count, number, price each, and when."""
    return indented("; ".join(_by_number(list(order_rows(plan)))))


def _by_number(rows: Iterable[_Cells]) -> Iterator[str]:
    """Yield every number once, with its count and price each: `3 x P1 at 9.00 (1 in 10 days)`."""
    of: dict[str, list[_Cells]] = {}
    for row in rows:
        of.setdefault(row[0], []).append(row)
    for number, same in of.items():
        count = sum(int(row[2]) for row in same)
        prices = " or ".join(dict.fromkeys(row[4] for row in same if row[4] != NONE))
        waits = ", ".join(f"{_part_of(row, count)}{when}" for row in same if (when := _when(row)))
        at, from_where = f" at {prices}" * bool(prices), f" ({waits})" * bool(waits)
        yield f"{count} x {number}{at}{from_where}"


def _when(row: _Cells) -> str:
    """Return when the parts of an order row are there, where they are not in stock."""
    return "in hand" if row[3] == "in hand" else f"in {row[6]} days" * (row[6] != NONE)


def _part_of(row: _Cells, count: int) -> str:
    return "" if int(row[2]) == count else f"{row[2]} "


def _how(row: Sequence[str]) -> str:
    _, what, _, source, _, price, days = row
    return ", ".join([what, source] + [f"{days} days"] * (days != NONE) + [price] * (price != NONE))
