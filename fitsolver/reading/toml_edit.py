"""Changes of values in the text of a TOML file; comments and order stay as they are.

tomlkit holds the text. Its output is read again and must have the wanted content.
"""

from __future__ import annotations

import copy
from collections.abc import Collection, Mapping, MutableMapping, MutableSequence, Sequence
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, InlineTable, Item

from fitsolver.base.errors import InputError
from fitsolver.reading.quantities import sane_decimal
from fitsolver.reading.toml_file import parse_toml
from fitsolver.reading.toml_text import plain_toml

_FILE: Final = Path("sheet")
#: Keys of a reading that stands in a table of its own, before its figure.
_PLACE: Final = ("depth", "axis")


def with_values(text: str, values: Mapping[str, str], dropped: Collection[str] = ()) -> str:
    """Return a TOML file with values put in, by their path: `engine.stroke`, `window.0.low`.

    A value is TOML; '' takes its key out. `dropped` are items of repeated sections (`window.2`) to
    take out. A path one past the last item begins a new one. Where the text cannot be changed
    in place it is written anew, with the comments above its first key only. Raises InputError
    for a value that is no TOML.
    """
    wanted = _changed(parse_toml(text, _FILE), values, dropped)
    found = relaid(text, wanted)
    if found is not None:
        return found
    top = [line for line in text.splitlines() if line.startswith("#")]
    return "\n".join([*top[: _leading(text)], plain_toml(wanted)])


def relaid(text: str, wanted: Mapping[str, Any]) -> str | None:
    """Return a TOML file with the `wanted` content; unchanged values stay as they were written.

    A figure is the same as number and as text. None where the text cannot be changed in place.
    Raises InputError for a text that is no TOML.
    """
    before = parse_toml(text, _FILE)
    try:
        document = tomlkit.parse(text)
        _lay(document, before, wanted)
        found = tomlkit.dumps(document)
        same = _same(parse_toml(found, _FILE), wanted)
    except (TOMLKitError, InputError, ValueError, TypeError, LookupError, AttributeError):
        return None
    return found if same else None


def _lay(table: MutableMapping[str, Any], before: Mapping[str, Any], wanted: Mapping[str, Any]
) -> None:  # fmt: skip
    inline = isinstance(table, InlineTable)
    for key in before:
        if key not in wanted:
            del table[key]
    for key, value in wanted.items():
        if key not in before:
            table[key] = _item(value, inline=inline)
        else:
            new = _laid(table[key], before[key], value, inline=inline)
            if new is not None:
                table[key] = new


def _laid(there: Any, before: Any, value: Any, *, inline: bool) -> Item | None:
    """Change a value in place; return its replacement, None if it needs none."""
    if _same(before, value):
        return None
    if isinstance(before, Mapping) and isinstance(value, list):
        value = _as_table(before, value)
    if isinstance(before, Mapping) and isinstance(value, Mapping):
        _lay(there, before, value)
        return None
    if isinstance(before, list) and isinstance(value, list) and before and value:
        _lay_list(there, before, value)
        return None
    return _item(value, like=before, inline=inline)


def _as_table(before: Mapping[str, Any], row: Sequence[Any]) -> Any:
    """Return depth, axis and figure of a reading under the keys that it had before."""
    figure = [key for key in before if key not in _PLACE]
    if len(row) != len(before) or len(figure) != 1:
        return row
    return dict(zip((*_PLACE, figure[0]), row, strict=True))


def _lay_list(there: MutableSequence[Any], before: Sequence[Any], value: Sequence[Any]) -> None:
    """Change a list from its first differing item to its last."""
    least = min(len(before), len(value))
    first = next((n for n in range(least) if not _same(before[n], value[n])), least)
    rest = range(least - first)
    last = next((n for n in rest if not _same(before[-1 - n], value[-1 - n])), len(rest))
    old, new = before[first : len(before) - last], value[first : len(value) - last]
    both = min(len(old), len(new))
    for n in range(both):
        changed = _laid(there[first + n], old[n], new[n], inline=True)
        if changed is not None:
            there[first + n] = changed
    for _ in old[both:]:
        del there[first + both]
    for n, item in enumerate(new[both:]):
        at = first + both + n
        there.insert(at, _item(item, inline=not isinstance(there, AoT)))


