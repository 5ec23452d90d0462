"""Sections of a job file that hold for the whole job: engine, terms, parts and sets."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from fitsolver.reading.hints import shown, unknown
from fitsolver.reading.job_keys import KEYS
from fitsolver.reading.quantities import parse_volume
from fitsolver.reading.sections import Section
from fitsolver.records.base import LEVEL_NAMES, LEVELS, Level
from fitsolver.records.job import Engine, GasketPlace, InHand, MassMatch, Rise, SameSize, Terms
from fitsolver.records.rules import LIMITS
from fitsolver.records.wear import LEAST_WEAR

_HOTTEST = 1000


def read_engine(section: Section | None) -> Engine:
    """Return the facts of the engine (deck dimensions are read with the squish)."""
    if section is None:
        return Engine()
    stroke = section.length("stroke", above=0)
    limit = section.parsed("displacement_limit", parse_volume, 'a text as "355 cm3", "21.7 in3"')
    if limit is not None:
        section.need("stroke", stroke, "the stroke, for the displacement limit")
    chamber = section.parsed("chamber_volume", parse_volume, 'a text as "6.2 cm3", "0.4 in3"')
    if chamber is not None:
        section.need("stroke", stroke, "the stroke, for the compression ratio")
    others = section.items("other_bores")
    return Engine(
        stroke=stroke,
        pin_diameter=section.length("pin_diameter", above=0),
        displacement_limit=limit,
        other_bores=tuple(section.to_length("other_bores", bore, above=0) for bore in others),
        **section.lengths(limit.key for limit in LIMITS),
        rod_length=_rod_length(section, stroke),
        chamber_volume=chamber,
        rise=_rise(section.section("rise", KEYS["engine.rise"])),
    )


def _rod_length(section: Section, stroke: int | None) -> int | None:
    rod = section.length("rod_length", above=0)
    if rod is None:
        return None
    stroke = section.need("stroke", stroke, "the stroke, with a rod length")
    if 2 * rod <= stroke:
        raise section.error(
            "rod_length",
            "the rod is not longer than half of the stroke: the crank could not turn",
            allowed="above half of the stroke",
        )
    return rod


def _rise(section: Section | None) -> Rise | None:
    if section is None:
        return None
    alloy = section.word("bore_alloy")
    return Rise(
        bore=_kelvin(section, "bore"),
        piston=_kelvin(section, "piston"),
        ring=_kelvin(section, "ring"),
        bore_alloy=section.need("bore_alloy", alloy, "the material the bore is cut in"),
        piston_alloy=section.word("piston_alloy") or "",
        ring_alloy=section.word("ring_alloy") or "",
    )


def _kelvin(section: Section, key: str) -> int:
    allowed = f"whole kelvin above 20 °C, 0 to {_HOTTEST}"
    value = section.need(key, section.data.get(key), allowed)
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= _HOTTEST:
        raise section.error(key, "this is no temperature rise", allowed=allowed)
    return value


def read_terms(section: Section | None) -> Terms:
    """Return dates and budget; the days until the needed date are counted from the order date."""
    if section is None:
        return Terms()
    ordered, needed = section.day("order_date"), section.day("needed_by")
    days = section.count("needed_in_days")
    if needed is not None:
        start = section.need("order_date", ordered, "the day of ordering, to count days from")
        counted = (needed - start).days
        if counted < 0:
            raise section.error("needed_by", "this day lies before the day of ordering")
        if days not in (None, counted):
            raise section.error(
                "needed_in_days", f"the dates say {counted} days", allowed="dates or days, not both"
            )
        days = counted
    return Terms(
        order_date=ordered, needed_by=needed, needed_in_days=days, budget=section.money("budget")
    )


def read_best(top: Section) -> tuple[Level, ...]:
    """Return the order of what is best, as listed; the usual levels when nothing is listed."""
    if "best" not in top:
        return LEVELS
    levels = tuple(top.one_of("best", level, LEVEL_NAMES) for level in top.items("best"))
    for index, level in enumerate(levels):
        if level in levels[:index]:
            raise top.error("best", f"'{level}' is listed twice", allowed="each once")
    return levels


def read_wear(section: Section) -> int | None:
    """Return how far a bore wears before it is rebuilt again: of the job, or of a cylinder."""
    wear = section.length("wear_per_rebuild", above=0)
    if wear is not None and wear < LEAST_WEAR:
        raise section.error(
            "wear_per_rebuild", "no bore is rebuilt for so little", allowed="0.001 mm or more"
        )
    return wear


def read_gaskets(top: Section) -> tuple[GasketPlace, ...]:
    """Return the places that take a stack of gaskets."""
    places: list[GasketPlace] = []
    for section in top.sections("gasket_place", KEYS["gasket_place"]):
        place = section.need("place", section.word("place"), "the place as the gaskets name it")
        if any(other.place == place for other in places):
            raise section.error("place", "this place is listed twice")
        least = section.count("least", 1) or 0
        most = section.count("most", max(least, 1), least=1) or 1
        if least > most:
            raise section.error(
                "least",
                "the least is above the most",
                found=f"least = {least}, most = {most}",
                allowed="least up to most",
            )
        places.append(
            GasketPlace(place=place, least=least, most=most, shared=section.flag("shared"))
        )
    return tuple(places)


def read_in_hand(top: Section, cylinders: Collection[str]) -> tuple[InHand, ...]:
    """Return the parts already in hand, measured or not."""
    return tuple(_held(section, cylinders) for section in top.sections("in_hand", KEYS["in_hand"]))


def _held(section: Section, cylinders: Collection[str]) -> InHand:
    cylinder = section.word("cylinder")
    if cylinder is not None:
        known(section, "cylinder", cylinder, cylinders)
    measures: dict[str, Any] = {
        "size": section.length("size", above=0),
        "mass": section.mass("mass"),
        "gap": section.length("gap", least=0),
        "gap_bore": section.length("gap_bore", above=0),
    }
    given = [key for key, value in measures.items() if value is not None]
    if ("gap" in given) != ("gap_bore" in given):
        lacking = "gap" if "gap_bore" in given else "gap_bore"
        raise section.error(
            lacking,
            "this key is missing",
            allowed="a ring's gap together with the bore it was measured in",
        )
    if "gap" in given and ("size" in given or "mass" in given):
        raise section.error("gap", "a part is a piston (size, mass) or a ring (gap), not both")
    gap_most = _next_blade(section, measures["gap"])
    count = section.count("count", 1, least=1) or 1
    if given and count > 1:
        raise section.error(
            "count",
            "a measured part is one piece",
            allowed="1, and a section for each further piece",
        )
    return InHand(
        number=section.need("number", section.word("number"), "a part number"),
        count=count,
        kept=section.flag("kept"),
        cylinder=cylinder,
        gap_most=gap_most,
        **measures,
    )


def _next_blade(section: Section, gap: int | None) -> int | None:
    """Return the blade that does not go in any more: it is thicker than the one that goes."""
    thicker = section.length("gap_next", above=0)
    if thicker is not None and gap is None:
        raise section.error("gap_next", "this goes with the blade that goes in", allowed="with gap")
    if thicker is not None and gap is not None and thicker <= gap:
        raise section.error(
            "gap_next",
            "the blade that does not go is not thicker than the one that goes",
            found=f"gap = {section.data['gap']}, gap_next = {section.data['gap_next']}",
            allowed="above gap",
        )
    return thicker


def read_same_size(top: Section, cylinders: Collection[str]) -> tuple[SameSize, ...]:
    """Return the sets of cylinders that take one oversize."""
    return tuple(
        SameSize(cylinders=_members(section, cylinders))
        for section in top.sections("same_size", KEYS["same_size"])
    )


def read_mass_match(top: Section, cylinders: Collection[str]) -> tuple[MassMatch, ...]:
    """Return the sets of cylinders whose pistons' masses are to match."""
    return tuple(
        MassMatch(
            cylinders=_members(section, cylinders),
            limit=section.need("limit", section.mass("limit"), 'a mass as "2 g"'),
            source=section.text("source"),
        )
        for section in top.sections("mass_match", KEYS["mass_match"])
    )


def _members(section: Section, cylinders: Collection[str]) -> tuple[str, ...]:
    names = section.words("cylinders")
    if not names:
        raise section.error(
            "cylinders", "no cylinder is named", found="nothing", allowed=", ".join(cylinders)
        )
    for index, name in enumerate(names):
        known(section, "cylinders", name, cylinders)
        if name in names[:index]:
            raise section.error("cylinders", f"'{name}' is listed twice")
    return names


def known(section: Section, key: str, name: str, cylinders: Collection[str]) -> None:
    """Refuse the name of a cylinder that the job does not have."""
    if name not in cylinders:
        raise unknown(
            "cylinder",
            shown(name),
            cylinders,
            file=section.file,
            row=section.place or None,
            field=key,
        )
