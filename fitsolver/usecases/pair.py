"""The verb `pair` on records: the best pairing of measured bores and pieces."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fitsolver.base.deadline import seconds
from fitsolver.base.lengths import Unit

if TYPE_CHECKING:
    from fitsolver.records.pairing import MeasuredBore, MeasuredPiece, PairAnswer


def pair_measured(
    bores: Sequence[MeasuredBore],
    pieces: Sequence[MeasuredPiece],
    low: int,
    high: int,
    *,
    unit: Unit = "mm",
    time_limit: float | None = None,
) -> PairAnswer:
    """Return the best pairing of measured bores and pieces (ticks of 10 nm); see `pair`.

    `low` and `high` are the window on bore minus piece. Raises InputError for sizes of zero or
    less, names that are there twice, empty sides and a lowest clearance above the highest.
    """
    from fitsolver.pairing.answer import answer_of, paired
    from fitsolver.pairing.clock import until
    from fitsolver.pairing.measured import side_of_bores, side_of_pieces
    from fitsolver.pairing.window import checked_window

    window = checked_window(low, high)
    expired = until(seconds(time_limit))
    found = paired(side_of_bores(bores), side_of_pieces(pieces), window, unit, expired)
    return answer_of(found, unit, None, None)
