"""Readings of a cylinder: rows in the job file or a sheet beside it, as diameters."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Final, NamedTuple

from fitsolver.base.errors import InputError, meant
from fitsolver.base.lengths import TICKS_PER, Unit, parse_unit
from fitsolver.reading.files import Folder
from fitsolver.reading.hints import missing_file, shown, unknown
from fitsolver.reading.job_keys import KEYS
from fitsolver.reading.quantities import AXES, length_of, parse_axis
from fitsolver.reading.readings_sheet import READ_AS, ReadAs, read_readings
from fitsolver.reading.refusals import Refusals
from fitsolver.reading.sections import Section
from fitsolver.reading.tables import Table
from fitsolver.records.readings import GaugeZero, Reading

_SUFFIXES: Final = (".csv", ".tsv", ".txt", ".xlsx")


class Taken(NamedTuple):
    """A reading with where it was found and the figure as typed (for messages)."""

    reading: Reading
    file: str
    row: int | str
    field: str
    typed: str
    unit: Unit


class Gauge(NamedTuple):
    """How a cylinder's figures are to be read, and where the job says so."""

    read_as: ReadAs | None
    zero: GaugeZero | None
    file: str
    place: str


def read_zero(section: Section) -> GaugeZero | None:
    """Return the gauge's zero: a size, or the piston's own (`zero = "piston"`)."""
    own = section.length("zero_piston", above=0)
    if section.data.get("zero") != "piston":
        if own is not None:
            raise section.error("zero_piston", 'this size goes with zero = "piston"')
        size = section.length("zero", above=0)
        return None if size is None else GaugeZero(size=size)
    size = own if own is not None else section.length("piston_size", above=0)
    size = section.need(
        "zero_piston", size, "the skirt size of the piston that the gauge was zeroed on"
    )
    return GaugeZero(size=size, on_piston=True)


class Sheets:
    """The readings sheets of a job: each is read once, and every row must find its cylinder."""

    def __init__(self, folder: Folder | None, unit: Unit) -> None:
        self.folder, self.unit = folder, unit
        self.tables: dict[str, Table] = {}
        self._claimed: dict[str, set[str]] = {}

    def read(self, section: Section, name: str, gauge: Gauge) -> list[Taken]:
        """Return the readings of cylinder `name` from the sheet that its section names."""
        file = section.text("readings_file")
        if self.folder is None:
            raise section.error(
                "readings_file",
                "there are no files beside this job",
                allowed="readings in the job itself",
            )
        path = self.folder / file
        if path.suffix.lower() not in _SUFFIXES:
            raise section.error(
                "readings_file",
                "this is not a readings sheet",
                allowed=f"a file ending in {', '.join(_SUFFIXES)}",
            )
        if isinstance(path, Path) and not path.exists():
            raise section.error("readings_file", missing_file(path))
        if file not in self.tables:
            self.tables[file] = read_readings(path, self.unit, gauge.read_as)
            self._claimed[file] = set()
        table = self.tables[file]
        self._claimed[file].add(name)
        at = table.columns["cylinder"]
        unnamed = all(not cells[at] for _, cells in table.rows)
        if unnamed and self._claimed[file] != {name}:
            raise InputError(
                "this sheet does not say which cylinder its readings are of",
                file=table.file,
                field="cylinder",
                allowed="the cylinder over the columns, or a sheet for each cylinder",
            )
        refused = Refusals(table.file)
        taken = [
            refused.take(_sheet_reading, table, row, cells, gauge, self.unit)
            for row, cells in table.rows
            if unnamed or cells[at] == name
        ]
        refused.check()
        if not taken:
            raise InputError(
                "this cylinder has no readings in its sheet",
                file=table.file,
                field="cylinder",
                found=f"no row for '{name}'",
                allowed=f"rows for cylinder '{name}'",
            )
        return [one for one in taken if one is not None]

    def check_claimed(self) -> None:
        """Refuse rows of a cylinder that does not name their sheet."""
        for file, table in self.tables.items():
            at, claimed = table.columns["cylinder"], self._claimed[file]
            unnamed = all(not cells[at] for _, cells in table.rows)
            for row, cells in table.rows:
                if cells[at] not in claimed and not unnamed:
                    raise unknown(
                        "cylinder",
                        cells[at],
                        sorted(claimed),
                        file=table.file,
                        row=row,
                        field="cylinder",
                    )


def _sheet_reading(table: Table, row: int, cells: list[str], gauge: Gauge, unit: Unit) -> Taken:
    filled = [name for name in READ_AS if name in table.columns and cells[table.columns[name]]]
    allowed = " or ".join((gauge.read_as,) if gauge.read_as else READ_AS)
    found = ", ".join(filled) or "none filled"
    if len(filled) != 1:
        raise table.error(
            row, gauge.read_as or "diameter", "a row has one figure",
            found=found, allowed=f"{allowed} filled",
        )  # fmt: skip
    (field,) = filled
    if gauge.read_as and field != gauge.read_as:
        raise InputError(
            "these figures are not of the kind that the job says (readings_as)",
            file=table.file,
            field=gauge.read_as,
            found=found,
            allowed=f"{allowed} filled",
        )
    own: Unit | None = None
    if "unit" in table.columns and (text := cells[table.columns["unit"]]):
        try:
            own = parse_unit(text)
        except ValueError as error:
            raise table.error(
                row, "unit", "unknown unit", found=shown(text), allowed="mm, um (µm), in, thou"
            ) from error
    figure_unit = own or table.units.get(field, unit)
    typed = cells[table.columns[field]]
    where = _Where(table.file, row, figure_unit, table.units.get("depth", unit))
    return where.reading(
        cells[table.columns["depth"]], cells[table.columns["axis"]], field, typed, gauge
    )


