"""A job: cylinders with their readings, windows, demands and what is best."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field, model_validator

from fitsolver.base.lengths import Unit
from fitsolver.records.base import (
    LEVELS,
    RECORD_FORMAT,
    Length,
    Level,
    Mass,
    Money,
    Record,
    Volume,
)
from fitsolver.records.measuring import Measuring, Temperatures
from fitsolver.records.readings import GaugeZero, PortBand, Reading, Zone, decides
from fitsolver.records.rules import Limit
from fitsolver.records.wear import EarlierRecord, WearEstimate, WearSource
from fitsolver.records.windows import OpenFit, Window, holding

Finishing = Literal["piston in hand", "set size", "already finished"]
Convention = Literal["by axis", "six readings"]


class Squish(Record):
    """Where the squish comes from: `squish = base - compression height + new gaskets`.

    `base` (ticks) is measured squish - old compressed gaskets + old compression height, or,
    from deck dimensions, deck height - rod length - stroke / 2 + head step. Half a stroke
    may fall between ticks, so the base is a range.

    `head_step` is how much further the head lies from the crown than the gaskets between
    cylinder and head make it. `squish_before` is the squish that was measured, and `deck_before`
    how far the crown then lay below the cylinder's top face (negative: above it); None = not
    known.
    """

    base_low: Length
    base_high: Length
    head_step: Length = 0
    squish_before: Length | None = None
    deck_before: Length | None = None


class PinnedRing(Record):
    groove: int = Field(ge=1)
    number: str


class Cylinder(Record):
    """One cylinder of the job.

    A cylinder has `readings`, or (for a finished bore without a sheet of readings)
    `finished_size` with the `finished_half_width` its local sizes keep to.
    Pins: `piston` and `rings` fix part numbers, `route` the route; `piston_size` is the
    measured skirt size of the pinned piston. `form_allowance` is how far local sizes between
    the readings may lie beyond the smallest and the largest that were read. `marking` is what its
    owner calls it, the same in every job over the years. `earlier` are records of earlier
    rebuilds, oldest first, and `earlier_wear` the wear that they tell: filled in where a job is
    made ready to be decided, never part of a job's file or document.
    """

    name: str = Field(min_length=1)
    marking: str = ""
    material: str
    zone: Zone | None = None
    ports: tuple[PortBand, ...] = ()
    readings: tuple[Reading, ...] = ()
    zero: GaugeZero | None = None
    unworn: Length | None = None
    scratch: Length = Field(default=0, ge=0)
    finished_size: Length | None = None
    finished_half_width: Length = Field(default=0, ge=0)
    windows: tuple[Window, ...] = ()
    bore_limit: Length | None = None
    squish: Squish | None = None
    routes: tuple[str, ...] = ()
    piston: str | None = None
    piston_size: Length | None = None
    piston_mass: Mass | None = None
    piston_kept: bool = False
    rings: tuple[PinnedRing, ...] = ()
    route: str | None = None
    temperatures: Temperatures | None = None
    form_allowance: Length = Field(default=0, ge=0)
    read_by: str = ""
    wear_per_rebuild: Length | None = Field(default=None, gt=0)
    earlier: tuple[EarlierRecord, ...] = ()
    earlier_wear: WearEstimate | None = Field(default=None, exclude=True)

    def without_piston(self) -> Cylinder:
        """Return the cylinder with no piston pinned."""
        free = {"piston": None, "piston_size": None, "piston_mass": None, "piston_kept": False}
        return self.model_copy(update=free)

    def without_parts(self) -> Cylinder:
        """Return the cylinder with neither piston nor rings pinned."""
        return self.without_piston().model_copy(update={"rings": ()})

    def decides(self, reading: Reading) -> bool:
        """Tell whether a reading lies in the zone and beside no port that does not decide."""
        return decides(reading.depth, self.zone, self.ports)

    @property
    def outside_zone(self) -> tuple[Reading, ...]:
        """The readings outside the zone, where the bore is not worn; none without a zone."""
        zone = self.zone
        return () if zone is None else tuple(r for r in self.readings if not zone.holds(r.depth))


class InHand(Record):
    """Parts already in hand: they cost nothing and take no days.

    A measured piston (`size`, `mass`) or ring (`gap` in a bore of `gap_bore`) is a piece of
    its own, so its count is 1. `gap_most` is the blade that does not go in any more: the gap
    is then known to lie between `gap` and `gap_most`. `kept` = a used part: the service limits
    hold for it. `cylinder` reserves it.
    """

    number: str
    count: int = Field(default=1, ge=1)
    size: Length | None = None
    mass: Mass | None = None
    gap: Length | None = None
    gap_most: Length | None = None
    gap_bore: Length | None = None
    kept: bool = False
    cylinder: str | None = None


class SameSize(Record):
    """Cylinders that must take pistons of one oversize."""

    cylinders: tuple[str, ...]


class MassMatch(Record):
    """Cylinders whose pistons' masses may differ by at most `limit` (mg)."""

    cylinders: tuple[str, ...]
    limit: Mass
    source: str = ""


