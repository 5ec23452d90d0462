"""The state of a measured bore: what it is like now, on diameter."""

from __future__ import annotations

from typing import Literal

from fitsolver.records.base import Length, Record
from fitsolver.records.readings import Reading

ShapeName = Literal["straight", "tapered", "barrel", "waisted", "bell-mouthed", "irregular"]


class Place(Record):
    """A place to read next: a depth, and an axis in degrees from the thrust axis."""

    depth: Length
    angle: int


class DepthForm(Record):
    """One depth: largest minus smallest local size."""

    depth: Length
    out_of_round: Length
    largest: Length
    smallest: Length


class AxisForm(Record):
    """One axis: taper (top minus bottom, signed) and largest minus smallest."""

    angle: int
    taper: Length
    spread: Length


class NextReading(Record):
    """Where one more reading tells most of the largest local size, and what it would bring.

    Standard uncertainties (ticks) of the largest local size of the zone, now and with it; the
    error that all readings share is left out.
    """

    place: Place
    now: float
    then: float


class BoreForm(Record):
    """The bore as measured. `largest`, `smallest` are of the readings that decide.

    `reference` is the unworn size and `wear` the largest deciding local size minus it;
    None where no reading outside the zone tells. `port_excess` is the largest local size in
    a port band minus the largest deciding one (None without port readings).
    `next_place` is where one more reading tells most about the largest local size (None
    where the zone is not given, or read closely enough); `next_reading` is what it would bring,
    where the form itself was asked for.
    """

    cylinder: str
    largest: Length
    smallest: Length
    largest_at: Reading
    smallest_at: Reading
    out_of_round: Length
    taper: Length
    by_depth: tuple[DepthForm, ...]
    by_axis: tuple[AxisForm, ...]
    shape: ShapeName
    shape_at: Literal["top", "bottom", ""] = ""
    reference: Length | None = None
    wear: Length | None = None
    port_excess: Length | None = None
    next_place: Place | None = None
    next_reading: NextReading | None = None
    readings_deciding: int
    readings_shown: int
    cautions: tuple[str, ...] = ()
