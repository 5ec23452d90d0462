"""The report of a gauge study: the quality of the gauge and its readers."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from rich.text import Text

from fitsolver.base.lengths import TICKS_PER, Unit, fine_symbol, fine_unit, small_length
from fitsolver.reporting.layout import bullets, heading, pairs
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.figures import Figures
    from fitsolver.records.gauge import GaugeStudy, VarianceRow


def gauge_view(study: GaugeStudy, figures: Figures) -> Iterator[RenderableType]:
    """Yield the analysis of variance, its results, and the lines for the job file."""
    unit = figures.unit
    symbol, square = fine_symbol(unit), TICKS_PER[fine_unit(unit)] ** 2
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
                f"{row.mean_square / square:.3f}",
                "-" if row.f is None else f"{row.f:.2f}",
                _deviation(row, unit),
            )
            for row in study.table
        ],
    )
    yield ""
    yield pairs(_findings(study, unit))
    if study.notes:
        yield bullets(study.notes)
    yield heading("For the job file")
    for line in study.instrument_lines.splitlines():
        yield Text(line, no_wrap=True, overflow="ignore")  # to be copied as it stands


def _deviation(row: VarianceRow, unit: Unit) -> str:
    said = small_length(row.deviation, unit, "up", finer=True, symbol=False)
    return f"{said} (set to 0)" if row.negative else said


def _findings(study: GaugeStudy, unit: Unit) -> Iterator[tuple[str, str]]:
    people = f" by {len(study.people)} people" if len(study.people) > 1 else ""
    yield "read", f"{study.readings} readings of {len(study.bores)} bores{people}"
    yield "repeatability", small_length(study.repeatability, unit, "up", finer=True)
    if study.reproducibility is not None:
        yield "between people", small_length(study.reproducibility, unit, "up", finer=True)
    yield (
        "one reading",
        f"standard uncertainty {small_length(study.combined, unit, 'up', finer=True)}",
    )
    yield "tells apart", f"{study.distinct_sizes} sizes among these bores"
    if study.share is not None:
        yield "of the window", f"six standard deviations take {study.share:.0%}"
