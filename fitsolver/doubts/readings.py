"""Doubtful readings: off the profile of their bore, below its unworn size, off the other bores.

The bounds are common practice, no source, where no other is named; docs/doubts.md states each.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import median
from typing import Final, NamedTuple

from fitsolver.doubts.look import Look, Origin
from fitsolver.doubts.sizes import UNWORN_ROUND, sizes_made
from fitsolver.metrology.form import deciding
from fitsolver.metrology.profile import Place, Predicted, predicted, step_of
from fitsolver.reading.plausible import meant
from fitsolver.records.doubts import Doubt
from fitsolver.records.job import Cylinder
from fitsolver.records.readings import Reading

#: Standard deviations off the others' prediction at which a reading is doubted.
OFF: Final = 5.0
#: The least deviation for a doubt (ticks: 8 um): a gauge occasionally scatters this far.
NEAR: Final = 800
#: Up to this many readings, at most one counts as a slip.
_ONE_IN: Final = 3
#: A worn bore lies below its unworn size by at most this share (0.0002: 12 um of 62 mm), because
#: the reference has its own form error.
BELOW_UNWORN: Final = 2e-4
#: A bore's only reading lies within this distance of the middle of the job's other bores.
ONE_READING: Final = 2.5e-3


class Off(NamedTuple):
    """A reading and its deviation from the others of its bore, in standard deviations."""

    reading: Reading
    expected: Predicted
    far: float


def doubtful_readings(look: Look) -> Iterator[Doubt]:
    """Yield the doubtful readings of a job, cylinder by cylinder."""
    for cylinder in look.job.cylinders:
        if not cylinder.readings:
            continue
        yield from _off_the_profile(look, cylinder)
        yield from _outside_the_zone(look, cylinder)
        yield from _below_unworn(look, cylinder)
    yield from _single_readings(look)


def off(readings: Sequence[Reading], least: float = OFF, near: int = NEAR) -> list[Off]:
    """Return the readings that the others of their bore contradict, the farthest first.

    Each one found is removed before the next search, so that one slip does not make its neighbours
    doubtful. At most one reading in three is removed. `least` in standard deviations, `near` in
    ticks.
    """
    left = list(readings)
    found: list[Off] = []
    while len(left) > 1 and len(found) * _ONE_IN < len(readings):
        places = [Place(reading.depth, reading.angle, reading.size) for reading in left]
        every = [
            Off(reading, said, (reading.size - said.expected) / said.deviation)
            for reading, said in zip(left, predicted(places), strict=True)
        ]
        worst = max(every, key=lambda one: abs(one.far))
        bound = max(near, 2 * step_of(places))
        if abs(worst.far) < least or abs(worst.reading.size - worst.expected.expected) <= bound:
            break
        found.append(worst)
        left.remove(worst.reading)
    return [_held_against(left, one) for one in found]


def _held_against(left: Sequence[Reading], one: Off) -> Off:
    """Return the prediction of a reading from the remaining readings, without slips."""
    places = [Place(item.depth, item.angle, item.size) for item in (*left, one.reading)]
    said = predicted(places)[-1]
    return Off(one.reading, said, (one.reading.size - said.expected) / said.deviation)


def _off_the_profile(look: Look, cylinder: Cylinder) -> Iterator[Doubt]:
    for one in off(deciding(cylinder)):
        yield look.of_reading(cylinder, one.reading, _sentence(look, cylinder, one))


def _sentence(look: Look, cylinder: Cylinder, one: Off) -> str:
    reading, expected = one.reading, one.expected.expected
    shift = reading.size - round(expected)
    sentence = (
        f"expected about {look.figure(reading, expected)}: it lies {look.show(abs(shift))} "
        f"{'above' if shift > 0 else 'below'} what the other readings of the bore say"
    )
    perhaps = _meant(look, cylinder, one)
    return sentence + (f"; was {perhaps} meant?" if perhaps else "")


def _meant(look: Look, cylinder: Cylinder, one: Off) -> str:
    """Return the figure probably meant; empty where none is close."""
    reading = one.reading
    origin: Origin | None = look.origins.get((cylinder.name, reading.depth, reading.angle))
    if origin is None:
        return ""
    zero = 0 if reading.dial is None else reading.size - reading.dial
    within = max(3 * round(one.expected.deviation), 1_000)
    return meant(origin.typed, round(one.expected.expected), origin.unit, zero, within=within)


def _outside_the_zone(look: Look, cylinder: Cylinder) -> Iterator[Doubt]:
    """Readings of the unworn bore agree with each other."""
    outside = cylinder.outside_zone
    for reading in outside:
        mates = [other for other in outside if other is not reading]
        if not mates:
            continue
        middle = median(other.size for other in mates)
        apart = abs(reading.size - middle)
        if apart > UNWORN_ROUND * middle and _farther(look, reading, mates):
            sentence = (
                f"expected about {look.figure(reading, middle)}: outside the zone the bore is "
                "not worn, and the other readings there say so"
            )
            yield look.of_reading(cylinder, reading, sentence)


def _farther(look: Look, reading: Reading, mates: Sequence[Reading]) -> bool:
    """Tell whether a reading, not its mates, is the outlier: by count, or by the sizes made."""
    if len(mates) > 1:
        return True
    if look.catalogue is None:
        return reading.size > mates[0].size
    made = sizes_made(look.catalogue)
    mine = min(abs(reading.size - size) for size in made)
    other = min(abs(mates[0].size - size) for size in made)
    return mine > other or (mine == other and reading.size > mates[0].size)


def _below_unworn(look: Look, cylinder: Cylinder) -> Iterator[Doubt]:
    """Wear enlarges a bore: readings below the unworn size are doubted, or the reference is."""
    outside = cylinder.outside_zone
    sizes = [reading.size for reading in outside]
    unworn = cylinder.unworn if not sizes else min(sizes)
    if unworn is None:
        return
    inside = deciding(cylinder)
    low = [reading for reading in inside if unworn - reading.size > BELOW_UNWORN * unworn]
    if 2 * len(low) > len(inside):
        worst = min(reading.size for reading in inside)
        yield look.doubt(
            f"unworn {cylinder.name}",
            f"cylinder '{cylinder.name}'",
            "unworn",
            f"found an unworn size of {look.show(unworn)}, expected at most about "
            f"{look.show(worst)}: {len(low)} of {len(inside)} readings of the worn zone are "
            "smaller, and wear makes a bore larger",
        )
        return
    for reading in low:
        sentence = (
            f"expected {look.figure(reading, unworn)} or more, the unworn size: wear makes a "
            "bore larger"
        )
        yield look.of_reading(cylinder, reading, sentence)


def _single_readings(look: Look) -> Iterator[Doubt]:
    """A bore with one reading is compared with the other bores of the job."""
    every = {c.name: [r.size for r in c.readings] for c in look.job.cylinders if c.readings}
    for cylinder in look.job.cylinders:
        others = [size for name, sizes in every.items() if name != cylinder.name for size in sizes]
        if len(cylinder.readings) != 1 or not others:
            continue
        [reading], middle = cylinder.readings, median(others)
        if abs(reading.size - middle) > ONE_READING * middle:
            sentence = (
                f"expected about {look.figure(reading, middle)}, as in the other cylinders: this "
                "bore has no second reading to bear it out"
            )
            yield look.of_reading(cylinder, reading, sentence)
