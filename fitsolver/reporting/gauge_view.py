"""A gauge study as a person reads it: what the gauge and its readers are worth."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from rich.text import Text

from fitsolver.reporting.budget_view import fine
from fitsolver.reporting.layout import bullets, heading, pairs, table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.figures import Figures
    from fitsolver.records.gauge import GaugeStudy


def gauge_view(study: GaugeStudy, figures: Figures) -> Iterator[RenderableType]:
    """Yield the analysis of variance, what it comes to, and the lines for the job file."""
    ticks, symbol = fine(figures.unit)
    yield ""
    yield table(
        (
            ("source", "text"),
            ("degrees", "figure"),
            (f"mean square {symbol}2", "figure"),
            ("F", "figure"),
            (f"deviation {symbol}", "figure"),
        ),
        [
            (
                row.source,
                str(row.degrees),
                f"{row.mean_square / ticks**2:.3f}",
                "-" if row.f is None else f"{row.f:.2f}",
                f"{row.deviation / ticks:.2f}" + (" (set to 0)" if row.negative else ""),
            )
            for row in study.table
        ],
    )
    yield ""
    yield pairs(_findings(study, ticks, symbol))
    if study.notes:
        yield bullets(study.notes)
    yield heading("For the job file")
    for line in study.instrument_lines.splitlines():
        yield Text(line, no_wrap=True, overflow="ignore")  # to be copied as it stands


def _findings(study: GaugeStudy, ticks: int, symbol: str) -> Iterator[tuple[str, str]]:
    people = f" by {len(study.people)} people" if len(study.people) > 1 else ""
    yield "read", f"{study.readings} readings of {len(study.bores)} bores{people}"
    yield "repeatability", f"{study.repeatability / ticks:.2f} {symbol}"
    if study.reproducibility is not None:
        yield "between people", f"{study.reproducibility / ticks:.2f} {symbol}"
    yield "one reading", f"standard uncertainty {study.combined / ticks:.2f} {symbol}"
    yield "tells apart", f"{study.distinct_sizes} sizes among these bores"
    if study.share is not None:
        yield "of the window", f"six standard deviations take {study.share:.0%}"
