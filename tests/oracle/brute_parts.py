"""What one cylinder may take, read off docs/decision.md: pistons, rings, stacks and routes.

An own code path: of the package only the record types are used. Lengths are ticks.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import combinations_with_replacement
from typing import NamedTuple

from fitsolver.records.base import FitName, RuleId
from fitsolver.records.catalogue import Catalogue, Gasket, Groove, Piston, Ring, Route
from fitsolver.records.job import Cylinder, InHand, Job
from fitsolver.records.windows import Window

PARTS = 10**9  # windows per unit of bore are in parts of this

Stack = tuple[Gasket, ...]


class Edges(NamedTuple):
    """A window's edges with the guard taken off; None = no limit."""

    low: int | None
    high: int | None


@dataclass(frozen=True)
class PistonChoice:
    part: Piston
    piece: str
    skirt_low: int
    skirt_high: int
    lightest: int | None
    heaviest: int | None
    kept: bool


@dataclass(frozen=True)
class RingChoice:
    part: Ring
    piece: str
    gap_low: int
    gap_high: int
    gap_bore: int
    kept: bool


@dataclass
class Setting:
    """One cylinder of one job, with the rules that are left out (only to measure)."""

    job: Job
    catalogue: Catalogue
    cylinder: Cylinder
    without: frozenset[RuleId] = frozenset()
    largest: int = 0
    smallest: int = 0
    out_of_round: int | None = None
    taper: int | None = None
    memory: dict[object, Edges | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Read the bore: what decides, its largest and smallest local size, its form."""
        cylinder = self.cylinder
        if cylinder.finished_size is not None:
            self.largest = cylinder.finished_size + cylinder.finished_half_width
            self.smallest = cylinder.finished_size - cylinder.finished_half_width
            return
        rows: dict[int, list[int]] = {}
        lines: dict[int, list[tuple[int, int]]] = {}
        for reading in cylinder.readings:
            if self._decides(reading.depth):
                rows.setdefault(reading.depth, []).append(reading.size)
                lines.setdefault(reading.angle, []).append((reading.depth, reading.size))
        self.largest, self.smallest = max(map(max, rows.values())), min(map(min, rows.values()))
        self.out_of_round = max(max(row) - min(row) for row in rows.values())
        self.taper = max(abs(min(line)[1] - max(line)[1]) for line in lines.values())

    def _decides(self, depth: int) -> bool:
        zone = self.cylinder.zone
        return (zone is None or zone.top <= depth <= zone.bottom) and all(
            band.decides or not band.top <= depth <= band.bottom for band in self.cylinder.ports
        )

    def port_window(self, name: str) -> Window | None:
        """The window on a port's timing: the cylinder's own, one for that port first."""
        for group in (self.cylinder.windows, self.job.windows):
            of_fit = [window for window in group if window.fit == "port_timing"]
            for window in sorted(of_fit, key=lambda window: window.port is None):
                if window.port in (name, None):
                    return window
        return None

    def window(
        self,
        fit: FitName,
        nominal: int,
        groove: int | None = None,
        kept: bool = False,
        part: Piston | Ring | None = None,
    ) -> Edges | None:
        """The window of a fit: the cylinder's before the job's, a groove's before the general.

        What the maker of the part states comes after those and before windows that yield.
        """
        question = (fit, nominal, groove, kept, None if part is None else part.number)
        if question not in self.memory:
            found = self._window(fit, groove, part)
            self.memory[question] = None if found is None else edges(found, nominal, kept)
        return self.memory[question]

    def _window(
        self, fit: FitName, groove: int | None, part: Piston | Ring | None
    ) -> Window | None:
        own = [
            *self._of(self.cylinder.windows, fit, groove),
            *self._of(self.job.windows, fit, groove),
        ]
        stated = [
            (one.window.groove is None, one.use == "", one.window)
            for one in self.catalogue.windows
            if part is not None
            and one.window.part in part.stated
            and one.window.fit == fit
            and one.window.groove in (groove, None)
            and one.use in (self.job.use, "")
        ]
        stated.sort(key=lambda row: row[:2])
        firm = [window for window in own if not window.yields]
        return next(iter([*firm, *(row[-1] for row in stated), *own]), None)

    @staticmethod
    def _of(group: tuple[Window, ...], fit: FitName, groove: int | None) -> list[Window]:
        """The windows for a fit and groove in one place, that for the groove first."""
        found = [w for w in group if w.fit == fit and w.groove in (groove, None)]
        return sorted(found, key=lambda window: window.groove is None)


def edges(window: Window, nominal: int, kept: bool) -> Edges:
    low, high = window.low, window.high
    if kept and window.service_low is not None:
        low = window.service_low
    if kept and window.service_high is not None:
        high = window.service_high
    if window.per_bore:  # inwards: the low edge up, the high edge down
        low = None if low is None else -(-low * nominal // PARTS)
        high = None if high is None else high * nominal // PARTS
    return Edges(
        None if low is None else low + window.guard, None if high is None else high - window.guard
    )


def is_piece(entry: InHand) -> bool:
    return entry.kept or any(v is not None for v in (entry.size, entry.mass, entry.gap))


def pieces_of(job: Job, number: str) -> Iterator[tuple[str, InHand]]:
    """The measured or kept pieces of one part number, named in the order the job lists them."""
    count = 0
    for entry in job.in_hand:
        if entry.number == number and is_piece(entry):
            for _ in range(entry.count):
                count += 1
                yield f"piece {count}", entry


def piston_choices(setting: Setting) -> Iterator[PistonChoice]:
    job, cylinder = setting.job, setting.cylinder
    for part in setting.catalogue.pistons:
        if cylinder.piston is not None and cylinder.piston != part.number:
            continue
        measured = (cylinder.piston_size, cylinder.piston_mass)
        if cylinder.piston is not None and (
            cylinder.piston_kept or any(value is not None for value in measured)
        ):
            piece = f"in cylinder {cylinder.name}"
            yield _piston(part, piece, *measured, cylinder.piston_kept)
            continue
        yield _piston(part, "", None, None, False)
        for piece, entry in pieces_of(job, part.number):
            if entry.cylinder in (None, cylinder.name):
                yield _piston(part, piece, entry.size, entry.mass, entry.kept)


def _piston(
    part: Piston, piece: str, size: int | None, mass: int | None, kept: bool
) -> PistonChoice:
    low, high = (part.skirt.low, part.skirt.high) if size is None else (size, size)
    lightest = heaviest = mass
    if mass is None and part.mass is not None:
        lightest, heaviest = part.mass - part.mass_tolerance, part.mass + part.mass_tolerance
    return PistonChoice(part, piece, low, high, lightest, heaviest, kept)


def ring_choices(setting: Setting, piston: PistonChoice, groove: Groove) -> list[RingChoice]:
    """The rings marked for the groove that go into it, whatever the bore."""
    pins = [pin.number for pin in setting.cylinder.rings if pin.groove == groove.number]
    found = []
    for part in setting.catalogue.rings:
        if groove.number not in part.grooves or any(number != part.number for number in pins):
            continue
        found.append(RingChoice(part, "", part.gap.low, part.gap.high, part.gauge_diameter, False))
        for piece, entry in pieces_of(setting.job, part.number):
            if entry.cylinder in (None, setting.cylinder.name):
                found.append(_ring_piece(part, piece, entry))
    return [ring for ring in found if _goes_in(setting, piston, groove, ring)]


def _ring_piece(part: Ring, piece: str, entry: InHand) -> RingChoice:
    if entry.gap is None:
        return RingChoice(part, piece, part.gap.low, part.gap.high, part.gauge_diameter, entry.kept)
    bore = part.gauge_diameter if entry.gap_bore is None else entry.gap_bore
    return RingChoice(part, piece, entry.gap, entry.gap, bore, entry.kept)


def _goes_in(setting: Setting, piston: PistonChoice, groove: Groove, ring: RingChoice) -> bool:
    depth, radial = groove.depth, ring.part.radial_depth
    too_deep = depth is not None and radial is not None and radial > depth
    if too_deep and "compatibility" not in setting.without:
        return False
    if "side_clearance" in setting.without:
        return True
    window = setting.window(
        "side_clearance", piston.part.nominal_bore, groove.number, piston.kept or ring.kept
    )
    least = groove.width.low - ring.part.width.high
    most = groove.width.high - ring.part.width.low
    low, high = (None, None) if window is None else window
    return inside(least, most, Edges(max(low or 0, 0), high))  # it goes in, whatever is asked


def clearance_of(setting: Setting, piston: PistonChoice) -> Edges:
    """The clearance asked: no skirt is larger than its bore, unless a window says so itself."""
    if "clearance" in setting.without:
        return Edges(None, None)
    nominal, part = piston.part.nominal_bore, piston.part
    window = setting.window("clearance", nominal, None, piston.kept, part)
    low, high = (None, None) if window is None else window
    return Edges(0 if low is None else low, high)


def inside(least: int, most: int, window: Edges) -> bool:
    return (window.low is None or least >= window.low) and (
        window.high is None or most <= window.high
    )


def stacks_of(catalogue: Catalogue, place: str, least: int, most: int) -> list[Stack]:
    """Every stack of `least` to `most` gaskets of a place."""
    gaskets = gaskets_of(catalogue, place)
    return [
        stack
        for count in range(least, most + 1)
        for stack in combinations_with_replacement(gaskets, count)
    ]


def gaskets_of(catalogue: Catalogue, place: str) -> list[Gasket]:
    return sorted((g for g in catalogue.gaskets if g.place == place), key=lambda g: g.number)


def pin_fits(setting: Setting, piston: PistonChoice) -> bool:
    engine, own = setting.job.engine.pin_diameter, piston.part.pin_diameter
    return "compatibility" in setting.without or None in (engine, own) or engine == own


def form_holds(setting: Setting, piston: PistonChoice) -> bool:
    """Out-of-round and taper of a bore that is left as it is (unknown without readings)."""
    if "form" in setting.without or setting.out_of_round is None or setting.taper is None:
        return True
    found: dict[FitName, int] = {
        "out_of_round": setting.out_of_round,
        "taper": setting.taper,
    }
    windows = {fit: setting.window(fit, piston.part.nominal_bore) for fit in found}
    return all(inside(found[fit], found[fit], window) for fit, window in windows.items() if window)


def squish_holds(setting: Setting, piston: PistonChoice, stacks: tuple[Stack, ...]) -> bool:
    window = setting.window("squish", piston.part.nominal_bore)
    base = setting.cylinder.squish
    if "squish" in setting.without or base is None:
        return True
    low, high = (None, None) if window is None else window
    height = piston.part.compression_height
    if height is None:
        return low is None and high is None
    taken = [gasket.compressed for stack in stacks for gasket in stack]
    least = base.base_low - height.high + sum(t.low for t in taken)
    most = base.base_high - height.low + sum(t.high for t in taken)
    return inside(least, most, Edges(max(low or 1, 1), high))  # it does not touch the head


def routes_of(setting: Setting) -> list[Route]:
    job, cylinder = setting.job, setting.cylinder
    routes = list(setting.catalogue.routes)
    if not any(route.kind == "as is" for route in routes):
        routes.append(Route(name="as is", kind="as is"))
    if job.finishing == "already finished":
        routes = [route for route in routes if route.kind == "as is"]
    else:
        listed = cylinder.routes or job.routes
        routes = [route for route in routes if not listed or route.name in listed]
    if cylinder.route is not None:
        routes = [route for route in routes if route.name == cylinder.route]
    if "route_cut" not in setting.without:
        routes = [r for r in routes if not r.materials or cylinder.material in r.materials]
    return routes
