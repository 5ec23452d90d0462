"""The verb `gauge` on records: what repeated readings tell of a gauge and of those who read it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fitsolver.base.lengths import Unit
from fitsolver.base.version import __version__

if TYPE_CHECKING:
    from fitsolver.records.gauge import GaugeReading, GaugeStudy


def gauge_study_of(
    readings: Sequence[GaugeReading],
    unit: Unit = "mm",
    window: int | None = None,
    permissible_error: int = 0,
    *,
    file: str = "",
) -> GaugeStudy:
    """Return what repeated readings of a few bores tell of a gauge; see `gauge_study`.

    `window` (a width) and `permissible_error` are ticks of 10 nm. `file` is what messages call the
    readings. Raises InputError for readings that make no study.
    """
    from fitsolver.metrology.gauge_study import study

    found = study(readings, window, unit=unit, file=file, permissible_error=permissible_error)
    return found.model_copy(update={"program_version": __version__})
