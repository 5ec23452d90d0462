"""The cylinders of a job file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import exact_text
from fitsolver.reading.earlier import read_earlier
from fitsolver.reading.job_keys import KEYS
from fitsolver.reading.job_measuring import read_temperatures
from fitsolver.reading.job_sections import read_wear
from fitsolver.reading.job_windows import read_ports, read_squish, read_windows, read_zone
from fitsolver.reading.plausible import UNIT_WORDS, unit_of_depths
from fitsolver.reading.readings import (
    Gauge,
    Sheets,
    Taken,
    inline_readings,
    read_zero,
)
from fitsolver.reading.readings_sheet import READ_AS
from fitsolver.reading.refusals import Refusals
from fitsolver.reading.repeats import merged
from fitsolver.reading.sections import Section
from fitsolver.reading.swapped import check_columns
from fitsolver.records.job import Cylinder, PinnedRing, Squish
from fitsolver.records.measuring import Temperatures
from fitsolver.records.readings import PortBand, Zone, decides
from fitsolver.records.rules import LIMITS


@dataclass
class Shared:
    """The job's values for cylinders without their own."""

    sheets: Sheets
    zone: Zone | None
    ports: tuple[PortBand, ...]
    squish: Squish | None
    accept_outliers: bool
    temperatures: Temperatures | None = None
    taken: dict[str, list[Taken]] = field(default_factory=dict)
    accepted: set[str] = field(default_factory=set)
    sections: list[Section] = field(default_factory=list)


def read_cylinders(top: Section, shared: Shared) -> tuple[Cylinder, ...]:
    """Return the cylinders in the order listed."""
    cylinders: list[Cylinder] = []
    refused = Refusals(top.file)
    for section in top.sections("cylinder", KEYS["cylinder"]):
        cylinder = refused.take(_next_cylinder, section, shared, cylinders)
        cylinders += [] if cylinder is None else [cylinder]
    refused.check()
    if not cylinders:
        raise top.error("cylinder", "the job has no cylinder", allowed="a [[cylinder]] section")
    shared.sheets.check_claimed()
    return tuple(cylinders)


def _next_cylinder(section: Section, shared: Shared, before: list[Cylinder]) -> Cylinder:
    name = section.need("name", section.word("name"), 'a short text, as "1"')
    if any(other.name == name for other in before):
        raise section.error("name", "two cylinders have this name", allowed="each name once")
    section.place = f"cylinder '{name}'"
    shared.sections.append(section)
    return _cylinder(section, name, shared)


def _cylinder(section: Section, name: str, shared: Shared) -> Cylinder:
    zone, ports = read_zone(section) or shared.zone, read_ports(section)
    ports = shared.ports if ports is None else ports
    gauge = Gauge(
        section.choice("readings_as", READ_AS) if "readings_as" in section else None,
        read_zero(section),
        section.file,
        section.place,
    )
    taken = _readings(section, name, gauge, shared.sheets)
    if taken and not any(decides(one.reading.depth, zone, ports) for one in taken):
        raise _none_decides(section, zone, [one.reading.depth for one in taken])
    shared.taken[name] = taken
    if section.flag("accept_outliers") or shared.accept_outliers:
        shared.accepted.add(name)
    finished, half_width = _finished(section)
    piston = section.word("piston")
    for key in ("piston_size", "piston_mass", "piston_kept"):
        if (
            piston is None
            and key in section
            and not (key == "piston_size" and gauge.zero and gauge.zero.on_piston)
        ):
            raise section.error(
                key, "this belongs to a pinned piston", allowed="with `piston`, a part number"
            )
    return Cylinder(
        name=name,
        marking=section.text("marking"),
        material=section.need("material", section.word("material"), 'as "iron"'),
        zone=zone,
        ports=ports,
        readings=tuple(one.reading for one in taken),
        zero=gauge.zero,
        unworn=section.length("unworn", above=0),
        wear_per_rebuild=read_wear(section),
        earlier=read_earlier(section),
        scratch=section.length("scratch", least=0) or 0,
        finished_size=finished,
        finished_half_width=half_width,
        windows=read_windows(section),
        **section.lengths(limit.key for limit in LIMITS if limit.own),
        squish=read_squish(section) or shared.squish,
        routes=section.words("routes"),
        route=section.word("route"),
        piston=piston,
        piston_size=section.length("piston_size", above=0) if piston is not None else None,
        piston_mass=section.mass("piston_mass"),
        piston_kept=section.flag("piston_kept"),
        rings=_rings(section),
        temperatures=read_temperatures(section, shared.temperatures),
        form_allowance=section.length("form_allowance", above=0) or 0,
        read_by=section.text("read_by"),
    )


def _readings(section: Section, name: str, gauge: Gauge, sheets: Sheets) -> list[Taken]:
    """Return the readings of a cylinder; it has them, or a finished size, never both or none."""
    ways = [key for key in ("readings", "readings_file", "finished_size") if key in section]
    if len(ways) != 1:
        raise section.error(
            ways[-1] if ways else "readings",
            "a cylinder has its size in one way",
            found=", ".join(ways) or "none",
            allowed="readings, readings_file or finished_size",
        )
    if ways == ["finished_size"]:
        return []
    if ways == ["readings_file"]:
        taken = sheets.read(section, name, gauge)
    else:
        taken = inline_readings(section, gauge)
    if not taken:
        raise section.error("readings", "this cylinder has no readings", allowed="one or more")
    check_columns(taken)
    return merged(taken)


def _none_decides(section: Section, zone: Zone | None, depths: Sequence[int]) -> InputError:
    least, most = (exact_text(depth, section.unit) for depth in (min(depths), max(depths)))
    unit, own = unit_of_depths(zone, depths, section.unit), UNIT_WORDS[section.unit]
    perhaps = f" (the depths look like {unit}, and are read in {own})" if unit else ""
    allowed = "a reading that decides"
    if zone is not None:
        top, bottom = (exact_text(edge, section.unit) for edge in (zone.top, zone.bottom))
        allowed += f": in the zone, {top} to {bottom}"
    return section.error(
        "zone",
        f"no reading lies in the zone outside the port bands{perhaps}",
        found=f"depths {least} to {most}",
        allowed=allowed,
    )


def _finished(section: Section) -> tuple[int | None, int]:
    size = section.length("finished_size", above=0)
    half_width = section.length("finished_half_width", least=0)
    if half_width is not None and size is None:
        raise section.error(
            "finished_half_width", "this belongs to a finished size", allowed="with `finished_size`"
        )
    return size, half_width or 0


def _rings(section: Section) -> tuple[PinnedRing, ...]:
    rings: list[PinnedRing] = []
    for inner in section.sections("rings", KEYS["cylinder.rings"]):
        groove = inner.need("groove", inner.count("groove", least=1), "1 for the top groove")
        if any(ring.groove == groove for ring in rings):
            raise inner.error("groove", "two rings are pinned to this groove")
        number = inner.need("number", inner.word("number"), "a part number")
        rings.append(PinnedRing(groove=groove, number=number))
    return tuple(rings)
