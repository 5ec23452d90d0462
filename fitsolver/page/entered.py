"""What was typed, put into a job field by field; of two windows on one job both changes stay.

Fields are named by their path (`fields`). A form is sent with the version of the job that it was
drawn from: what it says otherwise than that version was typed in it, and only that is put in.
"""

from __future__ import annotations

import copy
import datetime as dt
import re
from collections.abc import Iterator, Mapping
from typing import Final

from fitsolver.page import readings_grid
from fitsolver.page.fields import PARTS, Field, field_of, part_of
from fitsolver.page.form import MOST, Content, shown, tables
from fitsolver.reading.owners import WITH_SHEETS

_COMMA: Final = re.compile(r"([+-]?\d*),(\d+(?:\s*[^\d,.]{0,5})?)")
_MINUS: Final = str.maketrans({"\u2212": "-", "\u2013": "-", "\u2010": "-", "\u00a0": " "})
_ONE_LINE: Final = ("text", "choice")


def entries(data: Mapping[str, object]) -> dict[str, str]:
    """Return every field that a job's content fills in, as a form shows it."""
    found = dict(_entries(data, ""))
    for index, cylinder in enumerate(tables(data, "cylinder")):
        if cylinder.get("zero") == "piston":
            size = shown(cylinder.get("zero_piston"))
            found |= {f"cylinder.{index}.zero": size, f"cylinder.{index}.zero_on_piston": "yes"}
    return found | readings_grid.sheet_of(data).fields()


def _entries(table: Mapping[str, object], path: str) -> Iterator[tuple[str, str]]:
    for key, value in table.items():
        at = f"{path}.{key}" if path else key
        if isinstance(value, dict):
            yield from _entries(value, at)
        elif isinstance(value, list) and part_of(at) in PARTS:
            for index, item in enumerate(value):
                if isinstance(item, dict):
                    yield from _entries(item, f"{at}.{index}")
        elif (field := field_of(at)) is not None and (text := written(field, value)):
            yield at, text


def written(field: Field, value: object) -> str:
    """Return a value of a job as its field shows it."""
    if field.kind == "flag":
        return "yes" if value is True else ""
    if isinstance(value, list):
        return ", ".join(shown(item) for item in value)
    return shown(value)


def put(base: Mapping[str, object], now: Content, fields: Mapping[str, str]) -> Content:
    """Return the job `now` with what a form says otherwise than the job it was drawn from.

    Unknown fields are left out. Raises ValueError where rows of the two are not the same.
    """
    before, after = entries(base), entries(now)
    typed = {name: clean(name, text) for name, text in fields.items() if _is_known(name)}
    changed = {name: text for name, text in typed.items() if text != before.get(name, "")}
    if not changed:
        return now
    if base is not now and _moved(before, after):
        raise ValueError("rows were taken out")
    new = copy.deepcopy(now)
    sheet = {name: text for name, text in changed.items() if readings_grid.is_field(name)}
    for name, text in changed.items():
        if name not in sheet:
            _set(new, name, text)
    _set_zeros(new, {**after, **changed}, changed)
    if sheet:
        readings_grid.put(new, sheet)
    return new


def _is_known(name: str) -> bool:
    return readings_grid.is_field(name) or field_of(name) is not None


_NAMED: Final = re.compile(r"(cylinder\.\d+\.name|(window|in_hand)\.\d+\.(fit|number)|depth\.\d+)")


def _moved(before: Mapping[str, str], after: Mapping[str, str]) -> bool:
    """Tell whether a row that a form was drawn with is another one, or gone, in the job now."""
    return any(_NAMED.fullmatch(name) and not after.get(name) for name in before if before[name])


def clean(name: str, text: str) -> str:
    """Return what was typed as it is kept: a decimal comma is a point, a minus sign a hyphen."""
    field = field_of(name)
    text = text.strip()
    if field is not None and field.kind not in ("figure", "count"):
        return " ".join(text.split()) if field.kind in _ONE_LINE else text
    text = text.translate(_MINUS).strip()
    comma = _COMMA.fullmatch(text)
    return f"{comma[1]}.{comma[2]}" if comma else text


