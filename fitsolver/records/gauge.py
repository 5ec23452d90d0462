"""A gauge study: how far repeated readings of the same bores lie apart, and why."""

from __future__ import annotations

from typing import Final

from fitsolver.base.lengths import Unit
from fitsolver.records.base import Length, Record
from fitsolver.records.heading import Document

GAUGE_SCHEMA: Final = 1


class GaugeReading(Record):
    """One reading of one bore by one person: a diameter or a dial deviation (ticks)."""

    bore: str
    person: str = ""
    reading: Length


class GaugeTable(Record):
    """The readings of a gauge study as they stand in a file; `unit` is the file's."""

    file: str
    unit: Unit
    readings: tuple[GaugeReading, ...]


class VarianceRow(Record):
    """One source in the analysis of variance: sums of squares in ticks**2.

    `f` is its mean square over that of the source it is tested against; None where that is
    zero, and for the repeats themselves. `deviation` is the standard deviation (ticks) of the
    source alone; `negative` says that its estimated variance was below zero and was set to 0.
    """

    source: str
    degrees: int
    sum_of_squares: float
    mean_square: float
    f: float | None = None
    deviation: float
    negative: bool = False


class GaugeStudy(Document):
    """What a gauge study finds (standard deviations in ticks).

    `repeatability`: of readings of one bore by one person. `reproducibility`: between people,
    None where one person read. `combined`: both together, the standard uncertainty of one
    reading by anyone. Shares are six standard deviations over the width of `window`, None
    without one. `distinct_sizes`: how many sizes of bores the gauge tells apart among those of
    the study. `instrument_lines`: an [[instrument]] section for the job file.
    """

    schema_version: int = GAUGE_SCHEMA
    program_version: str = ""
    unit: Unit
    bores: tuple[str, ...]
    people: tuple[str, ...]
    readings: int
    table: tuple[VarianceRow, ...]
    repeatability: float
    repeatability_degrees: int
    reproducibility: float | None
    combined: float
    bores_deviation: float
    distinct_sizes: int
    window: Length | None
    share: float | None
    repeatability_share: float | None
    reproducibility_share: float | None
    notes: tuple[str, ...]
    instrument_lines: str
