"""A job with its readings at 20 °C: bores and measured pistons, corrected once.

Every reading with its repeats, and every measured piston, is corrected. Stated figures (finished
size, unworn size, limits, the gauge's zero) stay: they apply at 20 °C already.

The gauge's zero is the standard of the comparison. A size given outright has the reading
itself for the standard. Zeroed on a piston, the piston is the standard: the micrometer closed
on it spans its length at its temperature, which is also what the micrometer read, at the
micrometer's; so the zero counts as read and the piston's own expansion drops out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import Final, Literal

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import format_length, small_length
from fitsolver.metrology.form import deciding
from fitsolver.metrology.materials import expansion, is_known
from fitsolver.metrology.temperature import (
    bore_expansion,
    corrected_ticks,
    difference_ticks,
    instrument_expansion,
    standard_kind,
    temperatures_of,
)
from fitsolver.records.base import Range
from fitsolver.records.budget import Correction
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, InHand, Job
from fitsolver.records.measuring import REFERENCE, STEEL, Temperatures
from fitsolver.records.plan import WarmDial
from fitsolver.records.readings import Reading

#: A bore farther than this (thousandths of 1 °C) from 20 °C or from the piston calls for a
#: caution: 1 °C more or less is then as likely as not (common practice, no source).
NEAR: Final = 5_000


def corrected(
    job: Job, catalogue: Catalogue | None = None, *, pistons: bool = True
) -> tuple[Job, tuple[Correction, ...]]:
    """Return the job with its sizes at 20 °C, and the corrections.

    A piston's alloy is that of its part in `catalogue`, else the job's. With `pistons` off
    only the bores are corrected (their form needs no piston). A job in which nothing was
    read off 20 °C comes back as the same object. Raises InputError for a bore's material or
    a piston's alloy of which no expansion is known, where its temperature is not 20 °C.
    """
    found: list[Correction] = []
    cylinders = [_cylinder(job, cylinder, found) for cylinder in job.cylinders]
    in_hand = list(job.in_hand)
    if pistons:
        cylinders = [_fitted_piston(job, item, catalogue, found) for item in cylinders]
        in_hand = [_loose_piston(job, item, catalogue, found) for item in in_hand]
    if not found:
        return job, ()
    changed = {"cylinders": tuple(cylinders), "in_hand": tuple(in_hand)}
    return job.model_copy(update=changed), tuple(found)


def dial_at(job: Job, cylinder: Cylinder, size: int) -> int | None:
    """Return what the gauge, as set, shows on a bore of `size` (ticks, at 20 °C).

    At the temperatures the cylinder was measured at; None without a zero.
    """
    if cylinder.zero is None:
        return None
    return difference_ticks(size, cylinder.zero.size, **_comparison(job, cylinder))


def dial_cooled(job: Job, cylinder: Cylinder, low: int, high: int) -> Range | None:
    """Return what the gauge, as set, shows at two sizes (ticks) once the bore is at 20 °C.

    None without a zero, and for a bore that was read there.
    """
    at = temperatures_of(job, cylinder)
    cool = {"temperatures": at.model_copy(update={"bore": REFERENCE})}
    ends = [dial_at(job, cylinder.model_copy(update=cool), size) for size in (low, high)]
    if at.bore == REFERENCE or ends[0] is None or ends[1] is None:
        return None
    return Range(low=ends[0], high=ends[1])


def warm_dial(job: Job, cylinder: Cylinder, small: int, large: int) -> WarmDial | None:
    """Return what the gauge shows at two finish sizes (ticks, at 20 °C) on the warm bore.

    None without a zero, and where bore and standard are at 20 °C, as the dial stop is stated.
    """
    at = temperatures_of(job, cylinder)
    low, high = dial_at(job, cylinder, small), dial_at(job, cylinder, large)
    if low is None or high is None or at.bore == at.standard == REFERENCE:
        return None
    return WarmDial(
        bore=at.bore,
        standard=at.standard,
        bore_expansion=_comparison(job, cylinder)["part_expansion"],
        standard_expansion=instrument_expansion(job, standard_kind(job)),
        stop=Range(low=low, high=high),
    )


def dial_on(warm: WarmDial, zero: int, size: int) -> int:
    """Return what the gauge, zeroed at `zero`, shows on the warm bore at `size` (ticks)."""
    return difference_ticks(
        size,
        zero,
        standard_expansion=warm.standard_expansion,
        standard_temperature=warm.standard,
        part_expansion=warm.bore_expansion,
        part_temperature=warm.bore,
    )


def warm_cautions(job: Job) -> tuple[str, ...]:
    """Return a caution for each bore read more than 5 °C from 20 °C or from the piston."""
    return tuple(_warm(job))


def _warm(job: Job) -> Iterator[str]:
    for cylinder in job.cylinders:
        at = temperatures_of(job, cylinder)
        size = max((reading.size for reading in cylinder.readings), default=0)
        if not size or max(abs(at.bore - REFERENCE), abs(at.bore - at.piston)) <= NEAR:
            continue
        degree = size * bore_expansion(job, cylinder) / 10**9
        yield (
            f"Cylinder {cylinder.name}: the bore was read at {_celsius(at.bore)}, the piston at "
            f"{_celsius(at.piston)}. Sizes are corrected to 20 °C, but 1 °C of error is "
            f"{format_length(round(degree), 'um', symbol=True)} of bore: let both come to 20 °C "
            "and read again before the last pass."
        )


def _comparison(job: Job, cylinder: Cylinder) -> dict[str, int]:
    """Return expansions and temperatures of a bore and the standard its gauge was set in."""
    at = temperatures_of(job, cylinder)
    return {
        "standard_expansion": instrument_expansion(job, standard_kind(job)),
        "standard_temperature": at.standard,
        "part_expansion": STEEL if at.bore == REFERENCE else bore_expansion(job, cylinder),
        "part_temperature": at.bore,
    }


def _cylinder(job: Job, cylinder: Cylinder, found: list[Correction]) -> Cylinder:
    at = temperatures_of(job, cylinder)
    if not cylinder.readings or at.bore == at.standard == REFERENCE:
        return cylinder
    comparison = _comparison(job, cylinder)

    def at_20(size: int | Fraction) -> int:
        zero = cylinder.zero
        standard, difference = (size, 0) if zero is None else (zero.size, size - zero.size)
        return corrected_ticks(standard, difference, **comparison)

    readings = tuple(_reading(reading, at_20) for reading in cylinder.readings)
    largest = max(deciding(cylinder), key=lambda reading: reading.size)
    after = readings[cylinder.readings.index(largest)]
    read = "bore " + _read_at(at.bore, "the gauge's standard", at.standard)
    found.append(_correction(job, cylinder.name, "bore", read, largest.size, after.size))
    return cylinder.model_copy(update={"readings": readings})


def _reading(reading: Reading, at_20: Callable[[int | Fraction], int]) -> Reading:
    repeats = reading.repeats
    mean = Fraction(sum(repeats), len(repeats)) if repeats else reading.size
    changed = {"size": at_20(mean), "repeats": tuple(map(at_20, repeats))}
    return reading.model_copy(update=changed)


def _fitted_piston(
    job: Job, cylinder: Cylinder, catalogue: Catalogue | None, found: list[Correction]
) -> Cylinder:
    size, number = cylinder.piston_size, cylinder.piston or ""
    at = temperatures_of(job, cylinder)
    if size is None or at.piston == at.micrometer == REFERENCE:
        return cylinder
    after = _piston_at_20(job, size, number, at, catalogue)
    read = f"piston {number} {_read_at(at.piston, 'the micrometer', at.micrometer)}"
    found.append(_correction(job, cylinder.name, "piston", read, size, after))
    return cylinder.model_copy(update={"piston_size": after})


def _loose_piston(
    job: Job, item: InHand, catalogue: Catalogue | None, found: list[Correction]
) -> InHand:
    kept_for = next((c for c in job.cylinders if c.name == item.cylinder), None)
    at = temperatures_of(job, kept_for)
    if item.size is None or at.piston == at.micrometer == REFERENCE:
        return item
    after = _piston_at_20(job, item.size, item.number, at, catalogue)
    read = f"piston {item.number} {_read_at(at.piston, 'the micrometer', at.micrometer)}"
    found.append(_correction(job, item.cylinder or "", "piston", read, item.size, after))
    return item.model_copy(update={"size": after})


def _piston_at_20(
    job: Job, size: int, number: str, at: Temperatures, catalogue: Catalogue | None
) -> int:
    alloy = STEEL if at.piston == REFERENCE else piston_expansion(job, number, catalogue)
    return corrected_ticks(
        size,
        0,
        standard_expansion=instrument_expansion(job, "outside micrometer"),
        standard_temperature=at.micrometer,
        part_expansion=alloy,
        part_temperature=at.piston,
    )


def piston_expansion(job: Job, number: str, catalogue: Catalogue | None) -> int:
    """Return the expansion of a piston (10**-9 per kelvin): of its part's alloy, else the job's.

    Raises InputError when neither names an alloy whose expansion is known.
    """
    pistons = () if catalogue is None else catalogue.pistons
    own = next((part.alloy for part in pistons if part.number == number), "")
    alloy = _piston_alloy(job, own)
    if is_known(alloy):
        return expansion(alloy)
    raise InputError(
        "a piston was read off 20 °C, and what it is made of is not known",
        file=f"job '{job.name}'",
        row=f"piston {number}",
        field="alloy",
        found=alloy or "nothing",
        allowed="a known alloy of the part in the catalogue, or engine.rise.piston_alloy",
    )


def assumed_expansion(job: Job, alloy: str) -> int:
    """Return the expansion (10**-9 per kelvin) that a piston is taken to have: as
    `piston_expansion` of a part of that alloy, and steel's where neither is known.

    For uncertainties: a piston whose expansion changes its size has been refused before.
    """
    found = _piston_alloy(job, alloy)
    return expansion(found) if is_known(found) else STEEL


def _piston_alloy(job: Job, own: str) -> str:
    """Return the alloy of a piston: its part's own where that is known, else the job's."""
    rise = job.engine.rise
    return own if is_known(own) or rise is None else rise.piston_alloy or own


def _correction(
    job: Job, cylinder: str, what: Literal["bore", "piston"], read: str, before: int, after: int
) -> Correction:
    was, becomes = format_length(before, job.unit), format_length(after, job.unit, symbol=True)
    by = small_length(abs(after - before), job.unit, finer=True)
    sentence = f"{read}: {was} becomes {becomes} ({'+' if after > before else '-'}{by})"
    return Correction(cylinder=cylinder, what=what, correction=after - before, sentence=sentence)


def _read_at(part: int, instrument: str, at: int) -> str:
    """Return the temperature at which a part was read, and that of its instrument if not 20 °C."""
    other = "" if at == REFERENCE else f" ({instrument} at {_celsius(at)})"
    return f"read at {_celsius(part)}{other}"


def _celsius(temperature: int) -> str:
    return f"{temperature / 1000:g} °C"
