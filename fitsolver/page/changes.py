"""The changes that a job's buttons make to its content: add and remove rows, copy figures of the
sheet.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.page.bench import content_of, laid_over_sheet, text_like
from fitsolver.page.content import MOST, Content, put_sheet, sheet_of, shown, tables
from fitsolver.page.pasting import pasted
from fitsolver.page.shelf import Shelf
from fitsolver.reading.quantities import AXES, parse_axis

__all__ = ("content_of", "done", "text_like")
#: Fields that a new cylinder copies from the last one.
_ALIKE: Final = ("material", "readings_as", "zone", "port", "window", "routes", "squish")


def done(data: Content, action: str, fields: Mapping[str, str], shelf: Shelf) -> Content:
    """Return the job after a button's change; an unknown button changes nothing.

    Raises InputError where it cannot be done.
    """
    new = copy.deepcopy(data)
    verb, _, rest = action.partition(":")
    if verb in _DONE:
        _DONE[verb](new, rest, fields)
    elif verb == "own":
        _own(new, rest, shelf)
    return new


def _add_cylinder(data: Content, _: str, __: Mapping[str, str]) -> None:
    items = tables(data, "cylinder")
    if len(items) >= MOST:
        raise InputError("no engine has more cylinders", allowed=str(MOST))
    last = items[-1] if items else {}
    taken = {shown(item.get("name")) for item in items}
    name = next(str(n) for n in range(1, len(items) + 2) if str(n) not in taken)
    alike = {key: copy.deepcopy(last[key]) for key in _ALIKE if key in last}
    if isinstance(squish := alike.get("squish"), dict):
        squish.pop("measured", None)
    data["cylinder"] = [*items, {"name": name, **alike}]


def _add_axis(data: Content, _: str, fields: Mapping[str, str]) -> None:
    text = fields.get("axis", "").strip()
    try:
        angle = parse_axis(text)
    except ValueError as error:
        raise InputError("this is no axis", found=text[:20], allowed=AXES) from error
    axes = [parse_axis(axis) for axis in sheet_of(data).axes]
    if angle in axes:
        raise InputError("this axis is there already", found=text[:20])
    put_sheet(data, {"depth.0": (sheet_of(data).depths or ("",))[0]}, str(angle))


def _paste(data: Content, _: str, fields: Mapping[str, str]) -> None:
    names = [shown(item.get("name")) for item in tables(data, "cylinder")]
    found = pasted(
        fields.get("pasted", ""), sheet_of(data), names, fields.get("pasted_at", "").strip()
    )
    put_sheet(data, {name: text.replace(",", ".") for name, text in found.items()})


def _drop(data: Content, rest: str, _: Mapping[str, str]) -> None:
    """Take out one row of a list: `window:2`, `cylinder.0.port:1`, `cylinder:1`."""
    path, _colon, number = rest.rpartition(":")
    *outer, key = path.split(".")
    holder: object = data
    if outer[:1] == ["cylinder"] and len(outer) == 2 and outer[1].isdecimal():
        cylinders = tables(data, "cylinder")
        holder = cylinders[int(outer[1])] if int(outer[1]) < len(cylinders) else None
    items = holder.get(key) if isinstance(holder, dict) else None
    if not isinstance(items, list) or not number.isdecimal() or int(number) >= len(items):
        return
    if key == "cylinder" and len(items) == 1:
        raise InputError("a job has one cylinder at least")
    if key == "cylinder" and number == "0":
        _keep_rows(data)
    del items[int(number)]
    if not items and isinstance(holder, dict):
        del holder[key]


def _keep_rows(data: Content) -> None:
    """Have the second cylinder hold the rows of the sheet, which the first one does."""
    first, second = tables(data, "cylinder")[:2]
    held, found = first.get("readings"), second.get("readings", [])
    if isinstance(held, list) and isinstance(found, list):
        have = [row[:2] for row in found if isinstance(row, list)]
        more = [[*row[:2], ""] for row in held if isinstance(row, list) and row[:2] not in have]
        second["readings"] = [*found, *more]


def _accept(data: Content, rest: str, _: Mapping[str, str]) -> None:
    accepted = _names(data, "accept")
    data["accept"] = [*accepted, *([] if rest in accepted else [rest[:200]])]


def _doubt(data: Content, rest: str, _: Mapping[str, str]) -> None:
    data["accept"] = [name for name in _names(data, "accept") if name != rest]


def _open(data: Content, rest: str, _: Mapping[str, str]) -> None:
    opened = _names(data, "no_window")
    data["no_window"] = [*opened, *([] if rest in opened else [rest[:60]])]


def _names(data: Content, key: str) -> list[str]:
    found = data.get(key)
    return [str(name) for name in found] if isinstance(found, list) else []


def _own(data: Content, rest: str, shelf: Shelf) -> None:
    """Copy an entry of the family's sheet into the job, to change it there: one window, or a whole
    list.
    """
    path, _, number = rest.rpartition(":")
    given = tables(laid_over_sheet(data, shelf), path)
    if not number.isdecimal() or int(number) >= len(given):
        return
    if path == "window":
        window = {key: _plain(value) for key, value in given[int(number)].items()}
        window.pop("source", None)  # what is changed the sheet does not say any more
        data["window"] = [*tables(data, "window"), window]
    elif path in ("port", "gasket_place", "same_size", "mass_match"):
        data[path] = [{key: _plain(value) for key, value in item.items()} for item in given]


def _plain(value: object) -> object:
    return list(value) if isinstance(value, list | tuple) else value


_Change = Callable[[Content, str, Mapping[str, str]], None]
_DONE: Final[dict[str, _Change]] = {
    "add-cylinder": _add_cylinder,
    "add-axis": _add_axis,
    "paste": _paste,
    "drop": _drop,
    "accept": _accept,
    "doubt": _doubt,
    "open": _open,
}
