"""An invented engine of many cylinders and an invented catalogue of any size, from a seed.

Sizes repeat as in a real warehouse: the pistons are a few makes of the same oversizes and
grades, priced and stocked differently.
"""

from __future__ import annotations

from random import Random

from fitsolver.base.lengths import TICKS_PER
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Gasket, Groove, Kit, KitItem, Piston, Ring, Route
from fitsolver.records.job import Cylinder, GasketPlace, Job, MassMatch, SameSize, Squish
from fitsolver.records.readings import Reading
from fitsolver.records.windows import Window

MM, UM = TICKS_PER["mm"], TICKS_PER["um"]
BORE = 80 * MM
OVERSIZES = [step * MM // 20 for step in range(41)]  # 0 to 2 mm in steps of 0.05


def catalogue(pistons: int, rings: int, gaskets: int, seed: int = 1) -> Catalogue:
    """Return a catalogue with so many rows of each kind, and the usual routes."""
    dice = Random(seed)
    piston_rows = tuple(_piston(dice, index) for index in range(pistons))
    ring_rows = tuple(_ring(dice, index) for index in range(rings))
    return Catalogue(
        name="invented",
        family="bench",
        standard_bore=BORE,
        pistons=piston_rows,
        rings=ring_rows,
        gaskets=tuple(_gasket(dice, index) for index in range(gaskets)),
        kits=tuple(_kit(dice, index, piston_rows, ring_rows) for index in range(pistons // 20)),
        routes=(
            Route(
                name="finish hone",
                kind="finish hone",
                min_cut=2 * UM * 5,
                max_cut=8 * UM * 10,
                half_width=3 * UM,
                cost=2500,
                days=1,
            ),
            Route(
                name="bore and hone",
                kind="bore and hone",
                min_cut=MM // 20,
                half_width=4 * UM,
                cost=6000,
                days=3,
            ),
            Route(
                name="sleeve",
                kind="restore",
                min_cut=MM // 20,
                half_width=4 * UM,
                restored_bore=BORE - MM // 10,
                cost=20000,
                days=10,
            ),
        ),
    )


def job(cylinders: int, seed: int = 2) -> Job:
    """Return a worn engine of so many cylinders with windows for every fit."""
    dice = Random(seed)
    names = tuple(str(index + 1) for index in range(cylinders))
    return Job(
        name="bench",
        finishing="set size",
        cylinders=tuple(_cylinder(dice, name) for name in names),
        windows=(
            Window(fit="clearance", low=40 * UM, high=75 * UM),
            Window(fit="end_gap", low=3 * MM // 10, high=55 * MM // 100),
            Window(fit="side_clearance", low=30 * UM, high=90 * UM),
            Window(fit="ring_seat", low=-10 * UM * 10, high=30 * UM * 10),
            Window(fit="squish", low=9 * MM // 10, high=12 * MM // 10),
        ),
        gaskets=(GasketPlace(place="head", shared=True),),
        same_size=(SameSize(cylinders=names),),
        mass_match=(MassMatch(cylinders=names, limit=6_000),),
    )


def _cylinder(dice: Random, name: str) -> Cylinder:
    worn = BORE + MM // 10 + dice.randrange(0, 120) * UM
    readings = tuple(
        Reading(depth=depth * MM, angle=angle, size=worn - dice.randrange(0, 40) * UM)
        for depth in (10, 40, 80)
        for angle in (0, 90)
    )
    base = 30 * MM + 3 * MM // 10
    return Cylinder(
        name=name, material="iron", readings=readings, squish=Squish(base_low=base, base_high=base)
    )


def _sold(dice: Random) -> dict[str, int]:
    return {
        "price": 100 * dice.randrange(20, 90),
        "stock": dice.randrange(0, 9),
        "lead_days": dice.randrange(2, 20),
    }


def _piston(dice: Random, index: int) -> Piston:
    oversize = OVERSIZES[index % len(OVERSIZES)]
    grade = index // len(OVERSIZES) % 4
    skirt = BORE + oversize - 60 * UM + grade * 5 * UM
    groove = Range(low=2 * MM + 40 * UM, high=2 * MM + 55 * UM)
    return Piston(
        number=f"P{index:05d}",
        oversize=oversize,
        nominal_bore=BORE + oversize,
        skirt=Range(low=skirt, high=skirt + 5 * UM),
        compression_height=Range(low=30 * MM, high=30 * MM + 10 * UM),
        grooves=(Groove(number=1, width=groove), Groove(number=2, width=groove)),
        mass=250_000 + dice.randrange(0, 5) * 1_000 + oversize // 100,
        mass_tolerance=500,
        **_sold(dice),
    )


def _ring(dice: Random, index: int) -> Ring:
    oversize = OVERSIZES[index // 2 % len(OVERSIZES)]
    return Ring(
        number=f"R{index:05d}",
        grooves=(1 + index % 2,),
        gauge_diameter=BORE + oversize,
        gap=Range(low=20 * MM // 100, high=35 * MM // 100),
        width=Range(low=2 * MM - 20 * UM, high=2 * MM),
        file_most=30 * MM // 100,
        **_sold(dice),
    )


def _gasket(dice: Random, index: int) -> Gasket:
    thickness = (50 + 3 * (index % 40)) * MM // 100
    return Gasket(
        number=f"G{index:05d}",
        place="head",
        thickness=thickness,
        crush=5 * MM // 100,
        compressed=Range(low=thickness - 6 * MM // 100, high=thickness - 4 * MM // 100),
        **_sold(dice),
    )


def _kit(dice: Random, index: int, pistons: tuple[Piston, ...], rings: tuple[Ring, ...]) -> Kit:
    piston = pistons[dice.randrange(len(pistons))]
    own = [ring.number for ring in rings if ring.gauge_diameter == piston.nominal_bore][:2]
    items = [KitItem(number=number, count=1) for number in (piston.number, *own)]
    return Kit(number=f"K{index:05d}", contents=tuple(items), **_sold(dice))
