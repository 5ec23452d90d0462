"""Uncertainty budgets as tables: what spoils a figure most comes first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Final

from rich.console import RenderableType

from fitsolver.base.lengths import Unit, fine_symbol, small_length
from fitsolver.records.figures import NONE, Figures
from fitsolver.records.told import names_together
from fitsolver.records.windows import place_words
from fitsolver.reporting.layout import Kind, bullets, heading, table, text
from fitsolver.reporting.sections import Section

if TYPE_CHECKING:
    from fitsolver.records.budget import BatchRisk, Budget, BudgetAnswer, Correction

#: So many budgets are told source by source with the answer.
_FEW: Final = 2


def budget_view(answer: BudgetAnswer, figures: Figures) -> Iterator[RenderableType | Section]:
    """Yield a line a fit, the corrections, and the budget of every fit source by source."""
    if answer.budgets:
        yield heading("How well each fit is known")
        yield table(_columns(figures.unit), _rows(answer.budgets, figures.unit))
    corrections = list(corrections_view(answer.corrections))
    if corrections:
        yield Section("corrections", corrections)
    few = len(answer.budgets) <= _FEW
    for budget in answer.budgets:
        yield Section("sources", _budget(budget, figures.unit), shut=not few)
    if answer.batch:
        yield from _batch(answer.batch, figures)


def _columns(unit: Unit) -> tuple[tuple[str, Kind], ...]:
    symbol = fine_symbol(unit)
    return (
        ("\nfit", "text"),
        ("\ncylinder", "text"),
        (f"standard\n{symbol}", "figure"),
        (f"expanded\n± {symbol}", "figure"),
        (f"measuring\nallowance {symbol}", "figure"),
        ("\nhelps most when halved", "text"),
    )


def _rows(budgets: Iterable[Budget], unit: Unit) -> list[tuple[str, ...]]:
    """Return a row a fit; cylinders that are alike in one."""
    found: dict[tuple[str, ...], list[str]] = {}
    for budget in budgets:
        cells = (
            place_words(budget.fit, budget.groove or None),
            _small(budget.combined, unit),
            _small(budget.expanded, unit),
            _small(budget.guard, unit) if budget.guard else NONE,
            budget.improvement or NONE,
        )
        found.setdefault(cells, []).append(budget.cylinder)
    return [(cells[0], names_together(names), *cells[1:]) for cells, names in found.items()]


def corrections_view(corrections: tuple[Correction, ...]) -> Iterator[RenderableType]:
    """Yield what was corrected to 20 °C; nothing where all was read there."""
    if corrections:
        yield heading("Corrected to 20 °C")
        yield bullets(item.sentence for item in corrections)


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


_BATCH: Final[tuple[tuple[str, Kind], ...]] = (
    ("cylinder", "word"),
    ("decision", "word"),
    ("mean", "figure"),
    ("spread", "figure"),
    ("measuring\nallowance", "figure"),
    ("accepted", "figure"),
    ("accepted,\nbut out", "figure"),
    ("rejected,\nbut in", "figure"),
)


def _batch(rows: Iterable[BatchRisk], figures: Figures) -> Iterator[RenderableType]:
    """Yield the consumer's risk (accepted, but out) and the producer's (rejected, but in)."""
    yield heading("Clearance of a batch")
    yield table(
        _BATCH,
        [
            (
                row.cylinder,
                row.decision,
                figures.near(row.mean),
                figures.near(row.spread),
                figures.up(row.guard),
                *(f"{share:.2%}" for share in (row.accepted, row.consumer, row.producer)),
            )
            for row in rows
        ],
    )


def _small(ticks: float, unit: Unit) -> str:
    """Return an uncertainty: rounded up, as JCGM 100, 7.2.6, has it."""
    return small_length(ticks, unit, "up", finer=True, symbol=False)
