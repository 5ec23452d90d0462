"""Uncertainty budgets as tables: the largest contribution comes first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import ceil
from typing import TYPE_CHECKING, Final

from rich.console import RenderableType

from fitsolver.base.lengths import Unit, fine_symbol, small_length
from fitsolver.records.figures import NONE, Figures
from fitsolver.records.told import names_together
from fitsolver.records.windows import place_words
from fitsolver.reporting.attention import Item, together
from fitsolver.reporting.layout import (
    SCREEN_LINES,
    Columns,
    bullets,
    heading,
    indented,
    lines_of,
    text,
)
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from fitsolver.records.budget import BatchRisk, Budget, BudgetAnswer, Correction

#: Lines of the heading of a batch's table, and of the line below it.
_BATCH_HEAD: Final = 7
#: Figures of a budget; of several cylinders each is the largest.
_LARGEST: Final = ("combined", "expanded", "guard")
#: Most budgets that the short report shows source by source.
_FEW: Final = 2


def budget_view(
    answer: BudgetAnswer, figures: Figures, opened: Opened = WHOLE, used: int = 4
) -> Iterator[RenderableType | Section]:
    """Yield a line a fit, the risks of a batch, the corrections, and the budgets by source.

    `used` lines of the first screen are taken by what stands above it.
    """
    parts: list[RenderableType] = []
    if answer.budgets:
        rows, several = _rows(answer.budgets, figures.unit, each=opened.all)
        parts += [heading("How well each fit is known"), table(_columns(figures.unit), rows)]
        parts += [indented("Of several cylinders: the largest.")] * several
    yield from parts
    if answer.batch:
        room = SCREEN_LINES - used - lines_of(parts)
        yield from _batch(answer.batch, figures, opened, room)
    corrections = list(corrections_view(answer.corrections))
    if corrections:
        yield Section("corrections", corrections)
    few = len(answer.budgets) <= _FEW
    for budget in answer.budgets:
        yield Section("sources", _budget(budget, figures.unit), shut=not few)


def _columns(unit: Unit) -> Columns:
    symbol = fine_symbol(unit)
    return (
        ("\nfit", "text"),
        ("\ncylinder", "text"),
        (f"standard\n{symbol}", "figure"),
        (f"expanded\n± {symbol}", "figure"),
        (f"measuring\nallowance {symbol}", "figure"),
        ("helps most\nwhen halved", "text"),
    )


def _rows(
    budgets: Iterable[Budget], unit: Unit, *, each: bool
) -> tuple[list[tuple[str, ...]], bool]:
    """Return a row a fit, the largest of its cylinders, and whether any differ; `each`: a row for
    all that do."""
    found: dict[tuple[str, ...], list[Budget]] = {}
    for budget in budgets:
        key = (place_words(budget.fit, budget.groove or None), budget.improvement or NONE)
        found.setdefault((*key, *_cells(budget, unit)) if each else key, []).append(budget)
    rows, several = [], False
    for (name, improvement, *_), same in found.items():
        largest = same[0].model_copy(
            update={name: max(getattr(one, name) for one in same) for name in _LARGEST}
        )
        several |= len({_cells(budget, unit) for budget in same}) > 1
        names = names_together(list(dict.fromkeys(budget.cylinder for budget in same)))
        rows.append((name, names, *_cells(largest, unit), improvement))
    return rows, several


def _cells(budget: Budget, unit: Unit) -> tuple[str, ...]:
    return (
        _small(budget.combined, unit),
        _small(budget.expanded, unit),
        _small(budget.guard, unit) if budget.guard else NONE,
    )


def corrections_view(corrections: tuple[Correction, ...]) -> Iterator[RenderableType]:
    """Yield the corrections to 20 °C; nothing if every reading was taken at 20 °C."""
    if corrections:
        yield heading("Corrected to 20 °C")
        yield bullets(together(Item(item.cylinder, item.sentence) for item in corrections))


def _budget(budget: Budget, unit: Unit) -> Iterator[RenderableType]:
    symbol = fine_symbol(unit)
    groove = f" {budget.groove}" if budget.groove else ""
    yield heading(f"Cylinder {budget.cylinder}: {place_words(budget.fit)}{groove}")
    yield table(
        (
            (f"standard {symbol}", "figure"),
            ("share", "figure"),
            ("type", "word"),
            ("distribution", "word"),
            ("source", "text"),
        ),
        [
            (
                _small(item.standard, unit),
                f"{item.share:.0%}",
                item.evaluation,
                item.distribution,
                item.name,
            )
            for item in budget.contributions
        ],
    )
    yield text(
        f"combined {_small(budget.combined, unit)} {symbol}, expanded "
        f"{_small(budget.expanded, unit)} {symbol} (coverage factor {budget.coverage:g})"
        + (
            f", measuring allowance {_small(budget.guard, unit)} {symbol} on each side"
            if budget.guard
            else ""
        )
    )
    if budget.improvement:
        yield text(f"helps most when halved: {budget.improvement}")


_BATCH: Final[Columns] = (
    ("cylinder", "word"),
    ("decision", "word"),
    ("mean", "figure"),
    ("spread", "figure"),
    ("measuring\nallowance", "figure"),
    ("accepted", "figure"),
    ("accepted,\nbut out", "figure"),
    ("rejected,\nbut in", "figure"),
)


def _batch(
    rows: Iterable[BatchRisk], figures: Figures, opened: Opened, room: int
) -> Iterator[RenderableType | Section]:
    """Yield the consumer's risk (accepted, but out) and the producer's (rejected, but in).

    Cylinders alike in one row, the largest of the consumer's risks first where it is cut short.
    """
    found: dict[tuple[str, ...], list[str]] = {}
    for row in sorted(rows, key=lambda row: -row.consumer):
        found.setdefault(_risks(row, figures), []).append(row.cylinder)
    cells = [(names_together(names), *told) for told, names in found.items()]
    shown = len(cells) if opened.has("batch") else max(_FEW, room - _BATCH_HEAD)
    yield heading("Clearance of a batch")
    yield table(_BATCH, cells[:shown])
    if cells[shown:]:
        yield indented(f"{len(cells) - shown} more with less risk: --show batch")
        yield Section("batch", ())


def _risks(row: BatchRisk, figures: Figures) -> tuple[str, ...]:
    """Return the cells of a batch's row; risks are rounded up."""
    return (
        row.decision,
        figures.near(row.mean),
        figures.near(row.spread),
        figures.up(row.guard),
        f"{row.accepted:.2%}",
        *(f"{ceil(round(share * 10_000, 6)) / 100:.2f}%" for share in (row.consumer, row.producer)),
    )


def _small(ticks: float, unit: Unit) -> str:
    """Return an uncertainty, rounded up (JCGM 100, 7.2.6)."""
    return small_length(ticks, unit, "up", finer=True, symbol=False)
