"""How a job was measured: instruments, temperatures, and the rule of decision."""

from __future__ import annotations

from functools import partial
from typing import Final, get_args

from fitsolver.base.lengths import TICKS_PER
from fitsolver.reading.job_keys import KEYS
from fitsolver.reading.measuring_figures import (
    parse_expansion,
    parse_factor,
    parse_kelvin,
    parse_probability,
    parse_share,
    parse_temperature,
)
from fitsolver.reading.sections import Section
from fitsolver.records.measuring import (
    STEEL,
    WARMEST_PART,
    Decision,
    Instrument,
    InstrumentKind,
    Measuring,
    Setting,
    Temperatures,
)

#: The ready-made sets that a job may name; their figures are looked up later.
INSTRUMENT_SETS: Final = ("everyday set", "fine set")
#: Former names of the sets, still read. Standards use these words for grades.
_CALLED_BEFORE: Final = {"workshop grade": "everyday set", "inspection grade": "fine set"}
INSTRUMENT_KINDS: Final[tuple[InstrumentKind, ...]] = get_args(InstrumentKind)
SETTINGS: Final[tuple[Setting, ...]] = get_args(Setting)
DECISIONS: Final[tuple[Decision, ...]] = get_args(Decision)
FIGURES: Final = (
    "permissible_error",
    "standard_uncertainty",
    "resolution",
    "repeatability",
    "reproducibility",
)
#: A gauge only compares with its setting, so how true it is need not be known; the others must.
COMPARING: Final[InstrumentKind] = "bore gauge"
#: No instrument of this trade is as coarse as this.
_COARSEST: Final = TICKS_PER["mm"]
#: Warmer than this (°C) a bare figure is asked about; instruments: common practice, no source.
_PART, _INSTRUMENT = WARMEST_PART // 1000, 40
_WARMEST: Final = {
    "bore": _PART,
    "piston": _PART,
    "standard": _INSTRUMENT,
    "micrometer": _INSTRUMENT,
}
_NOT_GIVEN: Final = Temperatures()


def read_measuring(top: Section) -> Measuring | None:
    """Return how the job was measured; None if it does not state it."""
    if not any(key in top for key in ("measuring", "instrument", "temperatures")):
        return None
    section = top.section("measuring", KEYS["measuring"]) or top.inner({}, (), "[measuring]")
    own = _instruments(top)
    named = _named_set(section)
    decision = section.choice("decision", DECISIONS, "plain")
    if decision == "guarded" and not (own or named):
        raise section.error(
            "decision",
            'decision = "guarded" needs the uncertainty of the instruments',
            allowed=f"with instruments = {' or '.join(map(repr, INSTRUMENT_SETS))}, "
            "or [[instrument]]",
        )
    return Measuring(
        instruments=own,
        set_name=named,
        setting=section.choice("setting", SETTINGS, "micrometer"),
        temperatures=read_temperatures(top) or _NOT_GIVEN,
        decision=decision,
        form_allowance=section.length("form_allowance", least=0) or 0,
        read_by=section.text("read_by"),
        **_guard(section, decision),
    )


def _named_set(section: Section) -> str:
    """Return the ready-made set that the job names, "" where it names none."""
    if "instruments" not in section:
        return ""
    word = section.data["instruments"]
    return section.one_of("instruments", _CALLED_BEFORE.get(str(word), word), INSTRUMENT_SETS)


def _guard(section: Section, decision: Decision) -> dict[str, int | None]:
    """Return the factor and the wanted probability, at most one of them, of a guarded decision."""
    guard = {
        "factor": section.parsed("factor", parse_factor, "above 0, at most 10, as 1.645"),
        "probability": section.parsed(
            "probability", parse_probability, '0.5 up to below 1, as 0.95 or "95 %"'
        ),
    }
    given = [key for key, value in guard.items() if value is not None]
    if given and decision != "guarded":
        raise section.error(
            given[0],
            "this says how windows are narrowed, which this job does not ask for",
            allowed='with decision = "guarded"',
        )
    if len(given) > 1:
        raise section.error(
            "probability",
            "the measuring allowance is given twice",
            found="factor and probability",
            allowed="factor or probability",
        )
    return guard


def _instruments(top: Section) -> tuple[Instrument, ...]:
    instruments: list[Instrument] = []
    for section in top.sections("instrument", KEYS["instrument"]):
        instrument = _instrument(section)
        if any(other.kind == instrument.kind for other in instruments):
            raise section.error("kind", "there are two instruments of this kind")
        instruments.append(instrument)
    return tuple(instruments)


def _instrument(section: Section) -> Instrument:
    kind = section.choice("kind", INSTRUMENT_KINDS)
    figures = {key: _figure(section, key) for key in FIGURES}
    error, standard = figures["permissible_error"], figures["standard_uncertainty"]
    if error is not None and standard is not None:
        raise section.error(
            "standard_uncertainty",
            "how true the instrument is, is given twice",
            found="permissible_error and standard_uncertainty",
            allowed="permissible_error or standard_uncertainty",
        )
    if error is None and standard is None and kind != COMPARING:
        raise section.error(
            "permissible_error",
            "this key is missing",
            found="nothing",
            allowed="permissible_error or standard_uncertainty",
        )
    if figures["reproducibility"] is not None and kind != COMPARING:
        raise section.error(
            "reproducibility", "what differs between people belongs to the bore gauge"
        )
    if all(figure is None for figure in figures.values()):
        raise section.error(
            "repeatability",
            "nothing is said of how good this instrument is",
            found="nothing",
            allowed=" or ".join(FIGURES),
        )
    return Instrument(
        kind=kind,
        name=section.text("name"),
        permissible_error=error,
        standard_uncertainty=standard,
        resolution=figures["resolution"] or 0,
        repeatability=figures["repeatability"] or 0,
        reproducibility=figures["reproducibility"] or 0,
        expansion=section.parsed("expansion", parse_expansion, 'per kelvin, as "11.5e-6"') or STEEL,
        basis=section.text("basis"),
    )


def _figure(section: Section, key: str) -> int | None:
    value = section.length(key)
    if value is not None and value <= 0:
        raise section.error(
            key, "no instrument is this good", allowed="above 0; leave out what is not known"
        )
    if value is not None and value > _COARSEST:
        raise section.error(
            key, "no instrument is this coarse (is the unit right?)", allowed="at most 1 mm"
        )
    return value


def read_temperatures(parent: Section, job: Temperatures | None = None) -> Temperatures | None:
    """Return the temperatures of a job or cylinder, None where it has no section of them.

    What the section leaves out is as the job says (`job`), else 20 °C and without doubt.
    """
    section = parent.section("temperatures", KEYS["temperatures"])
    if section is None:
        return None
    given: dict[str, int | None] = {
        key: section.parsed(
            key, partial(parse_temperature, warmest=warmest), 'in °C, or a text as "72 °F"'
        )
        for key, warmest in _WARMEST.items()
    }
    given["uncertainty"] = section.parsed(
        "uncertainty", parse_kelvin, 'kelvin above 0, at most 20, as 1 or "1 K"'
    )
    given["expansion_share"] = section.parsed(
        "expansion_uncertainty", parse_share, 'above 0, at most 1, as 0.1 or "10 %"'
    )
    start = job or _NOT_GIVEN
    return start.model_copy(update={key: v for key, v in given.items() if v is not None})
