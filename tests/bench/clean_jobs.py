"""Clean jobs with realistic profiles, drawn: what a careful person would type, no slip in it.

Invented for measuring doubts. A bore is worn most below the top of the zone and less further down,
oval by a part of its wear, with a waviness of a micrometre or two, read by a gauge that scatters by
one, and rounded to the step it is read in. Common practice, no source.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from math import cos, exp, pi
from typing import Any

from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Groove, Piston, Ring, Route

MM = 100_000
UM = 100
TENTH = 254  # 0.0001 in


@dataclass(frozen=True)
class Drawn:
    """A job as the content of a job file, with the catalogue that it is decided from."""

    content: dict[str, Any]
    catalogue: Catalogue


def draw(seed: int) -> Drawn:
    """Draw one clean job; the same seed gives the same job."""
    dice = random.Random(seed)
    inch = dice.random() < 0.3
    bore = dice.choice([40, 44, 52, 62, 74, 89, 102]) * MM
    step = 254 * 100 if inch else 25 * MM // 100
    if inch:
        bore = bore // 25400 * 25400
    catalogue = _catalogue(dice, bore, step, inch)
    return Drawn(_Job(dice, catalogue, step, inch).content(), catalogue)


def _catalogue(dice: random.Random, bore: int, step: int, inch: bool) -> Catalogue:
    clearance = dice.choice([30, 45, 60]) * UM
    grades = dice.choice([1, 1, 2])
    pistons, rings = [], []
    for k in range(dice.randint(3, 5)):
        nominal = bore + k * step
        for grade in range(grades):
            top = nominal - clearance + grade * 10 * UM
            pistons.append(
                Piston(
                    number=f"P{k}{'ABC'[grade]}",
                    oversize=k * step,
                    nominal_bore=nominal,
                    skirt=Range(low=top - 10 * UM, high=top),
                    grooves=(
                        Groove(number=1, width=Range(low=152_000, high=154_000)),
                        Groove(number=2, width=Range(low=202_000, high=204_000)),
                    ),
                    price=4000,
                    stock=4,
                    lead_days=3,
                )
            )
        for groove in (1, 2):
            gap = nominal * (3 + groove) // 1000
            rings.append(
                Ring(
                    number=f"R{groove}-{k}",
                    grooves=(groove,),
                    gauge_diameter=nominal,
                    gap=Range(low=gap, high=gap + 15 * MM // 100),
                    width=Range(
                        low=147_000 + 50_000 * (groove - 1), high=149_000 + 50_000 * (groove - 1)
                    ),
                    file_most=30 * MM // 100,
                    price=800,
                    stock=6,
                    lead_days=3,
                )
            )
    routes = (
        Route(name="as is", kind="as is"),
        Route(name="hone", kind="finish hone", min_cut=10 * UM, max_cut=90 * UM, half_width=4 * UM),
        Route(
            name="hone twice",
            kind="rough and finish hone",
            min_cut=20 * UM,
            max_cut=320 * UM,
            half_width=5 * UM,
        ),
        Route(name="bore", kind="bore and hone", min_cut=100 * UM, half_width=6 * UM),
    )
    return Catalogue(
        name="drawn",
        family="drawn",
        standard_bore=bore,
        unit="in" if inch else "mm",
        pistons=tuple(pistons),
        rings=tuple(rings),
        routes=routes,
    )


class _Job:
    def __init__(self, dice: random.Random, catalogue: Catalogue, step: int, inch: bool) -> None:
        self.dice, self.catalogue, self.inch = dice, catalogue, inch
        self.grid = TENTH if inch else dice.choice([UM, UM, UM, 2 * UM, 10 * UM])
        self.size = catalogue.standard_bore + dice.choice([0, 0, 1]) * step
        self.stroke = dice.choice([40, 58, 70, 90]) * MM
        self.top = dice.choice([4, 6, 8]) * MM
        self.bottom = self.top + self.stroke + dice.choice([8, 12]) * MM
        self.clearance = 0

    def text(self, ticks: int) -> str:
        """A length as it is typed, in the file's unit."""
        if self.inch:
            return f"{ticks / 2_540_000:.4f}"
        return f"{ticks / MM:.3f}"

    def content(self) -> dict[str, Any]:
        dice = self.dice
        skirt = self.catalogue.pistons[0]
        play = self.catalogue.standard_bore - skirt.skirt.high
        count = dice.choice([1, 2, 2, 4])
        self.unworn_read = dice.random() < 0.7
        self.dial = dice.random() < 0.5
        inside = dice.randint(3, 6)
        self.depths = [
            self.top + 2 * MM + (self.bottom - self.top - 6 * MM) * i // (inside - 1)
            for i in range(inside)
        ]
        self.axes: list[Any] = ["thrust", "pin"] if dice.random() < 0.85 else ["thrust", 45, "pin"]
        content: dict[str, Any] = {
            "name": "drawn",
            "units": "in" if self.inch else "mm",
            "catalogue": ".",
            "finish": {"how": dice.choice(["piston in hand", "set size"])},
            "zone": {"top": self.text(self.top), "bottom": self.text(self.bottom)},
            "window": self.windows(play),
            "cylinder": [self.cylinder(str(i + 1)) for i in range(count)],
        }
        if count > 1:
            content["same_size"] = [{"cylinders": [str(i + 1) for i in range(count)]}]
        return content

    def windows(self, play: int) -> list[dict[str, Any]]:
        nominal = self.catalogue.standard_bore
        return [
            {
                "fit": "clearance",
                "low": self.text(play - 10 * UM),
                "high": self.text(play + 30 * UM),
            },
            {
                "fit": "end_gap",
                "groove": 1,
                "low": self.text(nominal * 3 // 1000),
                "high": self.text(nominal * 8 // 1000),
            },
            {
                "fit": "end_gap",
                "groove": 2,
                "low": self.text(nominal * 4 // 1000),
                "high": self.text(nominal * 9 // 1000),
            },
            {"fit": "out_of_round", "high": self.text(20 * UM)},
            {"fit": "taper", "high": self.text(25 * UM)},
        ]

    def cylinder(self, name: str) -> dict[str, Any]:
        dice = self.dice
        wear = dice.choice([8, 20, 40, 70, 110]) * UM * (0.7 + 0.6 * dice.random())
        oval = wear * dice.uniform(0.05, 0.4)
        fall = dice.uniform(0.25, 0.8)
        wave = [dice.gauss(0, 1.2) * UM for _ in self.depths]
        zero = round(self.size / self.grid) * self.grid
        rows = []
        if self.unworn_read:
            rows += [(self.top - 3 * MM, axis, self.read(self.size, zero)) for axis in self.axes]
        for index, depth in enumerate(self.depths):
            along = (depth - self.top) / (self.bottom - self.top)
            worn = wear * (0.25 + 0.75 * exp(-along / fall))
            local = oval * exp(-along / fall)
            for axis in self.axes:
                angle = {"thrust": 0, "pin": 90}.get(axis, axis)
                true = self.size + worn + wave[index] + local * cos(2 * angle * pi / 180) / 2
                rows.append((depth, axis, self.read(true, zero)))
        cylinder: dict[str, Any] = {
            "name": name,
            "material": "iron",
            "readings": [[self.text(depth), axis, figure] for depth, axis, figure in rows],
        }
        if self.dial:
            cylinder |= {"readings_as": "dial", "zero": self.text(zero)}
        if dice.random() < 0.2:
            cylinder["scratch"] = self.text(dice.choice([20, 40, 60]) * UM)
        return cylinder

    def read(self, true: float, zero: int) -> str:
        seen = true + self.dice.gauss(0, 1.0) * UM
        ticks = round(seen / self.grid) * self.grid
        return self.text(ticks - zero) if self.dial else self.text(ticks)