class GasketPlace(Record):
    """A place that takes a stack of `least` to `most` gaskets; `shared` = one for all cylinders."""

    place: str
    least: int = Field(default=1, ge=0)
    most: int = Field(default=1, ge=1)
    shared: bool = False


class Rise(Record):
    """Temperature above 20 °C of running parts, in kelvin, for the hot fits."""

    bore: int
    piston: int
    ring: int
    bore_alloy: str
    piston_alloy: str = ""
    ring_alloy: str = ""


class Engine(Record):
    """Facts of the engine. `displacement_limit`, `chamber_volume` are in cubic ticks.

    `chamber_volume` is the volume above one crown at top dead centre, as measured before.
    """

    stroke: Length | None = None
    pin_diameter: Length | None = None
    displacement_limit: Volume | None = None
    other_bores: tuple[Length, ...] = ()
    bore_limit: Length | None = None
    rod_length: Length | None = None
    chamber_volume: Annotated[Volume, Field(gt=0)] | None = None
    rise: Rise | None = None

    @model_validator(mode="after")
    def _turns(self) -> Engine:
        stroke, rod = self.stroke, self.rod_length
        if rod is not None and stroke is not None and 2 * rod <= stroke:
            raise ValueError("the rod is not longer than half of the stroke")
        return self


class Terms(Record):
    """Date, money: `needed_in_days` counts from the day of ordering."""

    order_date: date | None = None
    needed_by: date | None = None
    needed_in_days: int | None = Field(default=None, ge=0)
    budget: Money | None = None


class Job(Record):
    """Everything one order is decided from.

    `asked_for` are old part numbers that it named and that others stand for now: filled in where
    it meets its catalogue, never part of its file or document. `use` is what the engine is used
    for, where the makers of its parts state windows by use. `no_window` are the fits that are left
    open by name; `accept` the ids of the doubts (see `fitsolver.records.doubts`) whose figures are
    taken as they are.
    """

    format: int = RECORD_FORMAT
    name: str = Field(min_length=1)
    note: str = ""
    unit: Unit = "mm"
    family: str | None = None
    use: str = ""
    catalogue: str | None = None
    finishing: Finishing = "piston in hand"
    convention: Convention = "by axis"
    cylinders: tuple[Cylinder, ...] = Field(min_length=1)
    windows: tuple[Window, ...] = ()
    no_window: tuple[OpenFit, ...] = ()
    accept: tuple[str, ...] = ()
    routes: tuple[str, ...] = ()
    engine: Engine = Engine()
    gaskets: tuple[GasketPlace, ...] = ()
    in_hand: tuple[InHand, ...] = ()
    same_size: tuple[SameSize, ...] = ()
    mass_match: tuple[MassMatch, ...] = ()
    terms: Terms = Terms()
    best: tuple[Level, ...] = LEVELS
    measuring: Measuring | None = None
    wear_per_rebuild: Length | None = Field(default=None, gt=0)
    fingerprint: str = ""
    asked_for: tuple[str, ...] = Field(default=(), exclude=True)

    def windows_for(self, cylinder: Cylinder) -> tuple[Window, ...]:
        """Return the windows that hold for a cylinder, its own first.

        The cylinder's own window for all grooves (or ports) replaces every window of the job for
        that fit.
        """
        return holding(self.windows, cylinder.windows)

    def wear_for(self, cylinder: Cylinder) -> Length | None:
        """Return how far a cylinder wears before its next rebuild; None where nothing tells.

        Its own figure, else the job's, else (in a job that was made ready) what its earlier
        records tell.
        """
        own, told = cylinder.wear_per_rebuild, cylinder.earlier_wear
        stated = self.wear_per_rebuild if own is None else own
        return told.per_rebuild if stated is None and told is not None else stated

    def wear_source(self, cylinder: Cylinder) -> WearSource:
        """Return where the figure of `wear_for` comes from; empty without one."""
        if cylinder.wear_per_rebuild is not None:
            return "cylinder"
        if self.wear_per_rebuild is not None:
            return "job"
        return "" if cylinder.earlier_wear is None else "earlier records"

    def limit_for(self, limit: Limit, cylinder: Cylinder) -> Length | None:
        """Return a largest size that a rule is held to: the cylinder's own, else the engine's."""
        own: Length | None = getattr(cylinder, limit.key) if limit.own else None
        shared: Length | None = getattr(self.engine, limit.key)
        return shared if own is None else own

    def bore_limit_for(self, cylinder: Cylinder) -> Length | None:
        """Return the cylinder's own bore limit, else the engine's."""
        own = cylinder.bore_limit
        return self.engine.bore_limit if own is None else own
