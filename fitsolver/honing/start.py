"""The start of a log: worn readings, a bar's cut or a new sleeve, and their words in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from fitsolver.metrology.temperature import temperatures_of
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import REFERENCE
from fitsolver.records.readings import Reading

#: Words in the stones field that mean a bar's cut in any shop (common practice).
_BAR: Final = frozenset({"bore", "bored", "boring", "boring bar"})
#: The same of a bore that was restored.
_RESTORED: Final = frozenset({"sleeve", "sleeved", "new sleeve", "liner", "new liner"})


@dataclass(frozen=True, slots=True)
class Start:
    """The start of a cylinder's log by its plan.

    `bars` are the names of the plan's stages other than honing, `restores` those of the shop's
    restoring routes, each lower case. `cut_before_log` is the plan's stage before the first check
    (empty: none), `restored_bore` the bore of a new sleeve, `high` the highest permitted local size
    (ticks at 20 °C).
    """

    bars: frozenset[str] = frozenset()
    restores: frozenset[str] = frozenset()
    cut_before_log: str = ""
    restored_bore: int | None = None
    high: int | None = None

    def cuts_metal(self, stones: str) -> bool:
        """Tell whether an entry with such stones is no honing."""
        return stones.lower() in _BAR | self.bars or self.is_restored(stones)

    def is_restored(self, stones: str) -> bool:
        """Tell whether an entry with these stones restored the bore."""
        return stones.lower() in _RESTORED | self.restores


def sleeved(job: Job, cylinder: Cylinder, bore: int) -> Cylinder:
    """Return a cylinder with a new sleeve, of one size (ticks at 20 °C) wherever it was read."""
    at = temperatures_of(job, cylinder)
    zero = cylinder.zero
    readings = tuple(
        Reading(
            depth=reading.depth,
            angle=reading.angle,
            size=bore,
            dial=None if reading.dial is None or zero is None else bore - zero.size,
        )
        for reading in cylinder.readings
    )
    cool = at.model_copy(update={"bore": REFERENCE, "standard": REFERENCE})
    changed = {"readings": readings, "temperatures": cool, "scratch": 0, "unworn": None}
    return cylinder.model_copy(update=changed)
