"""Every fit of a cylinder against its window, with the slack on both sides."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final

from fitsolver.reporting.figures import NONE, Figures
from fitsolver.reporting.layout import Kind, indented, table
from fitsolver.reporting.words import FIT_WORDS

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.plan import Fit

_COLUMNS: Final[tuple[tuple[str, Kind], ...]] = (
    ("fit", "text"),
    ("permitted\nlowest", "figure"),
    ("\nhighest", "figure"),
    ("\nguard", "figure"),
    ("expected\nleast", "figure"),
    ("\nmost", "figure"),
    ("slack\nbelow", "figure"),
    ("\nabove", "figure"),
    ("\nby", "word"),
)


def fit_table(fits: Sequence[Fit], figures: Figures) -> list[RenderableType]:
    """Return the table of the fits and the sources it refers to, by letter."""
    letters = _letters(fit.source for fit in fits if fit.source)
    parts: list[RenderableType] = [table(_COLUMNS, [_row(fit, figures, letters) for fit in fits])]
    if letters:
        said = "; ".join(f"{letter}: {source}" for source, letter in letters.items())
        parts.append(indented(f"Windows by {said}"))
    missed = [_label(fit, figures).split("\n")[0] for fit in fits if not fit.holds]
    if missed:
        parts.append(indented(f"MISSED: {', '.join(missed)}", "bold red"))
    return parts


def _row(fit: Fit, figures: Figures, letters: dict[str, str]) -> tuple[str, ...]:
    low, high = figures.permitted(fit.low, fit.high)
    return (
        _label(fit, figures),
        low,
        high,
        figures.up(fit.guard) if fit.guard else NONE,
        figures.down(fit.least),
        figures.up(fit.most),
        figures.down(fit.slack_low),
        figures.down(fit.slack_high),
        letters.get(fit.source, NONE),
    )


def _label(fit: Fit, figures: Figures) -> str:
    lines = [FIT_WORDS[fit.fit]]
    if fit.groove is not None:
        lines.append(f" groove {fit.groove}")
    if fit.filed:
        lines.append(f" filed {figures.up(fit.filed)}")
    if fit.service:
        lines.append(" service limit")
    return "\n".join(lines)


def _letters(sources: Iterable[str]) -> dict[str, str]:
    """Return a short mark for every source: a to z, then aa, ab, ..."""
    return {source: _mark(place) for place, source in enumerate(dict.fromkeys(sources))}


def _mark(place: int) -> str:
    first, last = divmod(place, 26)
    return (_mark(first - 1) if first else "") + chr(ord("a") + last)
