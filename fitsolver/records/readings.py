"""Readings of a bore, as diameters, with where and how they were taken."""

from __future__ import annotations

from collections.abc import Iterable

from pydantic import Field

from fitsolver.records.base import Length, Record

THRUST, PIN = 0, 90


class Reading(Record):
    """One local size: a two-point diameter (ISO 14405-1) at one depth and one axis.

    `angle` is in degrees from the thrust axis (0 = thrust axis, 90 = pin axis), below 180.
    `dial` keeps the deviation as read when the size was read from a zeroed gauge. `repeats`
    are all sizes read at this place when it was read more than once; `size` is their mean,
    rounded to the nearest tick.
    """

    depth: Length = Field(ge=0)
    angle: int = Field(ge=0, lt=180)
    size: Length = Field(gt=0)
    dial: Length | None = None
    repeats: tuple[Length, ...] = ()

    @property
    def axis(self) -> str:
        return axis_name(self.angle)


def axis_name(angle: int) -> str:
    """Return what an axis is called, by its angle in degrees from the thrust axis."""
    return {THRUST: "thrust", PIN: "pin"}.get(angle, f"{angle}°")


class Zone(Record):
    """Depth range that the rings and skirt sweep, from the top face (ticks).

    Where it is not the job's own, `stands` says in which file and section: filled in where a job
    is read, never part of a job's file or document.
    """

    top: Length = Field(ge=0)
    bottom: Length
    stands: str = Field(default="", exclude=True)

    def holds(self, depth: int) -> bool:
        return self.top <= depth <= self.bottom


class PortBand(Record):
    """Depth range of a port; its readings decide only when the job says so."""

    name: str = "port"
    top: Length = Field(ge=0)
    bottom: Length
    decides: bool = False

    def holds(self, depth: int) -> bool:
        return self.top <= depth <= self.bottom


def decides(depth: Length, zone: Zone | None, ports: Iterable[PortBand]) -> bool:
    """Tell whether a reading at a depth decides: in the zone, in no port band but one that does.

    Without a zone every depth is in it.
    """
    if zone is not None and not zone.holds(depth):
        return False
    return all(port.decides or not port.holds(depth) for port in ports)


class GaugeZero(Record):
    """What the gauge was zeroed on: a size, which may be the piston's own."""

    size: Length = Field(gt=0)
    on_piston: bool = False
