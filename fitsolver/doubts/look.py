"""Helpers of the doubt finders: figures in words, ids, the place of a typed reading."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

from fitsolver.base.lengths import Unit, exact_text, format_length
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.doubts import Doubt
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.readings import Reading


class Origin(Protocol):
    """Where a reading was typed, as it stands there."""

    @property
    def file(self) -> str: ...
    @property
    def row(self) -> int | str: ...
    @property
    def field(self) -> str: ...
    @property
    def typed(self) -> str: ...
    @property
    def unit(self) -> Unit: ...


#: Where the readings of a job were typed, by cylinder, depth and angle.
Origins = Mapping[tuple[str, int, int], Origin]


@dataclass(frozen=True)
class Look:
    """A job under review, with its catalogue where there is one (None: none is known yet)."""

    job: Job
    catalogue: Catalogue | None = None
    file: str = ""
    origins: Origins = field(default_factory=dict)

    def show(self, ticks: float, *, sign: bool = False) -> str:
        return format_length(round(ticks), self.job.unit, symbol=True, sign=sign)

    def plain(self, ticks: int) -> str:
        return exact_text(ticks, self.job.unit)

    def reading_id(self, cylinder: Cylinder, reading: Reading) -> str:
        axis = reading.axis.removesuffix("°")
        return f"reading {cylinder.name}/{self.plain(reading.depth)}/{axis}"

    def of_reading(self, cylinder: Cylinder, reading: Reading, sentence: str) -> Doubt:
        """Return the doubt of a reading, at the place where it was typed."""
        origin = self.origins.get((cylinder.name, reading.depth, reading.angle))
        found = self.found(reading, origin)
        where = "" if origin is None else f"{origin.file}, {_row(origin.row)}: "
        return Doubt(
            id=self.reading_id(cylinder, reading),
            file=self.file,
            row="" if origin is None else str(origin.row),
            field="dial" if origin is None and reading.dial is not None else _field(origin),
            sentence=f"{where}found {found}, {sentence}",
        )

    def found(self, reading: Reading, origin: Origin | None) -> str:
        if origin is not None:
            return origin.typed
        dial = reading.dial
        if dial is not None:
            return self.show(dial, sign=True)
        return self.show(reading.size)

    def figure(self, reading: Reading, size: float) -> str:
        """Return a size as the reading's gauge shows it: a deviation where it was one."""
        if reading.dial is None:
            return self.show(size)
        return self.show(size - (reading.size - reading.dial), sign=True)

    def doubt(self, name: str, row: str, field_name: str, sentence: str) -> Doubt:
        return Doubt(id=name, file=self.file, row=row, field=field_name, sentence=sentence)


def _field(origin: Origin | None) -> str:
    return "size" if origin is None else origin.field


def _row(row: int | str) -> str:
    return f"row {row}" if isinstance(row, int) else row
