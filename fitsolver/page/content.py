"""The content of a job as typed: the TOML values, with figures as texts, errors included.

The readings of all cylinders are one sheet: a row for each depth, a column for each axis of each.
"""

from __future__ import annotations

import copy
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Final, NamedTuple

from fitsolver.records.windows import FORM_FITS

Content = dict[str, object]
#: Most rows of a sheet, and most items of a list.
MOST_ROWS: Final = 128
MOST: Final = 64
AXES: Final = ("thrust", "pin")
_EDGES: Final = ("low", "high", "service_low", "service_high")
#: The meanings of figures, and the key of each meaning.
_KINDS: Final = {"diameter": "size", "dial": "dial"}


class Sheet(NamedTuple):
    """Depths and axes shared by all cylinders; `figures` by cylinder, row and axis.

    `plain` tells of each cylinder whether its readings can be shown here.
    """

    axes: tuple[str, ...]
    depths: tuple[str, ...]
    figures: dict[tuple[int, int, int], str]
    plain: tuple[bool, ...]

    def fields(self) -> dict[str, str]:
        """Return the fields of the sheet as a form has them, those that are filled in."""
        found = {f"depth.{row}": depth for row, depth in enumerate(self.depths) if depth}
        return found | {
            f"read.{c}.{r}.{a}": text for (c, r, a), text in self.figures.items() if text
        }


def tables(data: Mapping[str, object], key: str) -> list[Content]:
    """Return the repeated sections of that name."""
    found = data.get(key, [])
    return [item for item in found if isinstance(item, dict)] if isinstance(found, list) else []


def shown(value: object) -> str:
    """Return a value of a job as a field shows it."""
    if value is None or isinstance(value, dict | list):
        return ""
    if isinstance(value, Decimal) and "." in (text := f"{value:f}"):
        return text.rstrip("0").rstrip(".")
    return str(value)


def sheet_of(data: Mapping[str, object]) -> Sheet:
    """Return the readings that a job's content has, as they were typed."""
    every = [_rows(item) for item in tables(data, "cylinder")]
    axes = tuple(dict.fromkeys([*AXES, *(a for rows in every for _, a, _ in rows or () if a)]))
    lines: dict[tuple[str, int], int] = {}
    figures: dict[tuple[int, int, int], str] = {}
    for c, rows in enumerate(every):
        times: dict[tuple[str, str], int] = {}
        for depth, axis, figure in rows or ():
            time = times[depth, axis] = times.get((depth, axis), -1) + 1
            r = lines.setdefault((depth, time), len(lines))
            if figure:
                figures[c, r, axes.index(axis or AXES[0])] = figure
    depths = tuple(depth for depth, _ in lines)
    return Sheet(axes, depths, figures, tuple(rows is not None for rows in every))


def put_sheet(data: Content, changed: Mapping[str, str], axis: str = "") -> None:
    """Put fields of the sheet into a job's content; with `axis` that column is there from now on.

    The first cylinder holds every depth and axis, empty where nothing of them was read, so that
    rows and columns stay where they are.
    """
    sheet = sheet_of(data)
    depths, figures = list(sheet.depths), dict(sheet.figures)
    axes = sheet.axes if not axis or axis in sheet.axes else (*sheet.axes, axis)
    for name, text in changed.items():
        kind, *places = name.split(".")
        place = [int(number) for number in places]
        row = place[0] if kind == "depth" else place[1]
        if row >= MOST_ROWS or (kind == "read" and place[2] >= len(axes)):
            continue
        depths += [""] * (row + 1 - len(depths))
        if kind == "depth":
            depths[row] = text
        else:
            figures[place[0], row, place[2]] = text
    first = True
    for c, cylinder in enumerate(tables(data, "cylinder")):
        if sheet.plain[c]:
            own = {(r, a) for (of, r, a), text in figures.items() if of == c and text}
            held = _held(depths, len(axes), own) if first else set()
            cylinder["readings"] = [
                [depth, name, figures.get((c, r, a), "")]
                for r, depth in enumerate(depths)
                for a, name in enumerate(axes)
                if (r, a) in own or (r, a) in held
            ]
            first = False


def _held(
    depths: Sequence[str], axes: int, own: Collection[tuple[int, int]]
) -> set[tuple[int, int]]:
    """Return the places without a figure that alone keep a depth or an axis.

    If a depth occurs twice, every place of it is kept: the number of places distinguishes its rows.
    """
    read, across = {r for r, _ in own}, {a for _, a in own}
    times = Counter(depths)
    rows = {(r, a) for r, depth in enumerate(depths) if times[depth] > 1 for a in range(axes)}
    rows |= {(r, 0) for r, _ in enumerate(depths) if r not in read}
    return rows | {(0, a) for a in range(len(AXES), axes) if depths and a not in across}


