"""Doubtful sizes of a job: the gauge's zero, unworn and finished sizes, scratches.

The bounds are shares of the bore, common practice without a source; docs/doubts.md states each.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from statistics import median
from typing import Final

from fitsolver.doubts.look import Look
from fitsolver.metrology.form import deciding
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.doubts import Doubt
from fitsolver.records.job import Cylinder

#: An unworn bore lies this near to a size that its family is made in (45 um of 56 mm and more).
MADE: Final = 8e-4
MADE_MOST: Final = 4_500
#: Readings outside the zone lie within this share of each other (25 um of 62 mm).
UNWORN_ROUND: Final = 4e-4
#: The unworn sizes of two cylinders lie this near to each other (37 um of 62 mm).
ALIKE_UNWORN: Final = 6e-4
#: The middles of two worn bores of one engine lie this near to each other (0.16 mm from 62 mm on).
ALIKE_WORN: Final = 2.5e-3
ALIKE_WORN_MOST: Final = 16_000
#: A scratch is no deeper than this (ticks: 0.15 mm): a deeper one is a groove to sleeve.
SCRATCH: Final = 15_000
#: The least worn place of a bore is worn by less than this (0.12 mm of 62 mm).
LEAST_WORN: Final = 2e-3
#: A piston that a gauge was zeroed on is worn by less than this (0.15 mm of 62 mm).
WORN_PISTON: Final = 2.5e-3
#: A finished bore lies this near to the nominal bore of its piston (0.19 mm of 62 mm).
FINISHED: Final = 3e-3
#: Local sizes of a finished bore lie this near to its size (60 um of 62 mm).
HALF_WIDTH: Final = 1e-3


def doubtful_sizes(look: Look) -> Iterator[Doubt]:
    """Yield the doubtful sizes of a job that are no readings."""
    for cylinder in look.job.cylinders:
        yield from _scratch(look, cylinder)
        yield from _finished(look, cylinder)
        if look.catalogue is not None:
            yield from _unworn(look, cylinder, look.catalogue)
            yield from _zero_piston(look, cylinder, look.catalogue)
    yield from _zeros(look)


def sizes_made(catalogue: Catalogue) -> list[int]:
    """Return the bores that a family is made in (ticks), ascending.

    These are the standard bore, the nominal bores of its pistons and, where these form regular
    steps, the missing steps: a list may have sold out of one.
    """
    made = sorted({part.nominal_bore for part in catalogue.pistons} | {catalogue.standard_bore})
    steps = [other - one for one, other in pairwise(made)]
    if not steps:
        return made
    step = min(steps)
    between = range(catalogue.standard_bore, made[-1] + 1, step)
    return sorted({*made, *between}) if len(between) <= 1_000 else made


def _nearest(sizes: Sequence[int], size: int) -> int:
    return min(sizes, key=lambda made: abs(made - size))


def unworn_of(cylinder: Cylinder) -> int | None:
    """Return the unworn size of a cylinder: the middle of the readings outside the zone.

    None without such readings, or where they contradict each other.
    """
    outside = [reading.size for reading in cylinder.outside_zone]
    if not outside:
        return cylinder.unworn
    agree = max(outside) - min(outside) <= UNWORN_ROUND * max(outside)
    return round(median(outside)) if agree else None


def _unworn(look: Look, cylinder: Cylinder, catalogue: Catalogue) -> Iterator[Doubt]:
    unworn = unworn_of(cylinder)
    if unworn is None:
        if not cylinder.outside_zone:
            yield from _least_worn(look, cylinder, catalogue)
        return
    made = _nearest(sizes_made(catalogue), unworn)
    if abs(unworn - made) > min(MADE * made, MADE_MOST):
        what = "zero" if cylinder.zero is not None else "unworn"
        yield look.doubt(
            f"{what} {cylinder.name}",
            f"cylinder '{cylinder.name}'",
            what,
            f"found an unworn size of {look.show(unworn)} in cylinder {cylinder.name}, expected "
            f"one near {look.show(made)}, the nearest size that the family is made in"
            + _zero_words(look, cylinder),
        )


def _least_worn(look: Look, cylinder: Cylinder, catalogue: Catalogue) -> Iterator[Doubt]:
    """Without an unworn place, the least worn place tests the gauge's zero."""
    if cylinder.zero is None or all(reading.dial is None for reading in cylinder.readings):
        return
    least = min(reading.size for reading in deciding(cylinder))
    below = [size for size in sizes_made(catalogue) if size - MADE * size <= least]
    made = max(below, default=catalogue.standard_bore)
    if not -MADE * made <= least - made <= LEAST_WORN * made:
        yield look.doubt(
            f"zero {cylinder.name}",
            f"cylinder '{cylinder.name}'",
            "zero_piston" if cylinder.zero.on_piston else "zero",
            f"found {look.show(least)} where cylinder {cylinder.name} is worn least, expected a "
            f"size less far from {look.show(made)}, the nearest that the family is made in"
            + _zero_words(look, cylinder),
        )


