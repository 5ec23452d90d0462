"""How a job was measured as sections of a job file, which read back to the same."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from fitsolver.reading.job_measuring import COMPARING, FIGURES
from fitsolver.reading.measuring_figures import (
    expansion_text,
    temperature_text,
    thousandths_text,
)
from fitsolver.reading.repeats import mean
from fitsolver.reading.toml_text import Number
from fitsolver.records.measuring import Instrument, Measuring, Temperatures
from fitsolver.records.readings import Reading

Written = Callable[[int | None], str | None]


def measuring_sections(measuring: Measuring | None, length: Written) -> dict[str, Any]:
    """Return the job's sections on measuring; `length` writes a length in the job's unit.

    Raises ValueError for what no file can say: a guard without a guarded decision, an
    instrument of which nothing is known.
    """
    if measuring is None:
        return {}
    m = measuring
    guard = [key for key in ("factor", "probability") if getattr(m, key) is not None]
    if len(guard) > (m.decision == "guarded"):
        raise ValueError('a factor or a probability, not both, goes with decision = "guarded"')
    if m.decision == "guarded" and not (m.instruments or m.set_name):
        raise ValueError('decision = "guarded" goes with instruments')
    section: dict[str, Any] = {"instruments": m.set_name} if m.set_name else {}
    section |= {"setting": m.setting, "decision": m.decision}
    if m.factor is not None:
        section["factor"] = Number(thousandths_text(m.factor))
    if m.probability is not None:
        section["probability"] = Number(f"{Decimal(m.probability).scaleb(-6).normalize():f}")
    if m.form_allowance:
        section["form_allowance"] = length(m.form_allowance)
    if m.read_by:
        section["read_by"] = m.read_by
    sections: dict[str, Any] = {"measuring": section}
    if m.instruments:
        sections["instrument"] = tuple(_instrument(one, length) for one in m.instruments)
    if m.temperatures != Temperatures():
        sections["temperatures"] = temperatures_section(m.temperatures)
    return sections


def _instrument(instrument: Instrument, length: Written) -> dict[str, Any]:
    error, standard = instrument.permissible_error, instrument.standard_uncertainty
    known = (error is not None) + (standard is not None)
    figures = {key: getattr(instrument, key) for key in FIGURES}
    if known > 1 or (not known and instrument.kind != COMPARING) or not any(figures.values()):
        raise ValueError(f"a {instrument.kind} is known by one of {', '.join(FIGURES[:2])}")
    if 0 in (error, standard):
        raise ValueError(f"no {instrument.kind} is without error")
    return {
        "kind": instrument.kind,
        **({"name": instrument.name} if instrument.name else {}),
        **{key: length(figure) for key, figure in figures.items() if figure},
        "expansion": expansion_text(instrument.expansion),
        **({"basis": instrument.basis} if instrument.basis else {}),
    }


def temperatures_section(
    temperatures: Temperatures | None, job: Temperatures | None = None
) -> dict[str, Any] | None:
    """Return a section of temperatures with every key, so that none is taken from the job's.

    Raises ValueError where a cylinder is without the doubt that the job has.
    """
    if temperatures is None:
        return None
    t, job = temperatures, job or Temperatures()
    if (job.uncertainty and not t.uncertainty) or (job.expansion_share and not t.expansion_share):
        raise ValueError("a cylinder's temperatures are at least as uncertain as told for the job")
    section: dict[str, Any] = {
        key: temperature_text(getattr(t, key))
        for key in ("bore", "piston", "standard", "micrometer")
    }
    if t.uncertainty:
        section["uncertainty"] = Number(thousandths_text(t.uncertainty))
    if t.expansion_share:
        section["expansion_uncertainty"] = Number(thousandths_text(t.expansion_share))
    return section


def as_read(reading: Reading) -> list[Reading]:
    """Return the single readings that a reading is the mean of, itself where it was read once.

    Raises ValueError where it is not their mean.
    """
    if not reading.repeats:
        return [reading]
    if len(reading.repeats) < 2 or mean(reading.repeats) != reading.size:
        raise ValueError("a repeated reading is the mean of two or more")
    return [
        Reading(
            depth=reading.depth,
            angle=reading.angle,
            size=size,
            dial=None if reading.dial is None else reading.dial + size - reading.size,
        )
        for size in reading.repeats
    ]
