"""The short answer of `pick`: verdict, order and a line a cylinder, in one screen of 80 columns.

A longer answer is condensed step by step: equal cylinders share a row, then the order list becomes
running text, then only the rows that fit are shown, with a line about the others.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from typing import TYPE_CHECKING, Final, Literal

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
_Told = Literal["table", "list", "text", "counted"]


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


def short_answer(answer: Answer, figures: Figures, used: int) -> list[RenderableType]:
    """Return verdict, order and a line a cylinder; `used` lines of the screen are taken above."""
    parts = verdict(answer)
    if answer.plan is None:
        return parts
    return parts + plan_in_short(
        answer.plan, figures, answer.currency, SCREEN_LINES - used - lines_of(parts)
    )


def plan_in_short(
    plan: Plan, figures: Figures, currency: str, room: int = SCREEN_LINES
) -> list[RenderableType]:
    """Return order and a line a cylinder in at most `room` lines, told as fully as that permits."""
    each = rows_of(plan.cylinders, figures)
    as_one = alike(each)
    orders: tuple[_Told, ...] = ("table", "list", "text", "counted")
    for told, rows in product(orders, (each, as_one)):
        parts = _parts(plan, rows, (), told, figures, currency)
        if lines_of(parts) <= room:
            return parts
    few = lines_of([*_order(plan, "text", currency)]) <= _FEW
    for shown in _whole_cylinders(as_one):
        told = "text" if few else "counted"
        parts = _parts(plan, as_one[:shown], as_one[shown:], told, figures, currency)
        if lines_of(parts) <= room:
            break
    return parts


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
    parts: list[RenderableType] = [*_order(plan, order, currency), ""]
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
    else:
        count = counted(len(lines), "number", "numbers")
        yield indented(f"{count} to order or take: --show order")


def _how(row: Sequence[str]) -> str:
    _, what, _, source, _, price, days = row
    return ", ".join([what, source] + [f"{days} days"] * (days != NONE) + [price] * (price != NONE))