def _zero_words(look: Look, cylinder: Cylinder) -> str:
    zero = cylinder.zero
    if zero is None:
        return ""
    return f" (the gauge was zeroed on {look.show(zero.size)})"


def _zero_piston(look: Look, cylinder: Cylinder, catalogue: Catalogue) -> Iterator[Doubt]:
    """A piston that the gauge was zeroed on has a size that its family is made in."""
    zero = cylinder.zero
    if zero is None or not zero.on_piston or not catalogue.pistons:
        return
    shifts = [part.skirt.low - part.nominal_bore for part in catalogue.pistons]
    tops = [part.skirt.high - part.nominal_bore for part in catalogue.pistons]
    worn, wide = WORN_PISTON * zero.size, 1e-4 * zero.size
    spans = [(made + min(shifts) - worn, made + max(tops) + wide) for made in sizes_made(catalogue)]
    if any(low <= zero.size <= high for low, high in spans):
        return
    yield look.doubt(
        f"zero {cylinder.name}",
        f"cylinder '{cylinder.name}'",
        "zero_piston",
        f"found {look.show(zero.size)} for the piston that the gauge of cylinder {cylinder.name} "
        "was zeroed on, expected a skirt that the family's pistons have, new or worn",
    )


def _zeros(look: Look) -> Iterator[Doubt]:
    """The bores of one engine agree; a disagreement means a wrong zero."""
    cylinders = [c for c in look.job.cylinders if c.readings]
    for cylinder in cylinders:
        if cylinder.zero is None or all(r.dial is None for r in cylinder.readings):
            continue
        others = [other for other in cylinders if other is not cylinder]
        sentence = _apart(look, cylinder, others)
        if sentence:
            yield look.doubt(
                f"zero {cylinder.name}",
                f"cylinder '{cylinder.name}'",
                "zero_piston" if cylinder.zero.on_piston else "zero",
                sentence + _zero_words(look, cylinder),
            )


def _apart(look: Look, cylinder: Cylinder, others: Sequence[Cylinder]) -> str:
    if not others:
        return ""
    own = unworn_of(cylinder)
    known = [size for other in others if (size := unworn_of(other)) is not None]
    if own is not None and known:
        middle = median(known)
        if abs(own - middle) > ALIKE_UNWORN * middle:
            return (
                f"found an unworn size of {look.show(own)} in cylinder {cylinder.name}, expected "
                f"about {look.show(middle)}, as in the other cylinders"
            )
        return ""
    mine = median(reading.size for reading in deciding(cylinder))
    theirs = median(reading.size for other in others for reading in deciding(other))
    if abs(mine - theirs) > min(ALIKE_WORN * theirs, ALIKE_WORN_MOST):
        return (
            f"found a bore of about {look.show(mine)} in cylinder {cylinder.name}, expected about "
            f"{look.show(theirs)}, as in the other cylinders"
        )
    return ""


def _scratch(look: Look, cylinder: Cylinder) -> Iterator[Doubt]:
    if cylinder.scratch > SCRATCH:
        yield look.doubt(
            f"scratch {cylinder.name}",
            f"cylinder '{cylinder.name}'",
            "scratch",
            f"found a scratch {look.show(cylinder.scratch)} deep in cylinder {cylinder.name}, "
            f"expected {look.show(SCRATCH)} at most: the depth of the scratch, not its length",
        )


def _finished(look: Look, cylinder: Cylinder) -> Iterator[Doubt]:
    size, catalogue = cylinder.finished_size, look.catalogue
    if size is None:
        return
    row = f"cylinder '{cylinder.name}'"
    if cylinder.finished_half_width > HALF_WIDTH * size:
        yield look.doubt(
            f"finished_half_width {cylinder.name}",
            row,
            "finished_half_width",
            f"found {look.show(cylinder.finished_half_width)} either side of the finished size of "
            f"cylinder {cylinder.name}, expected {look.show(HALF_WIDTH * size)} at most",
        )
    if catalogue is None:
        return
    pinned = [p.nominal_bore for p in catalogue.pistons if p.number == cylinder.piston]
    made = pinned or [catalogue.standard_bore, sizes_made(catalogue)[-1]]
    if not min(made) - FINISHED * size <= size <= max(made) + FINISHED * size:
        yield look.doubt(
            f"finished_size {cylinder.name}",
            row,
            "finished_size",
            f"found {look.show(size)} for cylinder {cylinder.name}, expected a size near "
            + (
                f"{look.show(made[0])}, the nominal bore of {cylinder.piston}"
                if pinned
                else f"the sizes of the family, {look.show(made[0])} to {look.show(made[-1])}"
            ),
        )
