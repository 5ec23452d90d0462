"""The form of a job: fields by name, put into the content of a job file and taken out of it.

What the form has no field for stays in the job as it is. Figures are kept as they were typed,
so that a slip can be shown where it was made; `reading` then says what is wrong with them.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Final, NamedTuple

from fitsolver.reading.job_keys import KEYS
from fitsolver.records.windows import FORM_FITS

#: The content of a job file: what TOML has, figures as they were typed.
Content = dict[str, object]
#: Fields of the top of the form: name to where it stands in the job file.
PLAIN: Final[dict[str, tuple[str, ...]]] = {
    "name": ("name",),
    "note": ("note",),
    "units": ("units",),
    "catalogue": ("catalogue",),
    "how": ("finish", "how"),
    "stroke": ("engine", "stroke"),
    "bore_limit": ("engine", "bore_limit"),
    "zone_top": ("zone", "top"),
    "zone_bottom": ("zone", "bottom"),
    "wear": ("wear_per_rebuild",),
    "budget": ("terms", "budget"),
    "days": ("terms", "needed_in_days"),
}
#: Fields of a cylinder: `c0_name` is the first one's name.
CYLINDER: Final = (
    "name",
    "marking",
    "material",
    "scratch",
    "bore_limit",
    "readings_as",
    "zero",
    "zero_piston",
    "piston",
    "piston_size",
    "route",
)
WINDOW: Final = ("fit", "groove", "low", "high", "service_high", "guard", "source")
_EDGES: Final = ("low", "high", "service_low", "service_high")
_BOTH: Final = ("low", "high")
_EDGES_OF: Final[dict[str, tuple[str, ...]]] = dict.fromkeys(FORM_FITS, ("high",))
_COUNTS: Final = ("groove", "needed_in_days")
#: More rows than these are no cylinder's, and no form's.
MOST: Final = 64
_AXES: Final = ("thrust", "pin")
#: What figures are, and the key that one stands under in a job file.
_KINDS: Final = {"diameter": "size", "dial": "dial"}


class Cell(NamedTuple):
    """One field of the grid of readings."""

    field: str
    value: str
    axis: str
    depth: str


class Row(NamedTuple):
    """One depth of the grid: the field of the depth, and a cell for each axis."""

    field: str
    depth: str
    cells: tuple[Cell, ...]


class Grid(NamedTuple):
    """The readings of a cylinder; `plain` is False where only the job file's text can say them."""

    axes: tuple[str, ...]
    rows: tuple[Row, ...]
    plain: bool


def put(data: Mapping[str, object], fields: Mapping[str, str]) -> Content:
    """Return the content of a job file with what a form says put in; unknown fields are ignored."""
    new = copy.deepcopy(dict(data))
    for field, path in PLAIN.items():
        if field in fields:
            _set(new, path, fields[field])
    for index, cylinder in enumerate(tables(new, "cylinder")):
        for key in CYLINDER:
            if (text := fields.get(f"c{index}_{key}")) is not None:
                _set(cylinder, (key,), text)
        if f"c{index}_grid" in fields and grid(cylinder, index).plain:
            cylinder["readings"] = list(_readings(fields, index))
    for index, window in enumerate(tables(new, "window")):
        for key in WINDOW:
            if (text := fields.get(f"w{index}_{key}")) is not None:
                _set(window, (key,), text)
        if f"w{index}_fit" in fields:
            _set(window, ("per_bore",), True if f"w{index}_per_bore" in fields else "")
    return new


def get(data: Mapping[str, object]) -> dict[str, str]:
    """Return what the plain fields of a form show of a job file."""
    found = {field: shown(_get(data, path)) for field, path in PLAIN.items()}
    for index, cylinder in enumerate(tables(data, "cylinder")):
        found |= {f"c{index}_{key}": shown(cylinder.get(key)) for key in CYLINDER}
        if not found[f"c{index}_readings_as"]:
            found[f"c{index}_readings_as"] = "dial" if reads_dial(cylinder) else "diameter"
    for index, window in enumerate(tables(data, "window")):
        found |= {f"w{index}_{key}": shown(window.get(key)) for key in WINDOW}
        found[f"w{index}_per_bore"] = "yes" if window.get("per_bore") is True else ""
    return found


def grid(cylinder: Mapping[str, object], index: int) -> Grid:
    """Return the readings of a cylinder as depths by axes."""
    rows = _rows(cylinder)
    if rows is None or "readings_file" in cylinder or len(rows) > MOST * 2:
        return Grid(_AXES, (), plain=False)
    axes = tuple(dict.fromkeys([*_AXES, *(axis for _, axis, _ in rows if axis)]))
    lines: list[tuple[str, dict[str, str]]] = []
    for depth, axis, figure in rows:
        line = next((have for at, have in lines if at == depth and axis not in have), None)
        if line is None:
            line = {}
            lines.append((depth, line))
        line[axis] = figure
    made = tuple(
        Row(
            f"c{index}_d{place}",
            depth,
            tuple(
                Cell(f"c{index}_d{place}_a{column}", have.get(axis, ""), axis, depth)
                for column, axis in enumerate(axes)
            ),
        )
        for place, (depth, have) in enumerate(lines)
    )
    return Grid(axes, made, plain=True)


def add_depth(data: Mapping[str, object], index: int) -> Content:
    """Return the job with one more, empty depth in the grid of a cylinder."""
    new = copy.deepcopy(dict(data))
    cylinders = tables(new, "cylinder")
    if index < len(cylinders) and len(_rows(cylinders[index]) or ()) < MOST * 2:
        readings = cylinders[index].setdefault("readings", [])
        if isinstance(readings, list):
            readings.append(["", _AXES[0], ""])
    return new


