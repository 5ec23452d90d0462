"""The bores drawn beside their readings: sizes over depth, as far as they were read.

Points of a drawing in its own units; the template writes the lines, the stylesheet has the looks.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.base.lengths import Unit, format_length
from fitsolver.records.figures import Figures
from fitsolver.records.plan import CylinderPlan, Plan
from fitsolver.records.words import axis_words, shape_words

if TYPE_CHECKING:
    from fitsolver.page.bench import Bore

WIDTH: Final = 300
HEIGHT: Final = 330
_LEFT, _RIGHT, _TOP, _BOTTOM = 36, 12, 26, 40
#: Least width of sizes that is drawn (ticks): 40 um, so that a good bore looks straight.
_LEAST: Final = 4_000
_STEPS: Final = (1, 2, 5)


class Tick(NamedTuple):
    """A figure at an edge of the drawing."""

    at: float
    said: str


class Point(NamedTuple):
    """A reading; `decides` is False outside the zone and beside ports."""

    x: float
    y: float
    decides: bool


class Axis(NamedTuple):
    """The readings of one axis from the top down."""

    name: str
    angle: int
    points: tuple[Point, ...]

    @property
    def line(self) -> str:
        return " ".join(f"{p.x:.1f},{p.y:.1f}" for p in self.points)


class Band(NamedTuple):
    """A port: its name and its edges."""

    name: str
    top: float
    height: float


class Finish(NamedTuple):
    """The finish size, and the metal to remove as corners of an area."""

    x: float
    said: str
    metal: str


class Picture(NamedTuple):
    """One bore; `told` says in words what is drawn."""

    cylinder: str
    told: str
    axes: tuple[Axis, ...]
    zone: tuple[float, ...]
    ports: tuple[Band, ...]
    unworn: float | None
    finish: Finish | None
    depths: tuple[Tick, ...]
    sizes: tuple[Tick, ...]
    facts: tuple[tuple[str, str], ...]


class _Scale(NamedTuple):
    low: int
    high: int
    start: int
    end: int

    def at(self, value: float) -> float:
        share = (value - self.low) / max(1, self.high - self.low)
        return self.start + share * (self.end - self.start)


def pictures(bores: Sequence[Bore], unit: Unit, plan: Plan | None) -> list[Picture]:
    """Return a drawing of every bore, all with one scale of sizes so that they can be compared."""
    planned = {item.cylinder: item for item in plan.cylinders} if plan is not None else {}
    sizes = [r.size for bore in bores for r in bore.cylinder.readings]
    sizes += [item.finish_large for item in planned.values() if _is_drawn(item)]
    depths = [r.depth for bore in bores for r in bore.cylinder.readings]
    depths += [bore.cylinder.zone.bottom for bore in bores if bore.cylinder.zone]
    depths += [port.bottom for bore in bores for port in bore.cylinder.ports]
    if not sizes:
        return []
    spare = max(_LEAST - (max(sizes) - min(sizes)), 0) // 2 + (max(sizes) - min(sizes)) // 12 + 100
    across = _Scale(min(sizes) - spare, max(sizes) + spare, _LEFT, WIDTH - _RIGHT)
    down = _Scale(0, max(depths) * 21 // 20 or 1, _TOP, HEIGHT - _BOTTOM)
    return [
        _picture(bore, unit, planned.get(bore.cylinder.name), across, down)
        for bore in bores
        if bore.cylinder.readings
    ]


def _is_drawn(item: CylinderPlan) -> bool:
    return item.machined and not item.restored


def _picture(
    bore: Bore, unit: Unit, planned: CylinderPlan | None, across: _Scale, down: _Scale
) -> Picture:
    cylinder, form, figures = bore.cylinder, bore.form, Figures(unit)
    zone, reference = cylinder.zone, None if form is None else form.reference
    facts = _facts(bore, figures)
    return Picture(
        cylinder=cylinder.name,
        told="; ".join(f"{name} {said}" for name, said in facts) or "sizes over depth",
        axes=tuple(_axis(bore, angle, across, down) for angle in _angles(bore)),
        zone=() if zone is None else (down.at(zone.top), down.at(zone.bottom)),
        ports=tuple(
            Band(port.name, down.at(port.top), down.at(port.bottom) - down.at(port.top))
            for port in cylinder.ports
        ),
        unworn=_unworn(reference, across),
        finish=_finish(bore, planned, figures, across, down),
        depths=_ticks(down, unit, 4),
        sizes=_ticks(across, unit, 3),
        facts=facts,
    )


def _unworn(reference: int | None, across: _Scale) -> float | None:
    """Return where the unworn size lies; None where it is not known or beside the drawing."""
    if reference is None or not across.low <= reference <= across.high:
        return None
    return across.at(reference)


def _angles(bore: Bore) -> list[int]:
    return sorted({reading.angle for reading in bore.cylinder.readings})


def _axis(bore: Bore, angle: int, across: _Scale, down: _Scale) -> Axis:
    line = sorted((r.depth, r.size, r) for r in bore.cylinder.readings if r.angle == angle)
    points = tuple(
        Point(across.at(size), down.at(depth), bore.cylinder.decides(reading))
        for depth, size, reading in line
    )
    return Axis(axis_words(angle), angle, points)


def _finish(
    bore: Bore, planned: CylinderPlan | None, figures: Figures, across: _Scale, down: _Scale
) -> Finish | None:
    """Return the finish size, and the area up to it from the smallest size at each depth."""
    if planned is None or not _is_drawn(planned):
        return None
    x = across.at(planned.finish_large)
    inner: dict[int, int] = {}
    for reading in bore.cylinder.readings:
        if bore.cylinder.decides(reading):
            inner[reading.depth] = min(reading.size, inner.get(reading.depth, reading.size))
    edge = [(across.at(size), down.at(depth)) for depth, size in sorted(inner.items())]
    if edge:
        edge += [(x, edge[-1][1]), (x, edge[0][1])]
    said = figures.aim(planned.finish_large, planned.lowest, planned.highest)
    return Finish(x, said, " ".join(f"{a:.1f},{b:.1f}" for a, b in edge))


def _facts(bore: Bore, figures: Figures) -> tuple[tuple[str, str], ...]:
    form = bore.form
    if form is None:
        return ()
    facts = [
        ("largest", figures.near(form.largest)),
        ("smallest", figures.near(form.smallest)),
        ("out-of-round", figures.near(form.out_of_round)),
        ("taper", figures.near(form.taper, sign=True)),
    ]
    if form.wear is not None:
        facts.append(("wear", figures.near(form.wear)))
    return (*facts, ("shape", shape_words(form)))


def _ticks(scale: _Scale, unit: Unit, about: int) -> tuple[Tick, ...]:
    """Return round figures along a scale, some `about` of them."""
    size = {"mm": 100_000, "um": 100, "in": 2_540_000, "thou": 2_540}[unit]
    span = (scale.high - scale.low) / size
    steps = (10.0**power * lead for power in range(-6, 7) for lead in _STEPS)
    step = next(step for step in steps if span / step <= about + 1)
    first = -(-scale.low // (step * size))
    found, places = [], max(0, len(f"{step:.6f}".rstrip("0").partition(".")[2]))
    for n in range(about + 2):
        value = (first + n) * step
        ticks = round(value * size)
        if ticks > scale.high:
            break
        found.append(Tick(scale.at(ticks), format_length(ticks, unit, places=places)))
    return tuple(found)