def _item(value: Any, like: Any = None, *, inline: bool = False) -> Item:
    """Return a value as TOML, tables on a line of their own where `inline`.

    A text that is a figure becomes a number where one stood before (`like`).
    """
    if isinstance(value, Decimal):
        return tomlkit.value(f"{value:f}")
    if isinstance(value, str) and isinstance(like, Decimal | int) and not isinstance(like, bool):
        return _number(value)
    if isinstance(value, Mapping):
        table = tomlkit.inline_table() if inline else tomlkit.table()
        for key, inner in value.items():
            table[key] = _item(inner, inline=inline)
        return table
    if isinstance(value, list) and not inline and _is_repeated(value):
        sections = tomlkit.aot()
        for inner in value:
            sections.append(_item(inner))
        return sections
    if isinstance(value, list):
        array = tomlkit.array()
        for inner in value:
            array.append(_item(inner, inline=True))
        array.multiline(any(isinstance(inner, list | Mapping) for inner in value))
        return array
    plain: Item = tomlkit.item(value)
    return plain


def _is_repeated(value: Sequence[Any]) -> bool:
    """Tell whether a list is one of sections; readings stand a line each."""
    tables = bool(value) and all(isinstance(item, Mapping) for item in value)
    return tables and not all(set(_PLACE) <= set(item) for item in value)


def _number(text: str) -> Item:
    try:
        sane_decimal(text)
        return tomlkit.value(text)
    except (ValueError, TOMLKitError):
        return tomlkit.item(text)


def _same(one: Any, other: Any) -> bool:
    """Tell whether two values say the same: a figure is that as number and as text."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, Mapping) or isinstance(other, Mapping):
        row, table = (other, one) if isinstance(one, Mapping) else (one, other)
        as_table = _as_table(table, row) if isinstance(row, list) else row
        return isinstance(as_table, Mapping) and _same(table, as_table)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return (type(one) is type(other) and bool(one == other)) or _figures(one, other)


def _figures(one: Any, other: Any) -> bool:
    """Tell whether two values are the same number, one of them at least written as one."""
    if any(isinstance(value, bool | date) for value in (one, other)):
        return False
    if isinstance(one, str) and isinstance(other, str):
        return False
    try:
        return bool(sane_decimal(str(one)) == sane_decimal(str(other)))
    except (ValueError, ArithmeticError):
        return False


def _leading(text: str) -> int:
    """Return how many comment lines stand above the first key."""
    lines = text.splitlines()
    return next((n for n, line in enumerate(lines) if not line.startswith("#")), len(lines))


def _kept(path: str, dropped: Collection[str]) -> bool:
    return not any(path.startswith(f"{item}.") for item in dropped)


def _changed(
    data: dict[str, Any], values: Mapping[str, str], dropped: Collection[str]
) -> dict[str, Any]:
    new = copy.deepcopy(data)
    for path, value in values.items():
        if _kept(path, dropped):
            _set(new, path.split("."), value)
    for name in {item.rpartition(".")[0] for item in dropped}:
        gone = {int(item.rpartition(".")[2]) for item in dropped if item.startswith(f"{name}.")}
        new[name] = [item for at, item in enumerate(new.get(name, [])) if at not in gone]
        if not new[name]:
            del new[name]
    return new


def _set(table: dict[str, Any], path: list[str], value: str) -> None:
    at: Any = table
    for place, step in enumerate(path[:-1]):
        if isinstance(at, list):
            if int(step) == len(at):
                at.append({})
            at = at[int(step)]
        else:
            empty: Any = [] if path[place + 1].isdecimal() else {}
            at = at.setdefault(step, empty)
    found = parse_toml(f"x = {value}\n", _FILE)["x"] if value else None
    if isinstance(at, list):  # one more that says nothing but that it is there
        at.append(found)
    elif value:
        at[path[-1]] = found
    else:
        at.pop(path[-1], None)
