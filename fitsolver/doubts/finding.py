"""Findings in one row of a catalogue, and the format of its figures."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from fitsolver.base.lengths import Unit, exact_text, format_length
from fitsolver.records.catalogue import Gasket, Kit, Piston, Ring, Route
from fitsolver.records.review import Table

Part = Piston | Ring | Gasket | Kit | Route


class Finding(NamedTuple):
    """One implausible figure of one row (a part number or a route's name).

    `serious`: it is impossible by itself, without regard to sister rows.
    """

    table: Table
    number: str
    field: str
    sentence: str
    serious: bool = False


Show = Callable[[int], str]


def shower(unit: Unit) -> Show:
    """Return the formatter of lengths (ticks) in a catalogue's unit, exact where decimals end."""

    def show(ticks: int) -> str:
        text = exact_text(ticks, unit)
        if text.endswith("mm"):
            return format_length(ticks, unit, symbol=True)
        return f"{text} {'µm' if unit == 'um' else unit}"

    return show


def money(cents: int) -> str:
    """Return hundredths of a currency as a price."""
    return f"{cents / 100:.2f}"


def grams(milligrams: int) -> str:
    """Return a mass (mg) in grams."""
    return f"{milligrams / 1000:g} g"
