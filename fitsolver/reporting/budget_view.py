"""Uncertainty budgets as tables: what spoils a figure most comes first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Final

from rich.console import RenderableType

from fitsolver.base.lengths import TICKS_PER, Unit
from fitsolver.records.figures import Figures
from fitsolver.reporting.layout import Kind, bullets, heading, table, text

if TYPE_CHECKING:
    from fitsolver.records.budget import BatchRisk, Budget, BudgetAnswer, Correction


def budget_view(answer: BudgetAnswer, figures: Figures) -> Iterator[RenderableType]:
    """Yield the corrections and the budget of every fit."""
    yield from corrections_view(answer.corrections)
    for budget in answer.budgets:
        yield from _budget(budget, figures.unit)
    if answer.batch:
        yield from _batch(answer.batch, figures)


def corrections_view(corrections: tuple[Correction, ...]) -> Iterator[RenderableType]:
    """Yield what was corrected to 20 °C; nothing where all was read there."""
    if corrections:
        yield heading("Corrected to 20 °C")
        yield bullets(item.sentence for item in corrections)


def _budget(budget: Budget, unit: Unit) -> Iterator[RenderableType]:
    ticks, symbol = fine(unit)
    groove = f" {budget.groove}" if budget.groove else ""
    yield heading(f"Cylinder {budget.cylinder}: {budget.fit.replace('_', ' ')}{groove}")
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
                f"{item.standard / ticks:.2f}",
                f"{item.share:.0%}",
                item.evaluation,
                item.distribution,
                item.name,
            )
            for item in budget.contributions
        ],
    )
    yield text(
        f"combined {budget.combined / ticks:.2f} {symbol}, expanded "
        f"{budget.expanded / ticks:.2f} {symbol} (coverage factor {budget.coverage:g})"
        + (
            f", measuring allowance {budget.guard / ticks:.2f} {symbol} on each side"
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
    ("guard", "figure"),
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


def fine(unit: Unit) -> tuple[int, str]:
    """Return ticks and symbol of the unit that uncertainties are shown in."""
    if unit in ("in", "thou"):
        return TICKS_PER["thou"], "thou"
    return TICKS_PER["um"], "µm"
