"""What a look through a catalogue found."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import NONE, Figures
from fitsolver.reporting.layout import Kind, heading, indented, pairs, table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.review import CatalogueReview, Doubt, SizeStep

_SIZES: Final[tuple[tuple[str, Kind], ...]] = (
    ("oversize", "figure"),
    ("nominal bore", "figure"),
    ("step", "figure"),
    ("pistons", "figure"),
    ("rings", "figure"),
    ("sizes skipped before it", "text"),
)
_DOUBTS: Final[tuple[tuple[str, Kind], ...]] = (
    ("", "word"),
    ("table", "word"),
    ("number", "text"),
    ("what was found", "text"),
)


def review_view(review: CatalogueReview, figures: Figures) -> list[RenderableType]:
    """Return counts, size steps and doubtful entries, the most serious first."""
    counts = (
        (table, str(getattr(review.counts, table))) for table in type(review.counts).model_fields
    )
    parts: list[RenderableType] = [heading("Tables"), pairs(counts)]
    parts += [heading("Sizes"), table(_SIZES, [_size_row(step, figures) for step in review.sizes])]
    parts.append(heading("Doubtful entries"))
    if not review.doubtful:
        return [*parts, indented("Nothing doubtful was found.")]
    return [*parts, table(_DOUBTS, [_doubt_row(doubt) for doubt in review.doubtful])]


def _size_row(step: SizeStep, figures: Figures) -> tuple[str, ...]:
    return (
        figures.near(step.oversize, sign=True),
        figures.near(step.nominal_bore),
        figures.near(step.step),
        str(step.pistons),
        str(step.rings),
        ", ".join(figures.near(size, sign=True) for size in step.skipped) or NONE,
    )


def _doubt_row(doubt: Doubt) -> tuple[str, ...]:
    said = f"{doubt.field}: {doubt.sentence}" if doubt.field else doubt.sentence
    return doubt.seriousness, doubt.table, doubt.number or NONE, said
