"""Invented finished bores and measured pistons that compete for each other."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from fitsolver.base.lengths import TICKS_PER
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Piston
from fitsolver.records.job import Cylinder, InHand, Job
from fitsolver.records.readings import Reading
from fitsolver.records.windows import Window

MM, UM = TICKS_PER["mm"], TICKS_PER["um"]
#: Bores and pistons in micrometres beyond 74 mm and 73.9 mm: two bores want one piston.
BORES, PISTONS = (0, 1, 10, 11), (54, 55, 53, 64)


def catalogue() -> Catalogue:
    """Return a catalogue with one piston, which nobody sells any more."""
    skirt = Range(low=73 * MM + 900 * UM, high=74 * MM)
    piston = Piston(number="P74", oversize=0, nominal_bore=74 * MM, skirt=skirt)
    return Catalogue(name="invented", family="bench", standard_bore=74 * MM, pistons=(piston,))


def job(bores: Sequence[int] = BORES, pistons: Sequence[int] = PISTONS) -> Job:
    """Return finished bores (74 mm and so many micrometres) and pistons in hand (73.9 mm and)."""
    window = Window(fit="clearance", low=44 * UM, high=48 * UM, source="invented")
    return Job(
        name="competing",
        finishing="already finished",
        cylinders=tuple(
            Cylinder(
                name=str(at),
                material="iron",
                finished_size=74 * MM + size * UM,
                readings=tuple(
                    Reading(depth=10 * MM, angle=angle, size=74 * MM + size * UM)
                    for angle in (0, 90)
                ),
            )
            for at, size in enumerate(bores, 1)
        ),
        windows=(window,),
        in_hand=tuple(InHand(number="P74", size=73 * MM + (900 + size) * UM) for size in pistons),
    )


def drawn(count: int, seed: int = 1) -> Job:
    """Return so many bores and so many pistons: every bore has one that fits, small ones abound."""
    dice = Random(seed)
    return job(
        [round(20 * dice.random()) for _ in range(count)],
        [54 + round(20 * dice.random() ** 1.3) for _ in range(count)],
    )
