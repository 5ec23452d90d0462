"""Alternatives to the best plan: the cost of each against it, the differences, and the front."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import NONE, Figures, money
from fitsolver.records.told import cylinder_words
from fitsolver.records.words import counted
from fitsolver.reporting.answer_view import no_fit_view
from fitsolver.reporting.layout import (
    SCREEN_LINES,
    Columns,
    as_many,
    heading,
    indented,
    lines_of,
    pairs,
    text,
)
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.alternatives import Alternative, AlternativesAnswer, Change, Totals

_Columns = Columns
#: Lines that details of the front may take and come with the answer; lines or rows told in any
#: case.
_FEW: Final = 12
_LEAST: Final = 4
#: Number of a plan's changes that are always shown.
_BOTH: Final = 2
_REBUILDS: Final = 7


def alternatives_view(
    answer: AlternativesAnswer, figures: Figures, opened: Opened = WHOLE, used: int = 4
) -> Iterator[RenderableType | Section]:
    """Yield the status, the plans with their costs, the front if asked for, and the changes.

    `used` lines of the first screen are taken by what stands above it.
    """
    parts: list[RenderableType] = ["", text(*_status(answer))]
    if answer.no_fit is not None:
        yield from (*parts, *no_fit_view(answer.no_fit, opened))
        return
    if answer.plans:
        parts += [
            heading("The best plans, what matters most first"),
            _costs(answer.plans, figures, answer.currency),
            indented("The first line is what the best plan comes to; the others, against it."),
        ]
    if answer.front is not None and answer.plans:
        room = SCREEN_LINES - used - lines_of(parts)
        parts += _front(answer, answer.front, figures, opened, room)
    yield from parts
    if len(answer.plans) > 1:
        room = SCREEN_LINES - used - lines_of(parts)
        yield from _changes(list(_told(answer.plans)), opened, room)
    if answer.front:
        details = list(_of_front(answer.front))
        yield Section("front", details, shut=lines_of(details) > _FEW)


def _changes(
    told: Sequence[tuple[str, list[str]]], opened: Opened, room: int
) -> Iterator[RenderableType | Section]:
    """Yield the changes of each plan: all of them in `room` lines or few, otherwise the first."""
    title = heading("What each takes in place of the best")
    whole = [title, pairs((plan, "; ".join(lines)) for plan, lines in told)]
    if opened.has("changes") or lines_of(whole) <= max(room, _LEAST):
        yield from whole
        return
    yield title
    yield pairs((plan, _first_of(lines)) for plan, lines in told)
    if any(len(lines) > _BOTH for _, lines in told):
        yield Section("changes", ())


def _first_of(lines: Sequence[str]) -> str:
    """Return the first of more than two changes and how many there are, else both."""
    more = len(lines) - 1
    return f"{lines[0]}; {more} changes more" if len(lines) > _BOTH else "; ".join(lines)


def _told(plans: Sequence[Alternative]) -> Iterator[tuple[str, list[str]]]:
    """Yield the changes of each plan; a plan that differs from another in gaskets only refers to
    that one.
    """
    known: dict[frozenset[Change], int] = {frozenset(): 1}
    for plan in plans[1:]:
        others = frozenset(change for change in plan.changes if not _of_gasket(change))
        gaskets = [change for change in plan.changes if _of_gasket(change)]
        like = known.get(others)
        if like is None or not gaskets:
            known.setdefault(others, plan.rank)
            yield f"plan {plan.rank}", list(_lines(plan.changes))
        else:
            first, *rest = _lines(gaskets)
            yield f"plan {plan.rank}", [f"as plan {like}, with {first}", *rest]


def _of_gasket(change: Change) -> bool:
    return change.what.startswith("gasket")


def _status(answer: AlternativesAnswer) -> tuple[str, str]:
    if answer.status == "nothing fits":
        return "NOTHING FITS: no choice of parts and work keeps every rule.", "bold red"
    if answer.status == "undecided":
        line = "UNDECIDED: in the time given no plan was found, nor that there is none."
        return line, "bold yellow"
    shown = counted(len(answer.plans), "plan", "plans")
    if answer.status == "best found":
        line = f"{shown} in the time given; the order of the plans is proven but for the last step."
        return f"BEST FOUND: {line}", "bold yellow"
    line = f"PROVEN: the best {shown} that differ in parts or routes, each checked"
    line += " without the solver."
    if len(answer.plans) == 1:
        line = "PROVEN: the best plan, checked without the solver."
    if answer.complete:
        line += " There are no others."
    return line, "bold green"


def _costs(plans: Sequence[Alternative], figures: Figures, currency: str) -> RenderableType:
    best, *others = plans
    rows = [("1 (best)", *_row(best.totals, figures, sign=False))]
    rows += [(str(plan.rank), *_row(plan.against_best, figures, sign=True)) for plan in others]
    return _table(_columns("plan", currency), rows)


def _columns(first: str, currency: str) -> _Columns:
    return (
        (first, "word"),
        ("largest\nremoval", "figure"),
        ("total\nremoval", "figure"),
        ("filing", "figure"),
        (f"price\n{currency}".rstrip(), "figure"),
        ("days", "figure"),
        ("sizes\nleft", "figure"),
        ("rebuilds\nleft", "figure"),
        ("sleeved", "figure"),
    )


def _table(columns: _Columns, rows: Sequence[Sequence[str]]) -> RenderableType:
    """Return the table of costs, with rebuilds if they are counted."""
    if all(row[_REBUILDS] == NONE for row in rows):
        columns = (*columns[:_REBUILDS], *columns[_REBUILDS + 1 :])
        rows = [(*row[:_REBUILDS], *row[_REBUILDS + 1 :]) for row in rows]
    return table(columns, rows)


def _row(totals: Totals, figures: Figures, *, sign: bool) -> tuple[str, ...]:
    def count(value: int) -> str:
        return f"{value:+d}" if sign and value else str(value)

    lengths = (totals.largest_removal, totals.total_removal, totals.filing)
    price = money(abs(totals.price))
    if sign and totals.price:
        price = ("+" if totals.price > 0 else "-") + price
    return (
        *(figures.up(length, sign=sign and length != 0) for length in lengths),
        price,
        count(totals.days),
        count(totals.sizes_left),
        NONE if totals.rebuilds_left is None else count(totals.rebuilds_left),
        count(totals.restored),
    )


def _lines(changes: Sequence[Change]) -> Iterator[str]:
    """Yield every change; cylinders with the same change share a line."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    for change in changes:
        alike.setdefault((change.what, change.best, change.here), []).append(change.cylinder)
    for (what, best, here), names in alike.items():
        yield f"{cylinder_words(names)}: {what} {here or NONE} in place of {best or NONE}"


