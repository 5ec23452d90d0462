"""Sizes at 20 °C (ISO 1) of parts read warm, or with a warm instrument.

A part of expansion `a` at `T`, compared with a standard of length `l_s`, expansion `a_s` at
`T_s`, and longer than it by `d` as read, has at 20 °C the length

    l = (l_s (1 + a_s (T_s - 20)) + d) / (1 + a (T - 20))          (JCGM 100:2008, H.1, eq. H.2)

Two forms of it stand here: `size_at_20` for any kind of number, which uncertainties are
propagated through, and `corrected_ticks` on the records' whole numbers, rounded once.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any, Final

from fitsolver.metrology.materials import bore_material
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import (
    REFERENCE,
    STEEL,
    InstrumentKind,
    Temperatures,
    plausible_temperature,
)

__all__ = [
    "bore_expansion",
    "corrected_ticks",
    "difference_ticks",
    "instrument_expansion",
    "plausible_temperature",
    "size_at_20",
    "standard_kind",
    "temperatures_of",
]

#: A float, a Fraction, an array, or a quantity that carries its uncertainty: `+ - * /` suffice.
Quantity = Any

#: Expansion (10**-9 per kelvin) times temperature (10**-3 kelvin) comes in parts of this.
_PARTS: Final = 10**12


def size_at_20(
    standard: Quantity,
    difference: Quantity,
    *,
    standard_expansion: Quantity,
    standard_temperature: Quantity,
    part_expansion: Quantity,
    part_temperature: Quantity,
) -> Quantity:
    """Return the part's size at 20 °C, in the unit of `standard` and `difference`.

    `standard` is the standard's length at 20 °C, `difference` part minus standard as read;
    expansions are per kelvin, temperatures in °C. JCGM 100:2008, H.1.
    """
    standard_grown = standard * (1 + standard_expansion * (standard_temperature - 20))
    return (standard_grown + difference) / (1 + part_expansion * (part_temperature - 20))


def corrected_ticks(
    standard: int | Fraction,
    difference: int | Fraction,
    *,
    standard_expansion: int,
    standard_temperature: int,
    part_expansion: int,
    part_temperature: int,
) -> int:
    """Return the part's size at 20 °C in ticks: `size_at_20` exactly, rounded to the nearest.

    Lengths are ticks, expansions 10**-9 per kelvin, temperatures thousandths of 1 °C.
    """
    grown = standard * _growth(standard_expansion, standard_temperature) + difference * _PARTS
    return round(Fraction(grown) / _growth(part_expansion, part_temperature))


def difference_ticks(
    size: int,
    standard: int,
    *,
    standard_expansion: int,
    standard_temperature: int,
    part_expansion: int,
    part_temperature: int,
) -> int:
    """Return the reading of a gauge set in `standard` on a part of `size` at 20 °C (ticks,
    nearest).

    The inverse of `corrected_ticks`, in the same units.
    """
    part = size * _growth(part_expansion, part_temperature)
    return round(
        Fraction(part - standard * _growth(standard_expansion, standard_temperature), _PARTS)
    )


def _growth(expansion: int, temperature: int) -> int:
    return _PARTS + expansion * (temperature - REFERENCE)


def temperatures_of(job: Job, cylinder: Cylinder | None = None) -> Temperatures:
    """Return the temperatures a cylinder was measured at: its own, else the job's, else 20 °C."""
    if cylinder is not None and cylinder.temperatures is not None:
        return cylinder.temperatures
    return Temperatures() if job.measuring is None else job.measuring.temperatures


def standard_kind(job: Job) -> InstrumentKind:
    """Return the standard of the bore gauge: the micrometer, unless the job names a master."""
    on_master = job.measuring is not None and job.measuring.setting == "master"
    return "setting master" if on_master else "outside micrometer"


def instrument_expansion(job: Job, kind: InstrumentKind) -> int:
    """Return the expansion of the job's instrument of a kind (10**-9 per kelvin); else steel's."""
    instrument = None if job.measuring is None else job.measuring.instrument(kind)
    return STEEL if instrument is None else instrument.expansion


def bore_expansion(job: Job, cylinder: Cylinder) -> int:
    """Return the expansion of a cylinder's material (10**-9 per kelvin).

    Raises InputError for a material whose expansion is not known.
    """
    where = f"job '{job.name}', cylinder {cylinder.name}"
    return bore_material(cylinder.material, file=where, field="material").expansion
