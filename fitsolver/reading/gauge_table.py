"""The table of a gauge study: repeated readings of a few bores by one or more people."""

from __future__ import annotations

from pathlib import Path
from statistics import median_low
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import TICKS_PER, format_length, parse_length, parse_number
from fitsolver.reading.hints import shown
from fitsolver.reading.plausible import meant
from fitsolver.reading.tables import Kind, Table, read_table
from fitsolver.records.gauge import GaugeReading, GaugeTable

GAUGE_COLUMNS: Final[dict[str, Kind]] = {"bore": "text", "reading": "length", "person": "text"}
_REQUIRED: Final = ("bore", "reading")
#: A reading this far (ticks) from the middle one of its bore is a slip; common practice, no source.
SLIP: Final = TICKS_PER["mm"] // 10


def read_gauge_table(path: Path) -> GaugeTable:
    """Return the readings of a gauge study from a table (docs/formats.md, "Gauge table").

    The unit stands in the header or in every cell. Whether there are readings enough is for
    the study to say. Raises InputError with file, row, field, what was found and is allowed.
    """
    table = read_table(path, GAUGE_COLUMNS.get, GAUGE_COLUMNS, _REQUIRED)
    if not table.rows:
        raise InputError(
            "the table has no readings", file=table.file, found="nothing", allowed="a row a reading"
        )
    readings = tuple(_reading(table, row, cells) for row, cells in table.rows)
    _refuse_slips(table, readings)
    return GaugeTable(file=table.file, unit=table.units.get("reading", "mm"), readings=readings)


def _reading(table: Table, row: int, cells: list[str]) -> GaugeReading:
    typed = cells[table.columns["reading"]]
    return GaugeReading(
        bore=_name(table, row, cells, "bore"),
        person=_name(table, row, cells, "person") if "person" in table.columns else "",
        reading=_ticks(table, row, typed),
    )


def _name(table: Table, row: int, cells: list[str], field: str) -> str:
    name = cells[table.columns[field]]
    if not name or not name.isprintable():
        raise table.error(row, field, "this is not a name", found=shown(name), allowed="a name")
    return name


def _ticks(table: Table, row: int, typed: str) -> int:
    unit = table.units.get("reading")
    allowed = f"a length in {unit}" if unit else "a length with its unit"
    if unit is None and _is_number(typed):
        raise table.error(
            row,
            "reading",
            "this reading has no unit",
            found=shown(typed),
            allowed="the unit in the header, as reading [mm], or in the cell",
        )
    try:
        return parse_length(typed, unit or "mm")
    except ValueError as error:
        raise table.error(
            row, "reading", str(error), found=shown(typed), allowed=allowed
        ) from error


def _is_number(text: str) -> bool:
    try:
        parse_number(text)
    except ValueError:
        return False
    return True


def _refuse_slips(table: Table, readings: tuple[GaugeReading, ...]) -> None:
    """Refuse a reading far from the others of its bore, with the figure that was probably meant."""
    bores: dict[str, list[int]] = {}
    for one in readings:
        bores.setdefault(one.bore, []).append(one.reading)
    middles = {bore: median_low(values) for bore, values in bores.items()}
    unit = table.units.get("reading", "mm")
    for one, (row, cells) in zip(readings, table.rows, strict=True):
        middle = middles[one.bore]
        if abs(one.reading - middle) <= SLIP:
            continue
        typed = cells[table.columns["reading"]]
        perhaps = meant(typed, middle, unit)
        hint = f"; was {perhaps} meant?" if perhaps else ""
        about = format_length(middle, unit, symbol=True)
        raise table.error(
            row,
            "reading",
            f"this reading is implausible beside the others of bore '{one.bore}' "
            f"(about {about}){hint}",
            found=shown(typed),
            allowed=f"a reading within {format_length(SLIP, unit, symbol=True)} of them",
        )
