"""What a look through a catalogue found."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.padding import Padding

from fitsolver.records.review import CatalogueReview, Doubt
from fitsolver.reporting.show import NONE, Show, bullets, facts, heading, table


def review_view(review: CatalogueReview, show: Show) -> Iterator[RenderableType]:
    """Yield counts, size steps with their gaps, and doubtful entries."""
    counts = review.counts
    yield facts([(name, str(getattr(counts, name))) for name in type(counts).model_fields])
    yield heading("Sizes")
    found = table(
        ("oversize", "bore", "step", "pistons", "rings", "sizes skipped"),
        right=("oversize", "bore", "step", "pistons", "rings"),
    )
    for step in review.sizes:
        found.add_row(
            show.size(step.oversize, sign=True),
            show.size(step.nominal_bore),
            show.size(step.step),
            str(step.pistons),
            str(step.rings),
            ", ".join(show.size(size, sign=True) for size in step.skipped) or NONE,
        )
    yield Padding(found, (1, 0, 1, 2))
    yield heading("Doubtful entries" if review.doubtful else "No doubtful entries")
    yield bullets(f"{d.seriousness}: {_place(d)}: {d.sentence}" for d in review.doubtful)


def _place(doubt: Doubt) -> str:
    return " ".join(part for part in (doubt.table, doubt.number, doubt.field) if part)
