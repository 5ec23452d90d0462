"""Sections of a job file about fits: windows, zone, ports and squish."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from fitsolver.base.lengths import ceil, floor, parse_ratio
from fitsolver.reading.job_keys import KEYS
from fitsolver.reading.refusals import Refusals
from fitsolver.reading.sections import Section
from fitsolver.reading.stack_edges import stack_window
from fitsolver.reading.tied_windows import tied_window
from fitsolver.records.base import FITS, THOUSANDTHS
from fitsolver.records.job import Squish
from fitsolver.records.readings import PortBand, Zone
from fitsolver.records.windows import FORM_FITS, GROOVE_FITS, OpenFit, Window

_EDGES: Final = ("low", "high", "service_low", "service_high")
_DECK: Final = ("deck_height", "head_step")
_MEASURED: Final = ("measured", "old_gaskets", "old_base_gaskets", "old_compression_height")
_GIVEN: Final = ("base_low", "base_high")
_BEFORE: Final = ("squish_before", "deck_before")


def read_windows(parent: Section) -> tuple[Window, ...]:
    """Return the windows of a job or cylinder; two for one fit and groove are refused."""
    windows: list[Window] = []
    tied: list[tuple[int, Section]] = []
    refused = Refusals(parent.file)
    for section in parent.sections("window", KEYS["window"]):
        window = refused.take(_next_window, parent, section, windows)
        if window is None:
            continue
        if "times" in section or "of_groove" in section:
            tied.append((len(windows), section))
        windows.append(window)
    refused.check()
    of = [window for at, window in enumerate(windows) if at not in dict(tied)]
    for at, section in tied:
        windows[at] = tied_window(section, windows[at], of)
    return tuple(windows)


def _next_window(parent: Section, section: Section, before: list[Window]) -> Window:
    """Return a window of a job or cylinder, which none of those before it is for the same fit."""
    if parent.place and "yields" in section:
        raise section.error("yields", "a cylinder's window yields to none", allowed="in the job")
    window = _window(section)
    place = window.fit, window.groove, window.port
    if any((w.fit, w.groove, w.port) == place for w in before):
        where = "port" if window.fit == "port_timing" else "groove"
        raise section.error("fit", f"there are two windows for this fit and {where}")
    return window


def read_open(top: Section, windows: tuple[Window, ...]) -> tuple[OpenFit, ...]:
    """Return the fits that a job leaves open by name, as `["squish", "end_gap 3"]`.

    A fit that has a window of the job is not open: naming it too is refused.
    """
    found: list[OpenFit] = []
    for name in top.words("no_window"):
        fit, _, groove = name.partition(" ")
        kind = top.one_of("no_window", fit, FITS)
        if groove and (kind not in GROOVE_FITS or not groove.isdecimal() or int(groove) < 1):
            raise top.error(
                "no_window",
                "this is not a fit",
                found=name,
                allowed=f"a fit, with a groove from 1 behind {', '.join(GROOVE_FITS)}",
            )
        opened = OpenFit(fit=kind, groove=int(groove) if groove else None)
        if any((w.fit, w.groove) == (opened.fit, opened.groove) for w in windows):
            raise top.error(
                "no_window",
                "this fit has a window and is left open too",
                found=name,
                allowed="one of the two",
            )
        if opened not in found:
            found.append(opened)
    return tuple(found)


def check_window(section: Section) -> None:
    """Raise InputError for a window of a sheet that can be none; one not filled in yet is fine."""
    edges = [section.data[edge] for edge in _EDGES if edge in section]
    if edges and "" not in edges:
        _window(section)
    else:
        section.choice("fit", FITS)


def _window(section: Section) -> Window:
    fit = section.choice("fit", FITS)
    if fit in THOUSANDTHS:
        return stack_window(section, fit)
    if "port" in section:
        raise section.error("port", f"a window for {fit} has no port", allowed="with port_timing")
    groove = section.count("groove", least=1)
    if groove is not None and fit not in GROOVE_FITS:
        raise section.error(
            "groove", f"a window for {fit} has no groove", allowed=f"with {', '.join(GROOVE_FITS)}"
        )
    per_bore = section.flag("per_bore")
    if fit in FORM_FITS:
        for key in ("low", "service_low", "service_high", "per_bore"):
            if key in section:
                raise section.error(key, f"a window for {fit} has only a highest value")
    edges = {key: _edge(section, key, per_bore) for key in _EDGES}
    is_tied = "times" in section or "of_groove" in section
    if is_tied and any(edge is not None for edge in edges.values()):
        raise section.error(
            "times", "this window is tied to another and has edges too", allowed="one of the two"
        )
    if is_tied:
        edges["low"] = 0  # until the other window is known
    if all(edge is None for edge in edges.values()):
        raise section.error(
            "low", "a window needs a lowest or a highest value", allowed="low, high or both"
        )
    _ordered(section, edges, "low", "high")
    _ordered(
        section, edges, _first(edges, "service_low", "low"), _first(edges, "service_high", "high")
    )
    guard = section.length("guard", least=0) or 0
    aim = section.length("aim", least=0) or 0
    if aim and (fit != "clearance" or edges["low"] is None):
        raise section.error(
            "aim",
            "an aim is counted from the lowest clearance",
            allowed="in a window on clearance that has `low`",
        )
    return Window(
        fit=fit,
        per_bore=per_bore,
        groove=groove,
        guard=guard,
        aim=aim,
        source=section.text("source"),
        yields=section.flag("yields") or section.owner != "job",
        owner=section.owner,
        stands=section.stands,
        low=edges["low"],
        high=edges["high"],
        service_low=edges["service_low"],
        service_high=edges["service_high"],
    )


def _edge(section: Section, key: str, per_bore: bool) -> int | None:
    if per_bore:
        return section.parsed(key, parse_ratio, "a length per unit of bore, as 0.0012")
    return section.length(key)


def _first(edges: dict[str, int | None], service: str, build: str) -> str:
    return build if edges[service] is None else service


def _ordered(section: Section, edges: dict[str, int | None], low: str, high: str) -> None:
    lowest, highest = edges[low], edges[high]
    if lowest is not None and highest is not None and lowest > highest:
        raise section.error(
            low,
            "the window's lowest value is above its highest",
            found=f"{low} = {section.data[low]}, {high} = {section.data[high]}",
            allowed=f"{low} up to {high}",
        )


def read_zone(parent: Section) -> Zone | None:
    """Return the zone of a job or cylinder, None where it has none of its own."""
    section = parent.section("zone", KEYS["zone"])
    if section is None:
        return None
    top, bottom = _depths(section)
    return Zone(top=top, bottom=bottom, stands=section.stands)


def read_ports(parent: Section) -> tuple[PortBand, ...] | None:
    """Return the port bands of a job or cylinder, None where it lists none (not even [])."""
    if "port" not in parent:
        return None
    ports = []
    for section in parent.sections("port", KEYS["port"]):
        top, bottom = _depths(section)
        ports.append(
            PortBand(
                name=section.text("name", "port"),
                top=top,
                bottom=bottom,
                decides=section.flag("decides"),
            )
        )
    return tuple(ports)


def _depths(section: Section) -> tuple[int, int]:
    top = section.need("top", section.length("top", least=0), "a depth from the top face")
    bottom = section.need("bottom", section.length("bottom", least=0), "a depth below the top")
    if top > bottom:
        raise section.error(
            "top",
            "the top lies below the bottom",
            found=f"top = {section.data['top']}, bottom = {section.data['bottom']}",
            allowed="depths from the top face, top up to bottom",
        )
    return top, bottom


def deck_squish(engine: Section | None, stroke: int | None) -> Squish | None:
    """Return the squish base from deck dimensions, None where the engine gives none.

    `base = deck height - rod length - stroke / 2 + head step` (plain geometry); half a stroke
    that falls between ticks makes the base a range.
    """
    if engine is None or not any(key in engine for key in _DECK):
        return None
    stroke = engine.need("stroke", stroke, "the stroke, for squish from deck dimensions")
    rod = engine.need("rod_length", engine.length("rod_length", above=0))
    deck = engine.need("deck_height", engine.length("deck_height", above=0))
    step = engine.length("head_step") or 0
    base = deck - rod - Fraction(stroke, 2) + step
    return Squish(base_low=floor(base), base_high=ceil(base), head_step=step)


def read_squish(parent: Section) -> Squish | None:
    """Return the squish base of a job or cylinder from what was measured, None without one.

    `base = measured squish - old compressed gaskets + old compression height` (plain geometry),
    or `base_low` and `base_high` as given.
    """
    section = parent.section("squish", KEYS["squish"])
    if section is None:
        return None
    if any(key in section for key in _GIVEN):
        return _given_base(section)
    for key in _BEFORE:
        if key in section:
            raise section.error(key, "this belongs to a squish base", allowed="with `base_low`")
    measured = section.need("measured", section.length("measured", least=0))
    height = section.need(
        "old_compression_height", section.length("old_compression_height", above=0)
    )
    gaskets = section.need(
        "old_gaskets",
        section.length("old_gaskets", least=0),
        "the old gaskets' compressed thickness, 0 for none",
    )
    base, step = measured - gaskets + height, section.length("head_step") or 0
    under = _old_base_gaskets(section, gaskets)
    return Squish(
        base_low=base,
        base_high=base,
        head_step=step,
        squish_before=measured,
        deck_before=None if under is None else measured - step - (gaskets - under),
    )


def _old_base_gaskets(section: Section, gaskets: int) -> int | None:
    """Return how much of the old gaskets lay under the cylinder; none of them where none were."""
    under = section.length("old_base_gaskets", least=0)
    if under is not None and under > gaskets:
        raise section.error(
            "old_base_gaskets",
            "the base gaskets are thicker than all gaskets together",
            found=f"old_base_gaskets = {section.data['old_base_gaskets']}, "
            f"old_gaskets = {section.data['old_gaskets']}",
            allowed="up to old_gaskets",
        )
    return 0 if gaskets == 0 else under


def _given_base(section: Section) -> Squish:
    for key in _MEASURED:
        if key in section:
            raise section.error(key, "a squish base is measured or given, not both")
    low = section.need("base_low", section.length("base_low"))
    high = section.need("base_high", section.length("base_high"))
    if low > high:
        raise section.error("base_low", "the lowest base is above the highest")
    return Squish(
        base_low=low,
        base_high=high,
        head_step=section.length("head_step") or 0,
        squish_before=section.length("squish_before", least=0),
        deck_before=section.length("deck_before"),
    )
