"""Plans beside the best one: what each costs against it, what differs, and the front."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import NONE, Figures, money
from fitsolver.records.told import cylinder_words
from fitsolver.records.words import counted
from fitsolver.reporting.answer_view import no_fit_view
from fitsolver.reporting.layout import Kind, bullets, heading, indented, pairs, table, text
from fitsolver.reporting.sections import Section

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.alternatives import Alternative, AlternativesAnswer, Change, Totals

_COLUMNS: Final[tuple[tuple[str, Kind], ...]] = (
    ("plan", "word"),
    ("largest\nremoval", "figure"),
    ("total\nremoval", "figure"),
    ("filing", "figure"),
    ("price", "figure"),
    ("days", "figure"),
    ("sizes\nleft", "figure"),
    ("rebuilds\nleft", "figure"),
    ("sleeved", "figure"),
)
_REBUILDS: Final = 7


def alternatives_view(answer: AlternativesAnswer, figures: Figures) -> list[RenderableType]:
    """Return the status, the plans with their costs and changes, and the front if asked for."""
    parts: list[RenderableType] = ["", text(*_status(answer))]
    if answer.no_fit is not None:
        whole = no_fit_view(answer.no_fit)
        return [*parts, *(part for part in whole if not isinstance(part, Section))]
    if not answer.plans:
        return parts
    parts += [heading("The best plans, what matters most first"), _costs(answer.plans, figures)]
    parts += [
        "",
        indented("The first line is what the best plan comes to; the others, against it."),
    ]
    if len(answer.plans) > 1:
        parts += [heading("What each takes in place of the best"), pairs(_told(answer.plans))]
    if answer.front is not None:
        parts += _front(answer, answer.front, figures)
    return parts


def _told(plans: Sequence[Alternative]) -> Iterator[tuple[str, str]]:
    """Yield what each plan takes; one that differs from another in gaskets only, as that one."""
    known: dict[frozenset[Change], int] = {frozenset(): 1}
    for plan in plans[1:]:
        others = frozenset(change for change in plan.changes if not _of_gasket(change))
        gaskets = [change for change in plan.changes if _of_gasket(change)]
        like = known.get(others)
        if like is None or not gaskets:
            known.setdefault(others, plan.rank)
            yield f"plan {plan.rank}", "; ".join(_lines(plan.changes))
        else:
            yield f"plan {plan.rank}", f"as plan {like}, with {'; '.join(_lines(gaskets))}"


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
    line = (
        f"PROVEN: the best {shown} that differ in parts or routes, each checked without the solver."
    )
    if answer.complete:
        line += " There are no others."
    return line, "bold green"


def _costs(plans: Sequence[Alternative], figures: Figures) -> RenderableType:
    best, *others = plans
    rows = [("1 (best)", *_row(best.totals, figures, sign=False))]
    rows += [(str(plan.rank), *_row(plan.against_best, figures, sign=True)) for plan in others]
    return _table(_COLUMNS, rows)


def _table(columns: Sequence[tuple[str, Kind]], rows: Sequence[Sequence[str]]) -> RenderableType:
    """Return the table of costs, without rebuilds where they are not counted."""
    if all(row[_REBUILDS] == NONE for row in rows):
        columns = [*columns[:_REBUILDS], *columns[_REBUILDS + 1 :]]
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
    """Yield every change, cylinders that change alike in one line."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    for change in changes:
        alike.setdefault((change.what, change.best, change.here), []).append(change.cylinder)
    for (what, best, here), names in alike.items():
        yield f"{cylinder_words(names)}: {what} {here or NONE} in place of {best or NONE}"


def _front(
    answer: AlternativesAnswer, plans: Sequence[Alternative], figures: Figures
) -> Iterator[RenderableType]:
    with_rebuilds = answer.plans[0].totals.rebuilds_left is not None
    axes = "total removal, rebuilds left, price" if with_rebuilds else "total removal, price"
    yield heading(f"Front between {axes} and days")
    if answer.front_complete:
        number = "four" if with_rebuilds else "three"
        yield indented(
            f"Proven: no plan is as good in all {number} and better in one; no other is."
        )
    else:
        yield indented(
            f"NOT COMPLETE, the time ended. {_left_open(answer, figures)}", "bold yellow"
        )
    if not plans:
        return
    yield ""
    columns = (("", _COLUMNS[0][1]), *_COLUMNS[1:])
    rows = [(_letters(plan.rank), *_row(plan.totals, figures, sign=False)) for plan in plans]
    yield _table(columns, rows)
    for plan in plans:
        lines = list(_lines(plan.changes)) or ["the parts and routes of the best plan"]
        yield ""
        yield indented(f"{_letters(plan.rank)}, in place of the best:")
        yield bullets(lines)


def _left_open(answer: AlternativesAnswer, figures: Figures) -> str:
    """Return which plans may be missing when the time has ended."""
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