def _front(
    answer: AlternativesAnswer,
    plans: Sequence[Alternative],
    figures: Figures,
    opened: Opened,
    room: int,
) -> list[RenderableType]:
    """Return the plans of the front with their figures: as many as `room` lines hold."""
    with_rebuilds = answer.plans[0].totals.rebuilds_left is not None
    axes = "total removal, rebuilds left, price" if with_rebuilds else "total removal, price"
    number = "four" if with_rebuilds else "three"
    proven = f"Proven: no plan is as good in all {number} and better in one; no other is."
    said = indented(proven)
    if not answer.front_complete:
        open_from = _left_open(answer, figures)
        said = indented(f"NOT COMPLETE, the time ended. {open_from}", "bold yellow")
    parts: list[RenderableType] = [heading(f"Front between {axes} and days"), said]
    rows = [(_letters(plan.rank), *_row(plan.totals, figures, sign=False)) for plan in plans]
    columns = _columns("", answer.currency)

    def told(shown: int) -> list[RenderableType]:
        more = len(rows) - shown
        below = [indented(f"{counted(more, 'plan', 'plans')} more: --show front")] * bool(more)
        return [*parts, "", _table(columns, rows[:shown]), *below]

    return told(len(rows)) if opened.has("front") else as_many(told, len(rows), room, _LEAST)


def _of_front(plans: Sequence[Alternative]) -> Iterator[RenderableType]:
    """Yield the differences of each plan of the front from the best plan."""
    yield heading("What each of the front takes in place of the best")
    same = ["the parts and routes of the best plan"]
    yield pairs(
        (_letters(plan.rank), "; ".join(list(_lines(plan.changes)) or same)) for plan in plans
    )


def _left_open(answer: AlternativesAnswer, figures: Figures) -> str:
    """Return which plans may be missing if the time ran out."""
    if not answer.front:
        return "the time ended before a plan of the front was proven."
    least = figures.down(answer.front_open_from or 0)
    return (
        "each plan shown is proven. Up to a total removal of "
        f"{least} {figures.unit} none is missing; above it the time ended."
    )


def _letters(rank: int) -> str:
    """Return A to Z, then AA, AB and so on: a front is no ranking."""
    name = ""
    while rank:
        rank, letter = divmod(rank - 1, 26)
        name = chr(ord("A") + letter) + name
    return name