def inline_readings(section: Section, gauge: Gauge) -> list[Taken]:
    """Return the readings listed in the job file: rows [depth, axis, figure] or tables."""
    refused = Refusals(section.file)
    numbered = enumerate(section.items("readings"), start=1)
    taken = [refused.take(_inline, section, number, item, gauge) for number, item in numbered]
    refused.check()
    return [one for one in taken if one is not None]


def _inline(section: Section, number: int, item: object, gauge: Gauge) -> Taken:
    place = f"{section.place}, reading {number}"
    where = _Where(section.file, place, section.unit, section.unit)
    if isinstance(item, list):
        depth, axis, figure = _row_of_three(section, place, item)
        field = "dial" if gauge.read_as == "dial" else "size"
    else:
        table = section.inner(item, KEYS["cylinder.readings"], f"reading {number}")
        field = _figure_key(table, gauge.read_as)
        depth, axis, figure = (
            table.need(key, table.data.get(key), "depth, axis and figure")
            for key in ("depth", "axis", field)
        )
    return where.reading(depth, axis, field, figure, gauge)


def _row_of_three(section: Section, place: str, item: Sequence[Any]) -> Sequence[Any]:
    if len(item) != 3:
        comma = " (a decimal comma? numbers have a decimal point here)" if len(item) > 3 else ""
        raise InputError(
            f"a reading has three values{comma}",
            file=section.file,
            row=place,
            field="readings",
            found=shown(list(map(str, item))),
            allowed='[depth, axis, size], as [10, "thrust", 62.31]',
        )
    return item


def _figure_key(table: Section, read_as: ReadAs | None) -> str:
    given = [key for key in ("size", "dial") if key in table]
    wanted = {"diameter": ["size"], "dial": ["dial"]}.get(read_as or "", given)
    if len(given) != 1 or given != wanted:
        allowed = " or ".join(wanted if read_as else ("size", "dial"))
        raise table.error(
            given[-1] if given else "size",
            "a reading has one figure, of the kind that readings_as says",
            found=", ".join(given) or "neither",
            allowed=allowed,
        )
    return given[0]


def _or_diameters(dial: int, unit: Unit) -> str:
    """Return what figures may be that no dial is likely to show."""
    if unit not in ("mm", "um") or abs(dial) < TICKS_PER["mm"]:
        return ""
    return "; diameters in inches have their unit over them, as diameter [in]"


class _Where(NamedTuple):
    """The place of a figure, and the units there."""

    file: str
    row: int | str
    unit: Unit
    depth_unit: Unit

    def reading(self, depth: Any, axis: Any, field: str, figure: Any, gauge: Gauge) -> Taken:
        """Return one reading; a dial deviation is added to the gauge's zero."""
        at = self._length("depth", depth, self.depth_unit)
        if at < 0:
            raise self._error("depth", "a depth cannot be negative", depth, "0 or more")
        try:
            angle = parse_axis(axis)
        except ValueError as error:
            near = get_close_matches(str(axis).casefold(), ("thrust", "pin"), n=1)
            why = f"this is no axis{meant(near[0] if near else None)}"
            raise self._error("axis", why, axis, AXES) from error
        size = self._length(field, figure, self.unit)
        dial = size if field == "dial" else None
        if dial is not None:
            if gauge.zero is None:
                raise InputError(
                    "a dial deviation needs the gauge's zero",
                    file=gauge.file,
                    row=gauge.place,
                    field="zero",
                    found=f"none, with {shown(figure)} in {self.file}, {self._row}",
                    allowed='a size, or "piston"' + _or_diameters(dial, self.unit),
                )
            size = gauge.zero.size + dial
        if size <= 0:
            raise self._error(field, "a diameter must be above zero", figure, "above 0")
        reading = Reading(depth=at, angle=angle, size=size, dial=dial)
        return Taken(reading, self.file, self.row, field, str(figure), self.unit)

    @property
    def _row(self) -> str:
        return f"row {self.row}" if isinstance(self.row, int) else self.row

    def _length(self, field: str, value: Any, unit: Unit) -> int:
        try:
            return length_of(value, unit)
        except ValueError as error:
            raise self._error(
                field, str(error), value, f"a length in {unit}, or with its unit"
            ) from error

    def _error(self, field: str, message: str, found: Any, allowed: str) -> InputError:
        return InputError(
            message, file=self.file, row=self.row, field=field, found=shown(found), allowed=allowed
        )
