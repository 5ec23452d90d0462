"""Small random jobs with their catalogues, about half of which can be done."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from fitsolver.records.base import LEVELS
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import (
    Cylinder,
    Engine,
    GasketPlace,
    InHand,
    Job,
    MassMatch,
    PinnedRing,
    SameSize,
    Squish,
    Terms,
)
from fitsolver.records.readings import PortBand, Reading, Zone
from fitsolver.records.windows import Window

from . import generate_stack
from .dice import THEMES, Dice, Scale, Theme
from .generate_catalogue import CLEARANCE, HEIGHT, OVERSIZE, PLACES, draw_catalogue

MM = 100_000
DEPTHS = (10 * MM, 40 * MM, 70 * MM)
ABOVE, PORT = 2 * MM, PortBand(name="exhaust", top=45 * MM, bottom=55 * MM)


def cases(name: str) -> st.SearchStrategy[tuple[Job, Catalogue]]:
    """Jobs with their catalogues in one of the themes of `dice.THEMES`."""
    theme = THEMES[name]
    return st.binary(min_size=Dice.SIZE, max_size=Dice.SIZE).map(
        lambda data: draw_case(theme, data)
    )


def draw_case(theme: Theme, data: bytes) -> tuple[Job, Catalogue]:
    """Draw a job and its catalogue; the same data give the same case."""
    job, catalogue, _ = draw_scaled(theme, data)
    return job, catalogue


def draw_scaled(theme: Theme, data: bytes) -> tuple[Job, Catalogue, Scale]:
    """Draw a case as `draw_case` does, and the scale it is drawn to."""
    dice = Dice(data)
    count = dice.between(*theme.cylinders)
    # Several cylinders bored to a set size multiply: keep their intervals short.
    step = dice.pick([s for s in theme.steps if count == 1 or s <= 5] or theme.steps)
    scale = Scale(step, "in" if step in (127, 254) else "mm")
    catalogue = draw_catalogue(dice, theme, scale)
    return _Draft(dice, theme, scale, catalogue).job(count), catalogue, scale


class _Draft:
    """Draws the parts of one job."""

    def __init__(self, dice: Dice, theme: Theme, scale: Scale, catalogue: Catalogue) -> None:
        self.dice, self.theme, self.scale, self.catalogue = dice, theme, scale, catalogue
        self.finishing: Any = dice.pick(theme.modes)
        self.edge = scale.bore + scale.length(OVERSIZE * dice.one_of(0, 1, 0, 1, 2) - CLEARANCE)
        self.wear = scale.length(dice.between(-4, 14))
        # without gaskets the piston reaches the head
        self.near_head = not theme.timing and dice.chance(12)

    def job(self, count: int) -> Job:
        dice, theme = self.dice, self.theme
        cylinders = tuple(self.cylinder(str(i + 1)) for i in range(count))
        names = tuple(cylinder.name for cylinder in cylinders)
        routes = [route.name for route in self.catalogue.routes]
        return Job(
            name="random",
            unit=self.scale.unit,
            finishing=self.finishing,
            cylinders=cylinders,
            windows=tuple(self.windows(80)),
            routes=tuple(dice.some([*routes, "as is"], 60)) if dice.chance(25) else (),
            engine=self.engine(count),
            gaskets=self.gaskets(),
            in_hand=self.in_hand(names),
            same_size=(SameSize(cylinders=self.group(names)),) if self.set_rule() else (),
            mass_match=(MassMatch(cylinders=self.group(names), limit=10 * dice.between(2, 18)),)
            if self.set_rule()
            else (),
            terms=Terms(
                needed_in_days=dice.between(0, 12) if dice.chance(theme.limits) else None,
                budget=100 * dice.between(5, 30) * count if dice.chance(theme.limits) else None,
            ),
            best=self.order(),
        )

    def set_rule(self) -> bool:
        return self.dice.chance(self.theme.sets)

    def group(self, names: tuple[str, ...]) -> tuple[str, ...]:
        return names if self.dice.chance(70) else names[:2]

    def order(self) -> Any:
        """What is best; filing first needs every finish size tried: small scales only."""
        dice = self.dice
        small = self.scale.step <= 10 or self.finishing != "set size"
        if dice.chance(self.theme.filing_first) and small:
            rest = [level for level in LEVELS if level not in ("filing", "total_removal")]
            return (*dice.some(rest, 30), "filing")
        if dice.chance(50):
            return dice.shuffled(LEVELS)[: dice.between(1, len(LEVELS))]
        return LEVELS

    def windows(self, percent: int) -> list[Window]:
        """Windows for the fits; each is there in about `percent` of the draws."""
        dice, found = self.dice, []
        if dice.chance(percent):
            coated = dice.chance(8)
            low = dice.between(-8, 1) if coated else dice.between(5, 11)
            width = dice.between(16, 24) if coated else dice.between(8, 20)
            found.append(self.window("clearance", low, width, 88))
        for groove in (None, 1, 2):
            if dice.chance(percent if groove is None else self.theme.own):
                low = dice.between(-3, 1) if dice.chance(8) else dice.between(10, 24)
                edges = low, dice.between(25, 90)
                found.append(self.window("end_gap", *edges, 85, groove=groove))
            if dice.chance(percent // 2 if groove is None else self.theme.own // 2):
                edges = dice.between(-3 if dice.chance(10) else 1, 3), dice.between(3, 7)
                found.append(self.window("side_clearance", *edges, 80, groove=groove))
        if dice.chance(percent // 4):
            found.append(self.window("ring_seat", dice.between(-40, -5), dice.between(20, 90), 70))
        if self.theme.places and dice.chance(percent // 2 if self.near_head else percent):
            low = dice.between(-6, 3) if self.near_head else dice.between(22, 36)
            found.append(self.window("squish", low, dice.between(16, 34), 80))
        if dice.chance(self.theme.shape):
            fit: Any = dice.one_of("out_of_round", "taper")
            found.append(Window(fit=fit, high=self.scale.length(dice.between(0, 5))))
        if self.theme.timing and dice.chance(percent):
            found += generate_stack.windows(dice, self.scale)
        return found

    def window(
        self, fit: Any, low: int, width: int, both: int, groove: int | None = None
    ) -> Window:
        """A window; per unit of bore now and then, with a guard, with service limits."""
        dice = self.dice
        edges = [self.scale.length(low), self.scale.length(low + width)]
        service = [
            edges[0] - self.scale.length(dice.between(0, 6)),
            edges[1] + self.scale.length(dice.between(0, 12)),
        ]
        per_bore = fit in ("clearance", "end_gap") and dice.chance(25)
        if per_bore:
            edges, service = [
                [e * 10**9 // self.scale.bore + dice.between(0, 2) for e in pair]
                for pair in (edges, service)
            ]
            edges[1], service[1] = max(edges), max(service)
        kept = dice.chance(50)
        missing = None if dice.chance(both) else dice.one_of(0, 1)
        return Window(
            fit=fit,
            low=None if missing == 0 else edges[0],
            high=None if missing == 1 else edges[1],
            service_low=min(service[0], edges[0]) if kept and missing != 0 else None,
            service_high=max(service[1], edges[1]) if kept and missing != 1 else None,
            per_bore=per_bore,
            groove=groove,
            guard=self.scale.length(1) if dice.chance(20) else 0,
        )

    def cylinder(self, name: str) -> Cylinder:
        dice, theme = self.dice, self.theme
        bore: dict[str, Any] = self.bore()
        base = HEIGHT + 30 + dice.between(-8, 4)
        if self.near_head:
            base = HEIGHT + dice.between(-14, 4)
        limited = dice.chance(theme.limits // 2)
        routes = [route.name for route in self.catalogue.routes]
        done = self.finishing == "already finished"
        scratched = 3 if done else 15
        squish = None
        if theme.timing or (theme.places and dice.chance(85)):
            low = self.scale.length(base)
            squish = Squish(base_low=low, base_high=low + dice.between(0, 1))
        if theme.timing and squish is not None:
            squish = generate_stack.measured(dice, self.scale, squish)
            bore["ports"] = generate_stack.PORTS
        return Cylinder(
            name=name,
            material=dice.one_of("iron", "iron", "steel", "plated"),
            scratch=self.scale.length(dice.between(1, 4)) if dice.chance(scratched) else 0,
            windows=tuple(self.windows(20)) if dice.chance(theme.own) else (),
            bore_limit=self.near(OVERSIZE * dice.between(0, 3)) if limited else None,
            squish=squish,
            routes=tuple(dice.some([*routes, "as is"], 70)) if dice.chance(theme.own // 2) else (),
            route=dice.pick(routes) if dice.chance(theme.pins // 2) and not done else None,
            **bore,
            **self.pins(),
        )

    def near(self, steps: int) -> int:
        return self.scale.bore + self.scale.length(steps + self.dice.between(-10, 14))

    def bore(self) -> dict[str, Any]:
        """The bore: readings with zone and ports, or a finished size."""
        dice, scale = self.dice, self.scale
        largest = self.edge + self.wear + scale.length(dice.between(0, 4))
        if dice.chance(self.theme.sets // 4):  # worn to another size than its neighbours
            largest += scale.length(dice.one_of(-OVERSIZE, OVERSIZE))
        done = self.finishing == "already finished"
        if done or dice.chance(35):  # a bore that a piston of its size may run in as it is
            largest = self.edge + scale.length(dice.between(CLEARANCE, CLEARANCE + 5))
        if dice.chance(50 if done else 4):
            half = scale.length(dice.between(0, 1))
            return {"finished_size": largest - half, "finished_half_width": half}
        readings = [Reading(depth=DEPTHS[0], angle=0, size=largest)]
        for depth in DEPTHS[: dice.between(1, 3)]:
            for angle in (0, 90, 45)[: dice.between(1, 3)]:
                if (depth, angle) != (DEPTHS[0], 0):
                    size = largest - scale.length(dice.between(0, 3 if done else 6))
                    readings.append(Reading(depth=depth, angle=angle, size=size))
        found: dict[str, Any] = {}
        if dice.chance(self.theme.shape):
            found["zone"] = Zone(top=5 * MM, bottom=75 * MM)
            readings.append(Reading(depth=ABOVE, angle=0, size=largest - scale.length(12)))
        if dice.chance(self.theme.shape):
            found["ports"] = (PORT.model_copy(update={"decides": dice.chance(50)}),)
            size = largest + scale.length(dice.between(0, 6))
            readings.append(Reading(depth=50 * MM, angle=0, size=size))
        return {**found, "readings": tuple(readings)}

    def pins(self) -> dict[str, Any]:
        """What a cylinder is pinned to: a piston (measured now and then), rings."""
        dice, found = self.dice, {}
        if dice.chance(self.theme.pins):
            piston = dice.pick(self.catalogue.pistons)
            found["piston"] = piston.number
            if dice.chance(60):
                found["piston_size"] = piston.skirt.low + self.scale.length(dice.between(-1, 2))
            if dice.chance(20):
                found["piston_mass"] = 180_000 + 10 * dice.between(-6, 6)
            found["piston_kept"] = dice.chance(20)
        if dice.chance(self.theme.pins):
            ring = dice.pick(self.catalogue.rings)
            found["rings"] = (PinnedRing(groove=ring.grooves[0], number=ring.number),)
        return found

    def engine(self, count: int) -> Engine:
        dice, scale, facts = self.dice, self.scale, {}
        if dice.chance(self.theme.limits):
            stroke, others = 50 * MM, (scale.bore,) * dice.between(0, 1)
            bore = self.near(OVERSIZE * dice.between(0, 2))
            squares = count * bore**2 + sum(other**2 for other in others)
            # cut to a round figure: no plan lies within a hair of the limit
            limit = stroke * squares * 7_853_981_634 // 10**21 * 10**11
            facts = {"stroke": stroke, "displacement_limit": limit, "other_bores": others}
        if self.theme.timing:
            facts |= generate_stack.facts(dice)
        limited = dice.chance(self.theme.limits // 2)
        return Engine(
            pin_diameter=scale.length(900) if dice.chance(50) else None,
            bore_limit=self.near(OVERSIZE * dice.between(1, 3)) if limited else None,
            **facts,
        )

    def gaskets(self) -> tuple[GasketPlace, ...]:
        dice, offered = self.dice, {gasket.place for gasket in self.catalogue.gaskets}
        return tuple(
            GasketPlace(
                place=place,
                least=(least := dice.one_of(1, 0)),
                most=max(1, least + dice.between(0, 1)),
                shared=dice.chance(25),
            )
            for place in PLACES
            if place in offered
        )

    def in_hand(self, names: tuple[str, ...]) -> tuple[InHand, ...]:
        return tuple(self.held(names) for _ in range(4) if self.dice.chance(self.theme.in_hand))

    def held(self, names: tuple[str, ...]) -> InHand:
        """Pieces in hand: unmeasured ones, a measured piston or ring, a kept one."""
        dice, catalogue, steps = self.dice, self.catalogue, self.scale.length
        kind = dice.between(0, 9)
        more: dict[str, Any] = {"cylinder": dice.pick(names) if dice.chance(30) else None}
        if kind < 4:
            part = dice.pick([*catalogue.pistons, *catalogue.rings, *catalogue.gaskets])
            return InHand(number=part.number, count=dice.between(1, 2), **more)
        more["kept"] = dice.chance(30)
        if kind < 7:
            piston = dice.pick(catalogue.pistons)
            if dice.chance(80) or not more["kept"]:
                more["size"] = piston.skirt.low + steps(dice.between(-2, 3))
            if dice.chance(40):
                more["mass"] = 180_000 + 10 * dice.between(-6, 6)
            return InHand(number=piston.number, **more)
        ring = dice.pick(catalogue.rings)
        if dice.chance(80) or not more["kept"]:
            more["gap"] = ring.gap.low + steps(dice.between(-4, 8))
            more["gap_bore"] = ring.gauge_diameter + steps(dice.between(-2, 4))
        return InHand(number=ring.number, count=1, **more)
