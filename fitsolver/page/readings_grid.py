"""The readings of all cylinders side by side: one row a depth, a column for each axis of each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, NamedTuple

from fitsolver.page.form import Content, grid, tables

#: More rows than these are no cylinder's.
MOST: Final = 128
AXES: Final = ("thrust", "pin")
#: A line of readings: its depth as typed, and which line of that depth it is (repeats).
Line = tuple[str, int]


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
        found |= {f"read.{c}.{r}.{a}": text for (c, r, a), text in self.figures.items() if text}
        return found


def sheet_of(data: Mapping[str, object]) -> Sheet:
    """Return the readings that a job's content has, as they were typed."""
    grids = [grid(item, index) for index, item in enumerate(tables(data, "cylinder"))]
    axes = tuple(dict.fromkeys([*AXES, *(axis for one in grids for axis in one.axes)]))
    lines: dict[Line, int] = {}
    figures: dict[tuple[int, int, int], str] = {}
    for c, one in enumerate(grids):
        seen: dict[str, int] = {}
        for row in one.rows:
            seen[row.depth] = seen.get(row.depth, -1) + 1
            r = lines.setdefault((row.depth, seen[row.depth]), len(lines))
            for cell in row.cells:
                if cell.value:
                    figures[c, r, axes.index(cell.axis)] = cell.value
    depths = tuple(depth for depth, _ in lines)
    return Sheet(axes, depths, figures, tuple(one.plain for one in grids))


def put(data: Content, changed: Mapping[str, str], axis: str = "") -> None:
    """Put fields of the sheet into a job's content; with `axis` that column is there from now on.

    The first cylinder holds every depth and axis, empty where nothing was read, so that rows and
    columns stay where they are.
    """
    sheet = sheet_of(data)
    depths, figures = list(sheet.depths), dict(sheet.figures)
    axes = sheet.axes if not axis or axis in sheet.axes else (*sheet.axes, axis)
    for name, text in changed.items():
        kind, *places = name.split(".")
        place = [int(number) for number in places]
        row = place[0] if kind == "depth" else place[1]
        if row >= MOST or (kind == "read" and place[2] >= len(axes)):
            continue
        depths += [""] * (row + 1 - len(depths))
        if kind == "depth":
            depths[row] = text
        else:
            figures[place[0], row, place[2]] = text
    kept = True
    for c, cylinder in enumerate(tables(data, "cylinder")):
        if sheet.plain[c]:
            cylinder["readings"] = [
                [depth, name, figures.get((c, r, a), "")]
                for r, depth in enumerate(depths)
                for a, name in enumerate(axes)
                if kept or figures.get((c, r, a))
            ]
            kept = False


def is_field(name: str) -> bool:
    """Tell whether a name is that of a field of the sheet."""
    kind, *places = name.split(".")
    return {"depth": 1, "read": 3}.get(kind) == len(places) and all(
        place.isdecimal() and len(place) < 4 for place in places
    )