def said_plainly(data: Content, before: Mapping[str, object] | None = None) -> Content:
    """Return a job from a text with the meaning of its figures stated, where the page would assume
    another.

    A row of three figures is a diameter in a job's file; in a job typed here, `before`, one of a
    gauge whose zero is known is what its dial reads.
    """
    each = data.get("each_cylinder")
    known = [_is_dial_here(item) for item in tables(before or {}, "cylinder")]
    new = copy.deepcopy(data)
    for place, cylinder in enumerate(tables(new, "cylinder")):
        typed_here = place < len(known) and known[place]
        of_all = isinstance(each, dict) and each.get("readings_as")
        if _is_dial_here(cylinder) and not of_all and not typed_here:
            cylinder["readings_as"] = "diameter"
    return new


def _is_dial_here(cylinder: Mapping[str, object]) -> bool:
    """Tell whether the page reads figures as dial readings where a job file does not."""
    rows = _items(cylinder.get("readings"))
    listed = any(isinstance(row, list) for row in rows)
    return listed and "readings_as" not in cylinder and kind_of(cylinder) == "dial"


def _rows(cylinder: Mapping[str, object]) -> list[tuple[str, str, str]] | None:
    """Return depth, axis and figure of each reading; None where a sheet cannot show them all."""
    taken = cylinder.get("readings", [])
    if not isinstance(taken, list) or "readings_file" in cylinder or len(taken) > MOST_ROWS * 8:
        return None
    kind = kind_of(cylinder)
    rows = [_row(item, kind) for item in taken]
    return None if None in rows else [row for row in rows if row is not None]


def _row(item: object, kind: str) -> tuple[str, str, str] | None:
    if isinstance(item, dict) and set(item) == {"depth", "axis", kind}:
        return shown(item["depth"]), shown(item["axis"]), shown(item[kind])
    if isinstance(item, list) and len(item) == 3:
        return shown(item[0]), shown(item[1]), shown(item[2])
    return None


def kind_of(cylinder: Mapping[str, object]) -> str:
    """Return the key of a cylinder's figures: its own, or the one common to all."""
    said = _KINDS.get(shown(cylinder.get("readings_as")))
    if said is not None:
        return said
    readings = cylinder.get("readings")
    rows = readings if isinstance(readings, list) else []
    if any(isinstance(item, list) for item in rows):
        return "dial" if cylinder.get("zero") else "size"
    items = [item for item in rows if isinstance(item, dict)]
    return "dial" if items and all("dial" in item for item in items) else "size"


def for_reading(data: Mapping[str, object]) -> Content:
    """Return a job for reading: empty fields are left out, dial figures are named as such.

    A window without any figure keeps its empty edges, so that the page asks for them.
    """
    whole = {**data, "cylinder": [_cylinder(data, item) for item in tables(data, "cylinder")]}
    new = _filled_in(whole)
    for holder in (new, *tables(new, "cylinder")):
        for window in tables(holder, "window"):
            if not any(key in window for key in _EDGES):
                edges = ("high",) if window.get("fit") in FORM_FITS else ("low", "high")
                window.update(dict.fromkeys(edges, ""))
    return new


def _cylinder(data: Mapping[str, object], cylinder: Content) -> Content:
    own = dict(cylinder)
    rows = own.pop("readings", None)
    read = [row for row in _items(rows) if not (isinstance(row, list) and row[-1:] in ([""], []))]
    if read or not isinstance(rows, list | None):
        own["readings"] = read or rows
    each = data.get("each_cylinder")
    said = own.get("readings_as") or (isinstance(each, dict) and each.get("readings_as"))
    if read and not said and "zero" in own and kind_of(cylinder) == "dial":
        own["readings_as"] = "dial"
    return own


def _items(value: object) -> list[object]:
    return value if isinstance(value, list) else []


def _filled_in(table: Mapping[str, object]) -> Content:
    return {
        key: filled
        for key, value in table.items()
        if (filled := _filled(value)) not in ("", {}) and not (value and filled == [])
    }


def _filled(value: object) -> object:
    if isinstance(value, Mapping):
        return _filled_in(value)
    if isinstance(value, list):
        return [filled for item in value if (filled := _filled(item)) != {}]
    return value


def all_entries(table: Mapping[str, object], path: str = "") -> Iterator[tuple[str, object]]:
    """Yield every value other than a table, by its path; a list of tables item by item."""
    for key, value in table.items():
        at = f"{path}.{key}" if path else key
        if isinstance(value, Mapping):
            yield from all_entries(value, at)
        elif isinstance(value, list) and any(isinstance(item, Mapping) for item in value):
            for index, item in enumerate(value):
                if isinstance(item, Mapping):
                    yield from all_entries(item, f"{at}.{index}")
        else:
            yield at, value
