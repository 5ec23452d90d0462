"""Earlier records of a cylinder, and the wear per rebuild that they tell. All on diameter."""

from __future__ import annotations

import datetime as dt
from math import sqrt
from typing import Final, Literal

from pydantic import Field

from fitsolver.records.base import Length, Record

#: The least wear per rebuild (ticks) that is counted with: a micrometre. No bore is rebuilt for
#: less, and with none the rebuilds would not end.
LEAST_WEAR: Final = 100
#: Standard deviation (ticks) of one reading of a bore gauge where nothing tells it: 0.002 mm
#: (common practice, no source).
READING_SCATTER: Final = 200.0
#: Fewer wears do not tell how far they differ.
FEWEST_WEARS: Final = 3
#: A bore does not shrink: one smaller by more than this many standard uncertainties is a new
#: one (a liner, a plating).
_SIGMAS: Final = 4

WearSource = Literal["cylinder", "job", "earlier records", ""]


class EarlierRecord(Record):
    """One earlier rebuild of a bore (ticks): the largest local size that it left the one before
    with, and the largest that it was found with on the day `date`.

    `uncertainty` is the standard uncertainty of the wear, found less left; None = not told, then
    it is that of two readings.
    """

    date: dt.date
    left: Length = Field(gt=0)
    found: Length = Field(gt=0)
    uncertainty: Length | None = Field(default=None, gt=0)

    @property
    def wear(self) -> int:
        return self.found - self.left

    def error(self, reading: float = READING_SCATTER) -> float:
        """Return the standard uncertainty of the wear, where it is not told of two readings."""
        return sqrt(2) * reading if self.uncertainty is None else float(self.uncertainty)

    @property
    def shrank(self) -> bool:
        """Tell whether the bore was found smaller than it had left: it is another one."""
        return self.wear < -_SIGMAS * self.error()

    def follows(self, before: EarlierRecord) -> bool:
        """Tell whether it is the bore of the record before: not smaller than that was found."""
        return self.left - before.found >= -_SIGMAS * max(self.error(), before.error())


class WearEstimate(Record):
    """Wear per rebuild, on diameter (ticks), from `count` wears since the bore was last new.

    `uncertainty` is the standard uncertainty of the mean; the next wear is at most `most`, 95 %
    sure. How far wears differ is `assumed` where there are too few to tell it. `growing` tells
    that they rise from one rebuild to the next by more than chance.
    """

    count: int = Field(ge=1)
    mean: Length
    uncertainty: float
    most: Length
    growing: bool = False

    @property
    def assumed(self) -> bool:
        return self.count < FEWEST_WEARS

    @property
    def per_rebuild(self) -> int:
        """Return the wear to count rebuilds with: what the next one does not pass (95 % sure).

        Never less than a micrometre.
        """
        return max(self.most, LEAST_WEAR)
