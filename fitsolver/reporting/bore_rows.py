"""The rows of the short answer: one line for each cylinder, or for a group of equal ones."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.records.figures import NONE, Figures
from fitsolver.records.told import in_order, names_together
from fitsolver.reporting.layout import SCREEN, Columns, Kind, indented, pairs
from fitsolver.reporting.tables import Left, columns_needed, table
from fitsolver.reporting.targets import Target, sizes, targets

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.plan import CylinderPlan

_AS_IS: Final = "left as it is"
#: Most columns for the name of the work; a longer one stands below the table.
_WORK: Final = 16
_WORK_COLUMN: Final[tuple[str, Kind]] = ("\nwork", "word")
_COLUMNS: Final[Columns] = (
    ("\ncyl.", "text"),
    ("\npiston", "text"),
    _WORK_COLUMN,
    ("finish\nlowest", "figure"),
    ("\nhighest", "figure"),
    ("\naim", "figure"),
    ("dial\nstop", "figure"),
    ("to\nremove", "figure"),
    ("left\nafter", "figure"),
)


#: The same with the piston in one line: else the work gives way.
_UNBROKEN: Final[Columns] = tuple(
    (name, "word" if name == "\npiston" else kind) for name, kind in _COLUMNS
)


class Row(NamedTuple):
    """A line of the table: of one cylinder, or of several that differ in metal only.

    `cells` are piston, work, lowest, highest, aim and dial; `remove` and `left` are the least and
    the most of these cylinders (ticks), None where nothing is known.
    """

    cylinders: tuple[str, ...]
    cells: tuple[str, ...]
    remove: tuple[int, int] | None
    left: tuple[int, int] | None


def rows_of(plans: Sequence[CylinderPlan], figures: Figures) -> list[Row]:
    """Return a row for every cylinder, two for one whose piston is not measured yet."""
    return [row for plan in plans for row in _rows(plan, figures)]


def alike(rows: Iterable[Row]) -> list[Row]:
    """Return the rows with those that differ in metal only told as one."""
    found: dict[tuple[str, ...], list[Row]] = {}
    for row in rows:
        found.setdefault(row.cells, []).append(row)
    return [
        Row(
            tuple(name for row in same for name in row.cylinders),
            cells,
            _around(row.remove for row in same),
            _around(row.left for row in same),
        )
        for cells, same in found.items()
    ]


def _around(spans: Iterable[tuple[int, int] | None]) -> tuple[int, int] | None:
    known = [span for span in spans if span is not None]
    if not known:
        return None
    return min(low for low, _ in known), max(high for _, high in known)


def _rows(plan: CylinderPlan, figures: Figures) -> Iterator[Row]:
    left = None if plan.left_to_limit is None else (plan.left_to_limit, plan.left_to_limit)
    if not plan.machined:
        bore = (figures.down(plan.bore_low), figures.up(plan.bore_high))
        cells = (plan.piston.marked, _AS_IS, *bore, NONE, NONE)
        yield Row((plan.cylinder,), cells, None, left)
        return
    metal = plan.stock_tightest
    remove = None if metal is None else (metal, metal)
    for target in targets(plan):
        at = f" at {figures.stated(target.skirt)}" if target.end else ""
        cells = (
            f"{plan.piston.marked}{at}",
            plan.route,
            *sizes(target, 0, figures),
            dial_stop(plan, target, figures),
        )
        yield Row((plan.cylinder,), cells, remove, left)


def dial_stop(plan: CylinderPlan, target: Target, figures: Figures) -> str:
    """Return where the dial stops, as the gauge is zeroed, else zeroed on the new piston."""
    zero = target.skirt if plan.dial_zero is None else plan.dial_zero
    return NONE if zero is None else sizes(target, zero, figures)[2]


def has_dial(plan: CylinderPlan) -> bool:
    """Tell whether one dial reading can be told: the gauge's zero is known, or the piston's size.

    The piston's may be known by its two ends.
    """
    known = plan.skirt.known or plan.finish_small != plan.finish_large
    return plan.dial_zero is not None or known


def bore_table(rows: Sequence[Row], figures: Figures, order: Sequence[str]) -> list[RenderableType]:
    """Return the table; the work of each cylinder stands below it where there is no room in it.

    `order` has the cylinders in the order of the job.
    """
    cells = [_cells(row, figures) for row in rows]
    works = {row.cells[1]: None for row in rows}
    bars = [_bar(row) for row in rows]
    if max(map(len, works)) <= _WORK and columns_needed(_UNBROKEN, cells) <= SCREEN:
        return [table(_COLUMNS, cells, bars)]
    without = [column for column in _COLUMNS if column != _WORK_COLUMN]
    place = _COLUMNS.index(_WORK_COLUMN)
    return [
        table(without, [[*row[:place], *row[place + 1 :]] for row in cells], bars),
        pairs((f"cyl. {_names(rows, work, order)}", work) for work in works),
    ]


def _bar(row: Row) -> Left:
    """Return the metal left to the limit after the plan, as a part of the metal there now."""
    if row.left is None:
        return None
    left = row.left[0]
    return left, left + (0 if row.remove is None else row.remove[1])


def _names(rows: Iterable[Row], work: str, order: Sequence[str]) -> str:
    names = (name for row in rows if row.cells[1] == work for name in row.cylinders)
    return names_together(in_order(names, order))


def _cells(row: Row, figures: Figures) -> list[str]:
    metal = NONE if row.remove is None else figures.up(row.remove[1])
    left = NONE if row.left is None else figures.down(row.left[0])
    return [names_together(row.cylinders), *row.cells, metal, left]


def zero_lines(plans: Sequence[CylinderPlan], figures: Figures) -> Iterator[RenderableType]:
    """Yield the zero of the dial stops: as the job states it, otherwise the new piston."""
    zeros = (
        (plan.cylinder, zero_words(plan.dial_zero, figures, on_piston=plan.dial_zero_on_piston))
        for plan in plans
        if plan.machined and has_dial(plan)
    )
    yield from zeros_together(zeros)


def zeros_together(zeros: Iterable[tuple[str, str]]) -> Iterator[RenderableType]:
    """Yield the gauge's zero (cylinder, words); equal cylinders share a line."""
    groups: dict[str, list[str]] = {}
    for name, zero in zeros:
        groups.setdefault(zero, []).append(name)
    if len(groups) == 1:
        yield indented(f"dial: gauge zeroed on {next(iter(groups))}")
    elif groups:
        told = "; ".join(f"{names_together(names)} on {zero}" for zero, names in groups.items())
        yield indented(f"dial: gauge zeroed, cylinder {told}")


def zero_words(zero: int | None, figures: Figures, *, on_piston: bool) -> str:
    """Return the zero of a gauge in words; the new piston if the job states none."""
    if zero is None:
        return "the new piston"
    return f"{'a piston of ' if on_piston else ''}{figures.stated(zero)}"