def _set(data: Content, path: str, text: str) -> None:
    """Put a text where it belongs; an empty one takes away what stood there."""
    *sections, key = path.split(".")
    table = data
    for place, section in enumerate(sections):
        if section.isdecimal():
            continue
        number = sections[place + 1] if place + 1 < len(sections) else ""
        inner = _within(table, section, int(number) if number.isdecimal() else None)
        if inner is None:
            return
        table = inner
    field = field_of(path)
    assert field is not None
    value = _value(field, text)
    if value in ("", []):
        table.pop(key, None)
    elif written(field, table.get(key)) != text:
        table[key] = value


def _within(table: Content, key: str, number: int | None) -> Content | None:
    """Return an inner table, made where it is not there yet; None for one that cannot be."""
    if number is None:
        inner = table.setdefault(key, {})
        return inner if isinstance(inner, dict) else None
    items = table.setdefault(key, [])
    if (
        not isinstance(items, list)
        or number >= MOST
        or (key == "cylinder" and number >= len(items))
    ):
        return None
    while len(items) <= number:
        items.append({})
    found = items[number]
    return found if isinstance(found, dict) else None


def _value(field: Field, text: str) -> object:
    """Return a text as a job has it; one that cannot be is kept as it is, to be refused there."""
    if field.kind == "flag":
        return True if text else ""
    if field.kind in ("names", "figures"):
        return [item.strip() for item in re.split(r"[,;]", text) if item.strip()]
    if field.kind == "count" and text.isdecimal() and len(text) < 10:
        return int(text)
    if field.kind == "date":
        try:
            return dt.date.fromisoformat(text)
        except ValueError:
            return text
    return text


def _set_zeros(data: Content, fields: Mapping[str, str], changed: Mapping[str, str]) -> None:
    """Say of each cylinder what its gauge was zeroed on: a size, or the piston of that size."""
    for index, cylinder in enumerate(tables(data, "cylinder")):
        names = (f"cylinder.{index}.zero", f"cylinder.{index}.zero_on_piston")
        if not any(name in changed for name in names):
            continue
        size, on_piston = (fields.get(name, "") for name in names)
        for key in ("zero", "zero_piston", "zero_on_piston"):
            cylinder.pop(key, None)
        found = {"zero": "piston", "zero_piston": size} if on_piston else {"zero": size}
        cylinder.update({key: text for key, text in found.items() if text})


def for_reading(data: Mapping[str, object]) -> Content:
    """Return a job as it is to be read: rows that are empty are not there, dials are named so."""
    new: Content = {k: _without_empty(v) if k != "cylinder" else v for k, v in data.items()}
    each = data.get("each_cylinder")
    said = isinstance(each, dict) and each.get("readings_as")
    cylinders = []
    for cylinder in tables(data, "cylinder"):
        own = {key: _without_empty(value) for key, value in cylinder.items()}
        if "zero" in own and not own.get("readings_as") and not said and _rows_of_three(own):
            own["readings_as"] = "dial"
        cylinders.append(own)
    if cylinders:
        new["cylinder"] = cylinders
    return {key: value for key, value in new.items() if value not in ({}, [])}


def _rows_of_three(cylinder: Mapping[str, object]) -> bool:
    rows = cylinder.get("readings")
    return isinstance(rows, list) and any(isinstance(row, list) for row in rows)


def _without_empty(value: object) -> object:
    """Return a list without the tables that have nothing in them; an empty list stays."""
    if not isinstance(value, list) or not value:
        return value
    return [item for item in value if item != {}] or {}


def takes_from_sheet(data: Mapping[str, object]) -> bool:
    """Tell whether a job takes figures from the sheet of its family."""
    return data.get("format") == WITH_SHEETS
