"""Figures of a family's sheet with typed corrections.

What comes back is the file that changes; nothing is written here.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from fitsolver.reading.family_sheet import family_sheets
from fitsolver.reading.sections import Section
from fitsolver.reading.toml_edit import with_values
from fitsolver.reading.toml_text import value_text

_COMMA: Final = re.compile(r"[+-]?\d*,\d+")
_NUMBER: Final = re.compile(r"[+-]?(\d+(\.\d+)?|\.\d+)")
#: What was typed: a text, of a list its items, of a part that says no more than that it is there
#: True.
Typed = str | tuple[str, ...] | bool


def sheet_file(folder: Path, family: str) -> str:
    """Return the name of the file that a family's sheet stands in, '' where it has none."""
    sheets = family_sheets(folder)
    if family not in sheets:
        return ""
    return Path(sheets[family].file).relative_to(folder).as_posix()


def sheet_of_family(folder: Path, family: str) -> Section | None:
    """Return the sheet of a family; None where it has none."""
    return family_sheets(folder).get(family)


def corrected_sheet(
    folder: Path, family: str, values: Mapping[str, Typed], dropped: Sequence[str] = ()
) -> dict[str, str]:
    """Return the file of a family's sheet with figures as typed, by their path.

    A family without a sheet gets one. Raises InputError where a figure cannot be written.
    """
    name = sheet_file(folder, family)
    path = folder / name if name else None
    if path is None:
        name = "family.toml"
        text = f"format = 1\nfamily = {value_text(family)}\n"
    else:
        text = path.read_text(encoding="utf-8-sig")
    written = {key: typed_value(value) for key, value in values.items()}
    return {name: with_values(text, written, dropped)}


def typed_value(typed: Typed) -> str:
    """Return typed text as a TOML value: a number, yes or no, a list, else a text."""
    if isinstance(typed, bool):
        return "{}" if typed else ""
    if isinstance(typed, tuple):
        return value_text(list(typed)) if typed else ""
    typed = " ".join(typed.split())
    if not typed:
        return ""
    if _COMMA.fullmatch(typed):
        typed = typed.replace(",", ".")
    if _NUMBER.fullmatch(typed):
        bare = typed.lstrip("+")
        sign, bare = ("-", bare[1:]) if bare.startswith("-") else ("", bare)
        whole, point, rest = bare.partition(".")
        return f"{sign}{whole.lstrip('0') or '0'}{point}{rest}"
    if typed.lower() in ("yes", "no"):
        return "true" if typed.lower() == "yes" else "false"
    return value_text(typed)
