"""The columns of a catalogue's tables and the keys of catalogue.toml (docs/formats.md)."""

from __future__ import annotations

import re
from typing import Final

from fitsolver.reading.tables import Kind

CATALOGUE_KEYS: Final = (
    "format",
    "name",
    "family",
    "units",
    "standard_bore",
    "currency",
    "lead_days",
    "least_order",
    "note",
)
_SOLD: Final[dict[str, Kind]] = {
    "family": "text",
    "price": "number",
    "stock": "number",
    "lead_days": "number",
    "least_order": "number",
    "replaces": "text",
    "same_as": "text",
}

#: The columns of each table, in the order they are written about.
COLUMNS: Final[dict[str, dict[str, Kind]]] = {
    "pistons": {
        "number": "text",
        "oversize": "length",
        "skirt_low": "length",
        "skirt_high": "length",
        "for_bore": "length",
        "for_clearance_low": "length",
        "for_clearance_high": "length",
        "grade": "text",
        "gauge_height": "length",
        "pin_diameter": "length",
        "compression_height": "length",
        "compression_height_tolerance": "length",
        "mass_g": "number",
        "mass_tolerance_g": "number",
        "alloy": "text",
        **_SOLD,
    },
    "rings": {
        "number": "text",
        "grooves": "text",
        "gauge_diameter": "length",
        "gap_low": "length",
        "gap_high": "length",
        "width_low": "length",
        "width_high": "length",
        "radial_depth": "length",
        "file_most": "length",
        "seat_over": "length",
        "alloy": "text",
        **_SOLD,
    },
    "gaskets": {
        "number": "text",
        "place": "text",
        "thickness": "length",
        "crush": "length",
        "tolerance": "length",
        **_SOLD,
    },
    "kits": {"number": "text", "contents": "text", **_SOLD},
    "routes": {
        "name": "text",
        "kind": "text",
        "min_cut": "length",
        "max_cut": "length",
        "half_width": "length",
        "materials": "text",
        "cost": "number",
        "days": "number",
        "restored_bore": "length",
    },
    "windows": {
        "number": "text",
        "fit": "text",
        "use": "text",
        "groove": "number",
        "low": "length",
        "high": "length",
        "service_low": "length",
        "service_high": "length",
        "per_bore": "text",
        "guard": "length",
        "of": "text",
        "times": "number",
        "source": "text",
    },
    "stages": {
        "route": "text",
        "stage": "text",
        "leaves_low": "length",
        "leaves_high": "length",
        "half_width": "length",
    },
}
#: Grooves count from the crown; a table has as many of these columns as its pistons need.
GROOVE_COLUMNS: Final = ("groove1_low", "groove1_high", "groove1_depth")
GROOVE: Final = re.compile(r"groove([1-9])_(low|high|depth)")

REQUIRED: Final[dict[str, tuple[str, ...]]] = {
    "pistons": ("number", "oversize"),
    "rings": (
        "number",
        "grooves",
        "gauge_diameter",
        "gap_low",
        "gap_high",
        "width_low",
        "width_high",
    ),
    "gaskets": ("number", "place", "thickness"),
    "kits": ("number", "contents"),
    "routes": ("name", "kind", "half_width"),
    "windows": ("number", "fit", "source"),
    "stages": ("route", "stage", "leaves_low", "leaves_high"),
}


def kind_of(table: str, column: str) -> Kind | None:
    """Return the kind of values in a column of a table; None if the table has no such column."""
    if table == "pistons" and GROOVE.fullmatch(column):
        return "length"
    return COLUMNS[table].get(column)


def names_of(table: str) -> tuple[str, ...]:
    """Return the columns that a table may have, as shown when one is unknown."""
    return (*COLUMNS[table], *(GROOVE_COLUMNS if table == "pistons" else ()))
