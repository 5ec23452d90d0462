"""What was decided of the rows of a chunk, to be written out."""

from __future__ import annotations

from dataclasses import dataclass

from fitsolver.reading.columns import BadRow, Ints
from fitsolver.screening.equals import Choice


@dataclass(frozen=True)
class Decided:
    """The rows of a chunk. `choice` counts into `choices`; -1 = a bad row. Sizes in ticks."""

    start: int
    choice: Ints
    choices: list[Choice]
    finish: Ints
    removal: Ints
    filing: Ints
    bad: list[BadRow]
