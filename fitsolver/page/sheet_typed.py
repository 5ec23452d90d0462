"""The typed readings of a job that are valid figures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from typing import NamedTuple

from fitsolver.base.lengths import Unit
from fitsolver.page import content
from fitsolver.page.content import Content
from fitsolver.reading.owned import Owned
from fitsolver.reading.quantities import length_of, parse_axis
from fitsolver.records.job import Cylinder
from fitsolver.records.readings import PortBand, Reading, Zone


class Typed(NamedTuple):
    """The place where a reading was typed; `field` is its field of the form."""

    field: str
    typed: str
    unit: Unit
    file: str = ""
    row: str = ""


class SheetTyped:
    """The readings sheet as typed; valid figures become readings.

    `marks` hold the error of each invalid field, `origins` the place of each reading. `zeros` are
    the sizes at which the cylinders' dials read 0 (None: not known yet).
    """

    def __init__(self, data: Content, laid: Content, unit: Unit | None) -> None:
        self.marks: dict[str, str] = {}
        self.origins: dict[tuple[str, int, int], Typed] = {}
        self.cylinders: list[Cylinder] = []
        self.zeros: list[int | None] = []
        typed = content.tables(data, "cylinder")
        over = content.tables(laid, "cylinder")
        sheet = content.sheet_of(data)
        figures = {
            row: self._figure(f"depth.{row}", text, unit)
            for row, text in enumerate(sheet.depths)
            if text
        }
        self.depths = {row: depth for row, depth in figures.items() if depth is not None}
        for index, cylinder in enumerate(typed):
            whole = over[index] if len(over) == len(typed) else cylinder
            dial = content.kind_of(whole) == "dial"
            zero = _zero(whole, unit) if dial else 0
            self.zeros.append(zero)
            cells = {
                f"read.{index}.{r}.{a}": (r, sheet.axes[a], text)
                for (c, r, a), text in sheet.figures.items()
                if c == index
            }
            name = content.shown(cylinder.get("name")) or str(index + 1)
            readings = list(self._readings(name, cells, figures, zero, unit, dial=dial))
            zone, ports = _bands(laid, whole, unit)
            self.cylinders.append(
                Cylinder(name=name, material="-", zone=zone, ports=ports, readings=tuple(readings))
            )

    def _readings(
        self,
        name: str,
        cells: Mapping[str, tuple[int, str, str]],
        depths: Mapping[int, int | None],
        zero: int | None,
        unit: Unit | None,
        *,
        dial: bool,
    ) -> Iterator[Reading]:
        for field, (row, axis, text) in cells.items():
            figure = self._figure(field, text, unit)
            depth = depths.get(row)
            if row not in depths:
                self.marks[f"depth.{row}"] = "the depth of this row is missing"
            if figure is None or depth is None or zero is None or unit is None:
                continue
            with suppress(ValueError):
                reading = Reading(
                    depth=depth,
                    angle=parse_axis(axis),
                    size=zero + figure,
                    dial=figure if dial else None,
                )
                self.origins[name, depth, reading.angle] = Typed(field, text, unit)
                yield reading

    def _figure(self, field: str, text: str, unit: Unit | None) -> int | None:
        """Return a length in ticks; an invalid one is marked in its field, with the reason."""
        try:
            return None if unit is None else length_of(text, unit)
        except ValueError as error:
            self.marks[field] = str(error)
            return None


def _length(value: object, unit: Unit | None) -> int | None:
    """Return a length in ticks; None where the text is not a length."""
    try:
        return None if unit is None else length_of(value, unit)  # type: ignore[arg-type]
    except ValueError:
        return None


def _bands(
    laid: Mapping[str, object], cylinder: Mapping[str, object], unit: Unit | None
) -> tuple[Zone | None, tuple[PortBand, ...]]:
    """Return the zone and the ports of a cylinder that the job states so far."""
    zones = content.tables({"zone": [cylinder.get("zone", laid.get("zone"))]}, "zone")
    zone = next((Zone(top=a, bottom=b) for _, a, b in _edges(zones, unit)), None)
    ports = content.tables({"port": cylinder.get("port", laid.get("port"))}, "port")
    if "port" not in cylinder and isinstance(laid, Owned) and "port" in laid.sources:
        unit = laid.sources["port"].unit
    return zone, tuple(
        PortBand(
            name=content.shown(port.get("name")) or "port",
            top=top,
            bottom=bottom,
            decides=port.get("decides") is True,
        )
        for port, top, bottom in _edges(ports, unit)
    )


def _edges(
    bands: Iterable[Mapping[str, object]], unit: Unit | None
) -> Iterator[tuple[Mapping[str, object], int, int]]:
    """Yield the bands that have both depths, from the top face down."""
    for band in bands:
        of = {e: s.unit for e, s in band.sources.items()} if isinstance(band, Owned) else {}
        top, bottom = (_length(band.get(e), of.get(e, unit)) for e in ("top", "bottom"))
        if top is not None and bottom is not None and 0 <= top <= bottom:
            yield band, top, bottom


def _zero(cylinder: Mapping[str, object], unit: Unit | None) -> int | None:
    """Return the size at which a cylinder's dial reads 0; None if it is not known yet."""
    zero = cylinder.get("zero")
    if zero == "piston":
        zero = cylinder.get("zero_piston") or cylinder.get("piston_size")
    return _length(zero, unit) if zero else None
