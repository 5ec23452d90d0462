"""Plain data to TOML text, with lengths and other exact decimals as bare numbers."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from fitsolver.reading.quantities import sane_decimal


class Number(str):
    """The digits of an exact decimal: written without quotes."""


def toml_text(data: Mapping[str, Any], path: tuple[str, ...] = ()) -> str:
    """Return a TOML document: plain keys first, then sections, then repeated sections.

    A value is text, a whole number, a date, true or false, a `Number`, or a list of these (or
    of inline tables); a mapping becomes a [section], a tuple of mappings [[sections]].
    """
    plain = {key: value for key, value in data.items() if not _is_section(value)}
    lines = [f"{_key(key)} = {value_text(value)}" for key, value in plain.items()]
    for key, value in data.items():
        name = ".".join(map(_key, (*path, key)))
        if isinstance(value, Mapping):
            lines += ["", f"[{name}]", toml_text(value, (*path, key))]
        elif _is_section(value):
            for item in value:
                lines += ["", f"[[{name}]]", toml_text(item, (*path, key))]
    return "\n".join(lines)


def as_parsed(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return plain data as its TOML text reads back (`toml_text`, then `parse_toml`).

    Raises ValueError for a number that no job can hold.
    """
    keys = sorted(data, key=lambda key: _is_section(data[key]))  # plain keys stand first
    return {key: _parsed(data[key]) for key in keys}


def _parsed(value: Any) -> Any:
    if isinstance(value, Number):
        return sane_decimal(value) if "." in value else int(value)
    if isinstance(value, Mapping):
        return as_parsed(value)
    if isinstance(value, list | tuple):
        return [_parsed(item) for item in value]
    return value


def plain_toml(data: Mapping[str, Any]) -> str:
    """Return a document of what `read_toml` returned: a line for each key, [[sections]] last.

    Tables stand on the line of their key; a list of tables of more than one line becomes repeated
    sections.
    """
    lines, last = [], []
    for key, value in data.items():
        if isinstance(value, list) and value and all(isinstance(item, Mapping) for item in value):
            for item in value:
                inner = (f"{_key(k)} = {value_text(_written(v))}" for k, v in item.items())
                last += ["", f"[[{_key(key)}]]", *inner]
        else:
            lines.append(f"{_key(key)} = {value_text(_written(value))}")
    return "\n".join([*lines, *last]) + "\n"


def _written(value: Any) -> Any:
    """Return a value with its exact decimals as digits."""
    if isinstance(value, Decimal):
        return Number(f"{value:f}")
    if isinstance(value, Mapping):
        return {key: _written(inner) for key, inner in value.items()}
    return [_written(inner) for inner in value] if isinstance(value, list) else value


def _is_section(value: object) -> bool:
    return isinstance(value, Mapping) or (
        isinstance(value, tuple) and bool(value) and isinstance(value[0], Mapping)
    )


def _key(key: str) -> str:
    return key if key.replace("_", "").isalnum() and key.isascii() else _quoted(key)


def value_text(value: Any) -> str:
    """Return one TOML value on its own."""
    if isinstance(value, str):
        return str(value) if isinstance(value, Number) else _quoted(value)
    if isinstance(value, bool | int | date):
        return str(value).lower()  # true, false; 12; 2027-03-01
    if isinstance(value, Mapping):
        inner = ", ".join(f"{_key(key)} = {value_text(item)}" for key, item in value.items())
        return f"{{ {inner} }}"
    return _list(value)


def _list(values: Sequence[Any]) -> str:
    items = [value_text(value) for value in values]
    if any(isinstance(value, list | Mapping) for value in values):  # one reading a line
        return "[\n" + "".join(f"  {item},\n" for item in items) + "]"
    return f"[{', '.join(items)}]"


def _quoted(text: str) -> str:
    """Return a TOML basic string; JSON's escapes are among TOML's, but it leaves DEL alone."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
