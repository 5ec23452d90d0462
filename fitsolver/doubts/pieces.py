"""Doubtful pieces: a measured piston or ring, or a pinned size, outside what its maker states.

The bounds are common practice, no source; docs/doubts.md states each.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fitsolver.doubts.look import Look
from fitsolver.fits.end_gap import gap_in_bore, within_reach
from fitsolver.metrology.form import extremes
from fitsolver.records.catalogue import Piston, Ring
from fitsolver.records.doubts import Doubt
from fitsolver.records.job import InHand

#: A new skirt lies within this distance of its maker's range (a share: 10 um of 62 mm).
SKIRT: Final = 1.6e-4
#: The wear of a kept skirt is below this (0.12 mm of 62 mm).
WORN_SKIRT: Final = 2e-3
#: Distance of a measured gap from its maker's range (ticks), without filing and wear.
GAP: Final = 3_000
#: Wear widens a ring's gap by less than this share of the bore (1 mm of 62 mm).
WORN_GAP: Final = 0.016
#: Successive blades of a feeler gauge differ by less than this (ticks).
BLADES: Final = 20_000
#: The bore that a gap was measured in lies this near to the ring's own (1.2 mm of 62 mm).
GAP_BORE: Final = 0.02
#: A gap measured in the bore that the ring runs in names a size of that bore (18 um of 44 mm).
OWN_BORE: Final = 4e-4
#: Tolerance of a piston's mass about the maker's figure, as a share.
MASS: Final = 0.03


def doubtful_pieces(look: Look) -> Iterator[Doubt]:
    """Yield the doubtful measures of parts in hand and of pinned pistons."""
    catalogue = look.catalogue
    if catalogue is None:
        return
    pistons = {part.number: part for part in catalogue.pistons}
    rings = {part.number: part for part in catalogue.rings}
    for number, held in enumerate(look.job.in_hand, start=1):
        name, row = f"in_hand {number}", f"[[in_hand]] {number}"
        if held.number in pistons:
            piston = pistons[held.number]
            yield from _skirt(look, piston, held.size, held.kept, f"{name} size", row, "size")
            yield from _mass(look, piston, held.mass, f"{name} mass", row, "mass")
        if held.number in rings:
            yield from _gap(look, rings[held.number], held, name, row)
    yield from _pinned(look, pistons)


def _pinned(look: Look, pistons: dict[str, Piston]) -> Iterator[Doubt]:
    for cylinder in look.job.cylinders:
        piston = pistons.get(cylinder.piston or "")
        if piston is None:
            continue
        row = f"cylinder '{cylinder.name}'"
        size, kept = cylinder.piston_size, cylinder.piston_kept
        name = f"piston_size {cylinder.name}"
        yield from _skirt(look, piston, size, kept, name, row, "piston_size")
        name = f"piston_mass {cylinder.name}"
        yield from _mass(look, piston, cylinder.piston_mass, name, row, "piston_mass")


def _skirt(
    look: Look, part: Piston, size: int | None, kept: bool, name: str, row: str, field: str
) -> Iterator[Doubt]:
    if size is None:
        return
    near = SKIRT * size
    low = part.skirt.low - (WORN_SKIRT * size if kept else near)
    if low <= size <= part.skirt.high + near:
        return
    yield look.doubt(
        name,
        row,
        field,
        f"found {look.show(size)} for {part.number}, expected {look.show(part.skirt.low)} to "
        f"{look.show(part.skirt.high)}, as its maker states"
        + (", less what it is worn" if kept else "")
        + (", measured in the wrong place or another piston?" if not kept else ""),
    )


def _mass(
    look: Look, part: Piston, mass: int | None, name: str, row: str, field: str
) -> Iterator[Doubt]:
    if mass is None or part.mass is None:
        return
    if abs(mass - part.mass) > MASS * part.mass + (part.mass_tolerance or 0):
        yield look.doubt(
            name,
            row,
            field,
            f"found {mass / 1000:g} g for {part.number}, expected about {part.mass / 1000:g} g, "
            "the bare piston, as its maker states",
        )


def _gap(look: Look, part: Ring, held: InHand, name: str, row: str) -> Iterator[Doubt]:
    if held.gap is None:
        return
    bore = part.gauge_diameter if held.gap_bore is None else held.gap_bore
    apart = abs(bore - part.gauge_diameter)
    if apart > GAP_BORE * part.gauge_diameter or not within_reach(part.gauge_diameter, bore):
        yield look.doubt(
            f"{name} gap_bore",
            row,
            "gap_bore",
            f"found a gap of {part.number} measured in a bore of {look.show(bore)}, expected one "
            f"near {look.show(part.gauge_diameter)}, which the ring is made for",
        )
        return
    yield from _own_bore(look, part, held, name, row)
    made = gap_in_bore(part.gap, part.gauge_diameter, bore, bore)
    worn = round(WORN_GAP * bore) if held.kept else 0
    high = max(made.high, made.low + part.file_most) + GAP + worn
    if not made.low - GAP <= held.gap <= high:
        yield look.doubt(
            f"{name} gap",
            row,
            "gap",
            f"found a gap of {look.show(held.gap)} for {part.number} in a bore of "
            f"{look.show(bore)}, expected {look.show(made.low)} to {look.show(made.high)} by its "
            "maker's figures",
        )
    if held.gap_most is not None and held.gap_most - held.gap > BLADES:
        yield look.doubt(
            f"{name} gap_next",
            row,
            "gap_next",
            f"found {look.show(held.gap_most)} for the blade that does not go into {part.number}, "
            f"expected the one that follows {look.show(held.gap)}",
        )


def _own_bore(look: Look, part: Ring, held: InHand, name: str, row: str) -> Iterator[Doubt]:
    """In a finished bore the gap is that of the fitted ring in this bore."""
    cylinder = next((c for c in look.job.cylinders if c.name == held.cylinder), None)
    if look.job.finishing != "already finished" or cylinder is None or held.gap_bore is None:
        return
    smallest, largest = extremes(cylinder)
    near = OWN_BORE * largest
    if not smallest - near <= held.gap_bore <= largest + near:
        yield look.doubt(
            f"{name} gap_bore",
            row,
            "gap_bore",
            f"found a gap of {part.number} measured in a bore of {look.show(held.gap_bore)}, "
            f"expected {look.show(smallest)} to {look.show(largest)}, as cylinder "
            f"{cylinder.name} was read",
        )
