"""Windows on port timing (degrees of crank) and on the compression ratio, and what they need."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, NamedTuple

from fitsolver.base.lengths import parse_number
from fitsolver.reading.quantities import Scalar
from fitsolver.reading.sections import Section
from fitsolver.records.base import THOUSANDTHS, FitName
from fitsolver.records.job import Cylinder, Engine
from fitsolver.records.windows import HALF_TURN, NO_COMPRESSION, Window

_ONLY_LENGTHS: Final = ("service_low", "service_high", "per_bore", "groove", "guard", "aim")
_PARTS: Final = 1_000
#: No ratio in this trade is higher: a larger figure is a slip of the hand.
_HIGHEST_RATIO: Final = 100 * _PARTS


def parse_degrees(value: Scalar) -> int:
    """Return degrees after top dead centre in thousandths; 0 to 180, three decimals at most."""
    text = value.strip().removesuffix("°") if isinstance(value, str) else value
    parts = _thousandths(text, "a degree")
    if not 0 <= parts <= HALF_TURN:
        raise ValueError("a port opens 0 to 180 degrees after top dead centre")
    return parts


def parse_compression(value: Scalar) -> int:
    """Return a compression ratio in thousandths; above 1, at most 100, three decimals at most."""
    parts = _thousandths(value, "the ratio")
    if not NO_COMPRESSION < parts <= _HIGHEST_RATIO:
        raise ValueError("a compression ratio lies above 1, up to 100")
    return parts


def _thousandths(value: Scalar, of: str) -> int:
    parts = parse_number(value) * _PARTS
    if parts.denominator != 1:
        raise ValueError(f"'{value}' is finer than a thousandth of {of}")
    return parts.numerator


def stack_window(section: Section, fit: FitName) -> Window:
    """Return a window on port timing or compression ratio: low, high, the port and the source."""
    for key in _ONLY_LENGTHS:
        if key in section:
            raise section.error(key, f"a window for {fit} has no such key", allowed="low, high")
    if fit == "compression":
        if "port" in section:
            raise section.error("port", f"a window for {fit} has no port", allowed="low, high")
        low, high = (
            section.parsed(key, parse_compression, "a ratio, as 9.25") for key in ("low", "high")
        )
    else:
        low, high = (
            section.parsed(key, parse_degrees, "degrees after top dead centre, as 88.5")
            for key in ("low", "high")
        )
    if low is None and high is None:
        raise section.error(
            "low", "a window needs a lowest or a highest value", allowed="low, high or both"
        )
    if low is not None and high is not None and low > high:
        raise section.error(
            "low",
            "the window's lowest value is above its highest",
            found=f"low = {section.data['low']}, high = {section.data['high']}",
            allowed="low up to high",
        )
    return Window(
        fit=fit,
        low=low,
        high=high,
        port=section.word("port"),
        source=section.text("source"),
        owner=section.owner,
        stands=section.stands,
    )


class Lack(NamedTuple):
    """A missing figure of a cylinder from which a window is computed."""

    key: str
    message: str
    found: str
    allowed: str


def lacking(engine: Engine, cylinder: Cylinder, windows: Iterable[Window]) -> Lack | None:
    """Return the first thing that a cylinder's windows on timing or compression need in vain."""
    for window in windows:
        found = None
        if window.fit in THOUSANDTHS and cylinder.squish is None:
            found = _needs(window, "squish", "[squish] or deck dimensions")
        elif window.fit == "port_timing":
            found = _timing_lacks(engine, cylinder, window)
        elif window.fit == "compression":
            found = _ratio_lacks(engine, cylinder, window)
        if found is not None:
            return found
    return None


def _ratio_lacks(engine: Engine, cylinder: Cylinder, window: Window) -> Lack | None:
    if cylinder.squish is None or cylinder.squish.squish_before is None:
        return _needs(window, "squish", "[squish] as measured")
    if engine.stroke is None or engine.chamber_volume is None:
        return _needs(window, "chamber_volume", "stroke and chamber_volume in [engine]")
    return None


def _timing_lacks(engine: Engine, cylinder: Cylinder, window: Window) -> Lack | None:
    if engine.stroke is None or engine.rod_length is None:
        return _needs(window, "rod_length", "stroke and rod_length in [engine]")
    ports = [port.name for port in cylinder.ports]
    if not ports:
        return _needs(window, "port", "a [[port]]")
    if window.port is None or window.port in ports:
        return None
    return Lack(
        "window",
        "a window for port_timing names a port that this cylinder does not have",
        window.port,
        ", ".join(ports),
    )


def _needs(window: Window, key: str, allowed: str) -> Lack:
    of = f" ({window.stands})" if window.stands else ""
    return Lack(key, f"a window for {window.fit}{of} needs this", "nothing", allowed)
