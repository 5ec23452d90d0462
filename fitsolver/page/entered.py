"""Typed entries put into a job field by field; the changes of two windows on one job both stay.

Fields are named by their path (`fields`). A form carries the version of the job that it was drawn
from. Fields that differ from that version were typed, and only these are put in.
"""

from __future__ import annotations

import copy
import datetime as dt
import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Final

from fitsolver.page.bench import content_of
from fitsolver.page.content import (
    MOST,
    Content,
    all_entries,
    put_sheet,
    sheet_of,
    shown,
    tables,
)
from fitsolver.page.fields import Field, field_of
from fitsolver.page.named import name_typed, names_typed, said_name

_COMMA: Final = re.compile(r"([+-]?\d*),(\d+(?:\s*[^\d,.]{0,5})?)")
_MINUS: Final = str.maketrans({"\u2212": "-", "\u2013": "-", "\u2010": "-", "\u00a0": " "})
_DECIMAL: Final = re.compile(r"[+-]?\d*\.\d+")
_OF_SHEET: Final = re.compile(r"depth\.\d{1,3}|read(\.\d{1,3}){3}")
#: Jobs whose entries are held.
_HELD: Final = 200
#: Fields that identify a row; without the row, a form drawn with it is out of date.
_NAMED: Final = re.compile(r"cylinder\.\d+\.name|(window|in_hand)\.\d+\.(fit|number)|depth\.\d+")


class RowsGoneError(Exception):
    """A row of the form was removed meanwhile."""


@lru_cache(_HELD)
def entries_of(text: str) -> Mapping[str, str]:
    """Return `entries` of the text of a job, to be read only; raises InputError for no TOML."""
    return entries(content_of(text))


def entries(data: Mapping[str, object]) -> dict[str, str]:
    """Return every field that a job's content fills in, as a form shows it."""
    found = {
        at: text
        for at, value in all_entries(data)
        if (field := field_of(at)) is not None and (text := written(field, value))
    }
    for index, cylinder in enumerate(tables(data, "cylinder")):
        if cylinder.get("zero") == "piston":
            size = shown(cylinder.get("zero_piston"))
            found |= {f"cylinder.{index}.zero": size, f"cylinder.{index}.zero_on_piston": "yes"}
    return found | sheet_of(data).fields()


def written(field: Field, value: object) -> str:
    """Return a value of a job as its field shows it."""
    if field.kind == "flag":
        return "yes" if value is True else ""
    if isinstance(value, list):
        return ", ".join(said_name(field.key, shown(item)) for item in value)
    return said_name(field.key, shown(value))


def put(
    before: Mapping[str, str], after: Mapping[str, str], now: Content, fields: Mapping[str, str]
) -> Content:
    """Return the job `now` with the fields of a form that differ from the job it was drawn from.

    `before` are the `entries` of that job, `after` those of `now`. Unknown fields are left out.
    Raises RowsGoneError if the two jobs have different rows.
    """
    typed = {name: clean(name, text) for name, text in fields.items() if _is_known(name)}
    changed = {name: text for name, text in typed.items() if not _is_as_shown(name, text, before)}
    if not changed:
        return now
    if any(_NAMED.fullmatch(name) and not after.get(name) for name in before):
        raise RowsGoneError
    new = copy.deepcopy(now)
    sheet = {name: text for name, text in changed.items() if _OF_SHEET.fullmatch(name)}
    for name, text in changed.items():
        if name not in sheet:
            _set(new, name, text)
    _set_zeros(new, {**after, **changed}, changed)
    if sheet:
        put_sheet(new, sheet)
    return new


def _is_as_shown(name: str, text: str, before: Mapping[str, str]) -> bool:
    """Tell whether a field is unchanged, apart from decimals that the sheet fills up."""
    was = before.get(name, "")
    return text == was or (bool(_OF_SHEET.fullmatch(name)) and _bare(text) == _bare(was))


def _bare(figure: str) -> str:
    return figure.rstrip("0").rstrip(".") if _DECIMAL.fullmatch(figure) else figure


def _is_known(name: str) -> bool:
    return bool(_OF_SHEET.fullmatch(name)) or field_of(name) is not None


def clean(name: str, text: str) -> str:
    """Return typed text as it is stored: a decimal comma is a point, a minus sign a hyphen."""
    field = field_of(name)
    text = text.strip()
    if field is not None and field.kind not in ("figure", "count"):
        return " ".join(text.split())
    text = text.translate(_MINUS).strip()
    comma = _COMMA.fullmatch(text)
    return f"{comma[1]}.{comma[2]}" if comma else text


def _set(data: Content, path: str, text: str) -> None:
    """Put a text into its field; an empty text removes the field."""
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
    if field is None:
        return
    value = _value(field, text)
    if value in ("", []):
        table.pop(key, None)
    elif written(field, table.get(key)) != text:
        table[key] = value


def _within(table: Content, key: str, number: int | None) -> Content | None:
    """Return an inner table, created if missing; None if the path allows no table."""
    if number is None:
        inner = table.setdefault(key, {})
        return inner if isinstance(inner, dict) else None
    items = table.setdefault(key, [])
    most = len(items) if isinstance(items, list) and key == "cylinder" else MOST
    if not isinstance(items, list) or number >= most:
        return None
    while len(items) <= number:
        items.append({})
    found = items[number]
    return found if isinstance(found, dict) else None


def _value(field: Field, text: str) -> object:
    """Return the job's value of a text; an invalid text is kept as it is, so that reading refuses
    it.
    """
    if field.kind == "flag":
        return True if text else ""
    if field.kind in ("names", "figures"):
        return names_typed(field.key, text)
    if field.kind == "count" and text.isdecimal() and len(text) < 10:
        return int(text)
    if field.kind == "date":
        try:
            return dt.date.fromisoformat(text)
        except ValueError:
            return text
    return name_typed(field.key, text)


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
