"""The next wear of a bore in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.records.figures import Figures

if TYPE_CHECKING:
    from fitsolver.records.wear import WearEstimate


def next_wear(told: WearEstimate, figures: Figures) -> str:
    """Return the upper limit of the next wear, and its basis."""
    most = f"{figures.up(told.most)} at most"
    return f"{most}, were wears to differ by a third" if told.assumed else f"{most} (95% sure)"