def add_table(data: Mapping[str, object], key: str) -> Content:
    """Return the job with one more cylinder (like the last one, not measured yet) or window."""
    new = copy.deepcopy(dict(data))
    items = tables(new, key)
    if len(items) >= MOST:
        return new
    if key == "window":
        more: Content = {"fit": "clearance", "low": "", "high": ""}
    else:
        last = items[-1] if items else {"material": "iron"}
        kept = ("material", "readings_as", "zone", "port", "window", "routes")
        more = {"name": _free_name(items), **{k: last[k] for k in kept if k in last}}
        more["readings"] = [[d, a, ""] for d, a, _ in _rows(last) or ()] or empty_readings()
    new[key] = [*items, more]
    return new


def without(data: Mapping[str, object], key: str, index: int) -> Content:
    """Return the job without one cylinder or window; the last cylinder stays."""
    new = copy.deepcopy(dict(data))
    items = tables(new, key)
    if index < len(items) and (key == "window" or len(items) > 1):
        del items[index]
        new[key] = items
    return new


def empty_readings() -> list[list[str]]:
    """Return three depths to fill in, on both axes."""
    return [["", axis, ""] for _ in range(3) for axis in _AXES]


def for_reading(data: Mapping[str, object]) -> Content:
    """Return the job as it is to be read: fields left empty are not there.

    But a window without any figure keeps them empty, so that it is refused as not filled in.
    """
    new = _filled_in(data)
    for window in tables(new, "window"):
        if not any(key in window for key in _EDGES):
            window.update(dict.fromkeys(_EDGES_OF.get(shown(window.get("fit")), _BOTH), ""))
    for cylinder in tables(new, "cylinder"):
        if isinstance(rows := cylinder.get("readings"), list):
            cylinder["readings"] = [
                row for row in rows if not (isinstance(row, list) and row[-1:] in ([""], []))
            ]
            if not cylinder["readings"]:
                del cylinder["readings"]
    return new


def _filled(value: object) -> object:
    if isinstance(value, Mapping):
        return _filled_in(value)
    if isinstance(value, list):
        return [_filled(item) for item in value]
    return value


def _filled_in(table: Mapping[str, object]) -> Content:
    return {key: _filled(value) for key, value in table.items() if value not in ("", {})}


def shown(value: object) -> str:
    """Return a value of a job file as a field shows it."""
    if value is None or isinstance(value, dict | list):
        return ""
    if isinstance(value, Decimal) and "." in (text := f"{value:f}"):
        return text.rstrip("0").rstrip(".")
    return str(value)


def _readings(fields: Mapping[str, str], index: int) -> Iterator[list[str]]:
    axes = [axis for axis in fields[f"c{index}_grid"].split(",") if axis][:MOST]
    for place in range(MOST * 2):
        depth = fields.get(f"c{index}_d{place}")
        if depth is None:
            return
        for column, axis in enumerate(axes):
            yield [depth.strip(), axis, fields.get(f"c{index}_d{place}_a{column}", "").strip()]


def _rows(cylinder: Mapping[str, object]) -> list[tuple[str, str, str]] | None:
    """Return depth, axis and figure of each reading; None where a grid cannot show them all."""
    taken = cylinder.get("readings", [])
    if not isinstance(taken, list):
        return None
    kind = _kind(cylinder)
    rows = [_row(item, kind) for item in taken]
    return None if None in rows else [row for row in rows if row is not None]


def _row(item: object, kind: str) -> tuple[str, str, str] | None:
    if isinstance(item, dict) and set(item) == {"depth", "axis", kind}:
        return shown(item["depth"]), shown(item["axis"]), shown(item[kind])
    if isinstance(item, list) and len(item) == 3:
        return shown(item[0]), shown(item[1]), shown(item[2])
    return None


def reads_dial(cylinder: Mapping[str, object]) -> bool:
    """Tell whether the figures of a cylinder are deviations from the gauge's zero."""
    return _kind(cylinder) == "dial"


def _kind(cylinder: Mapping[str, object]) -> str:
    """Return the key that a cylinder's figures stand under: as it says, or as they all are."""
    said = _KINDS.get(shown(cylinder.get("readings_as")))
    if said is not None:
        return said
    readings = cylinder.get("readings")
    rows = readings if isinstance(readings, list) else []
    items = [item for item in rows if isinstance(item, dict)]
    return "dial" if items and all("dial" in item for item in items) else "size"


def _free_name(cylinders: list[Content]) -> str:
    taken = {shown(cylinder.get("name")) for cylinder in cylinders}
    return next(str(n) for n in range(1, len(cylinders) + 2) if str(n) not in taken)


def tables(data: Mapping[str, object], key: str) -> list[Content]:
    """Return the repeated sections of that name."""
    found = data.get(key, [])
    return [item for item in found if isinstance(item, dict)] if isinstance(found, list) else []


def _get(data: Mapping[str, object], path: tuple[str, ...]) -> object:
    found: object = data
    for key in path:
        found = found.get(key) if isinstance(found, Mapping) else None
    return found


def _set(data: Content, path: tuple[str, ...], value: object) -> None:
    """Put a value where it belongs; an empty one takes away what stood there."""
    *sections, key = path
    for section in sections:
        inner = data.setdefault(section, {})
        if not isinstance(inner, dict):
            return
        data = inner
    if isinstance(value, str):
        value = value.strip()
        old = data.get(key)
        if old is not None and shown(old) == value:
            return  # as it was, in the kind it was
        if key in _COUNTS and value.isdecimal():
            value = int(value)
    if value == "":
        data.pop(key, None)
    else:
        data[key] = value


assert set(CYLINDER) <= set(KEYS["cylinder"])  # every field is one that a job file knows
assert set(WINDOW) <= set(KEYS["window"])
