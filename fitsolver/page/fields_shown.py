"""What the form of a job shows: its figures, those of its family's sheet, what may be chosen."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypedDict

from fitsolver.metrology.materials import MATERIALS
from fitsolver.page import entered, fields
from fitsolver.page.bench import Bench
from fitsolver.page.content import Content, sheet_of, shown, tables
from fitsolver.page.field_parts import Field, Part
from fitsolver.page.named import ALLOYS, lists_said, said_name
from fitsolver.reading.owned import Owned
from fitsolver.reading.sections import UNITS
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.rules import LIMITS


@dataclass(frozen=True)
class CylinderShown:
    """A cylinder; `plain` tells whether its readings go into the sheet of the page."""

    index: int
    name: str
    plain: bool


@dataclass(frozen=True)
class GivenRow:
    """A row of a list that the family's sheet gives; `open` is how its fit is left open."""

    number: int
    said: list[tuple[str, str]]
    open: str


class FieldsShown(TypedDict):
    """What the macros of `_fields.html` ask for."""

    values: dict[str, str]
    given: dict[str, str]
    field_of: Callable[[str], Field | None]
    path_part: Callable[[str], str]
    PARTS: dict[str, Part]
    own_limits: tuple[str, ...]
    options: dict[str, tuple[str, ...]]
    lists: dict[str, list[str]]
    count: Callable[[str], int]
    from_sheet: Callable[[str], list[GivenRow]]
    any_own: Callable[[str], bool]
    any_given: Callable[[str], str]
    cylinders: list[CylinderShown]
    units: str


def fields_shown(data: Content, bench: Bench, shelf: Mapping[str, Catalogue]) -> FieldsShown:
    """Return what the macros of `_fields.html` ask for."""
    values = entered.entries(data)
    given = {name: text for name, text in _given(bench).items() if name not in values}
    parts = bench.parts
    return {
        "values": values,
        "given": given,
        "field_of": fields.field_of,
        "path_part": fields.part_of,
        "PARTS": fields.PARTS,
        "own_limits": tuple(limit.key for limit in LIMITS if limit.own),
        "options": {
            "catalogue": ("", *shelf),
            "units": UNITS,
        },
        "lists": ({} if parts is None else _lists(parts)) | lists_said(values, bench.laid),
        "count": lambda path: _count(data, path),
        "from_sheet": lambda path: _from_sheet(data, bench, path),
        "any_own": lambda path: any(name.startswith(f"{path}.") for name in values),
        "any_given": lambda path: _said_of(given, path),
        "cylinders": [
            CylinderShown(index, shown(item.get("name")) or str(index + 1), plain)
            for index, (item, plain) in enumerate(
                zip(tables(data, "cylinder"), sheet_of(data).plain, strict=True)
            )
        ],
        "units": shown(data.get("units")),
    }


def _given(bench: Bench) -> dict[str, str]:
    """Return the figures that the family's sheet gives, by their fields."""
    if not isinstance(bench.laid, Owned):
        return {}
    return {
        name: text for name, text in entered.entries(bench.laid).items() if "window" not in name
    }


def _said_of(given: Mapping[str, str], path: str) -> str:
    said = [
        f"{field.label} {text}"
        for name, text in given.items()
        if name.rpartition(".")[0] == path and (field := fields.field_of(name)) is not None
    ]
    return "sheet: " + ", ".join(said) if said else ""


def _lists(parts: Catalogue) -> dict[str, list[str]]:
    """Return what may be chosen from the catalogue, by the key of the field."""
    tabled = (parts.pistons, parts.rings, parts.gaskets)
    return {
        **{key: [said_name(key, name) for name in MATERIALS] for key in ALLOYS},
        "number": [item.number for table in tabled for item in table],
        "piston": [item.number for item in parts.pistons],
        "route": [route.name for route in parts.routes],
        "place": sorted({gasket.place for gasket in parts.gaskets}),
    }


def _count(data: Content, path: str) -> int:
    *outer, key = path.split(".")
    holder: Mapping[str, object] = data
    if len(outer) == 2:
        holder = tables(data, "cylinder")[int(outer[1])]
    found = holder.get(key)
    return len(found) if isinstance(found, list) else 0


def _from_sheet(data: Content, bench: Bench, path: str) -> list[GivenRow]:
    """Return the rows of a list that the family's sheet gives, those that hold."""
    laid = bench.laid
    if not isinstance(laid, Owned) or "." in path:
        return []
    if path != "window" and path in data:
        return []
    found = []
    for number, item in enumerate(tables(laid, path)):
        if path == "window" and not (isinstance(item, Owned) and item.source is not None):
            continue
        if isinstance(item, Owned) and item.source is not None and item.source.owner == "job":
            continue
        said = [
            (field.label, entered.written(field, item[field.key]))
            for field in fields.PARTS[path].fields
            if field.key in item and entered.written(field, item[field.key])
        ]
        open_name = ""
        if path == "window":
            groove = item.get("groove")
            open_name = f"{item.get('fit')}" + (f" {groove}" if groove is not None else "")
        found.append(GivenRow(number, said, open_name))
    return found
