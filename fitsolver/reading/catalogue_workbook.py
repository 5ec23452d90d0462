"""A catalogue as one workbook: its sheets are the tables, the head and the figures of families."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from fitsolver.base.errors import InputError
from fitsolver.reading.files import Parts, SheetFile, Workbook, unreadable
from fitsolver.reading.hints import shown, unknown

#: The sheets beside those of the tables: the keys of catalogue.toml, and those of family sheets.
HEAD: Final = "catalogue"
FAMILIES: Final = "families"
_TITLES: Final = {HEAD: ("key", "value"), FAMILIES: ("family", "key", "value")}
_NUMBER: Final = re.compile(r"[+-]?\d{1,30}(\.\d{1,30})?")
#: Keys whose value is a text though it looks like a number or a yes.
_TEXTS: Final = frozenset({"name", "note", "currency", "source", "family"})
#: Keys whose value is a list, separated by `;`.
_LISTS: Final = frozenset({"best", "no_window", "routes", "other_bores"})
_EDGE: Final = 2  # window.FIT.KEY at least
#: Repeated sections of a family sheet and the key that names one of them.
_NAMED: Final = {"port": "name", "gasket_place": "place"}
#: Sections of a set of cylinders: of all of them.
_SETS: Final = ("same_size", "mass_match")
_FLAGS: Final = {"yes": True, "no": False, "true": True, "false": False}


def opened(folder: Parts) -> Parts:
    """Return a workbook's sheets as a folder's files; any other folder as it is.

    Raises InputError for a file that is not a workbook, and as `read_workbook` does.
    """
    if not isinstance(folder, Path) or folder.suffix.lower() != ".xlsx" or folder.is_dir():
        return folder
    try:
        status = folder.stat()
    except OSError as error:
        raise unreadable(folder, error, "file") from error
    return _opened(folder, status.st_mtime_ns, status.st_size)


@lru_cache(maxsize=2)
def _opened(path: Path, _time: int, _size: int) -> Workbook:
    """Return a workbook's sheets; one that did not change since is not read again."""
    from fitsolver.reading.excel import read_workbook  # openpyxl is slow to import

    sheets = {}
    for title, rows in read_workbook(path).items():
        key = title.strip().lower()
        if key in sheets:
            raise InputError("two sheets have one name", file=str(path), found=shown(title))
        sheets[key] = SheetFile(f"{path}, sheet '{shown(title)}'", b"", key, rows)
    return Workbook(str(path), sheets)


def head_of(book: Workbook, keys: tuple[str, ...]) -> dict[str, Any]:
    """Return the keys of the sheet `catalogue`; raises InputError where it is not there."""
    found: dict[str, Any] = {}
    for number, (key, value) in _rows(book, HEAD):
        if key not in keys:
            raise unknown("key", key, keys, file=_file(book, HEAD), row=number, field="key")
        if key in found:
            raise _error(book, HEAD, number, "this key is there twice", key)
        found[key] = value_of(key, value)
    return found


def families_of_book(book: Workbook, units: object) -> list[dict[str, Any]]:
    """Return the figures of every family as the tables of a family sheet.

    `units` are those of the catalogue, for a family that names none. Raises InputError for a key
    that is there twice or stands within another.
    """
    found: dict[str, dict[str, Any]] = {}
    if FAMILIES not in book.sheets:
        return []
    for number, (family, key, value) in _rows(book, FAMILIES):
        if not family or not key:
            raise _error(book, FAMILIES, number, "a family or its key is missing", family or key)
        table = found.setdefault(family, {"family": family})
        _put(book, number, table, key.split("."), value)
    return [{"units": units, **table} for table in found.values()]


def _put(book: Workbook, number: int, table: dict[str, Any], path: list[str], value: str) -> None:
    """Put a value into the table of a family at a key with points."""
    first = path[0]
    into, left = table, path
    if first == "window" and len(path) > _EDGE:
        of = {"fit": path[1]}
        if len(path) > _EDGE + 1:
            of["port" if path[1] == "port_timing" else "groove"] = value_of("", path[2])
        into, left = _item(table, first, of), path[-1:]
    elif first in _NAMED and len(path) > _EDGE:
        into, left = _item(table, first, {_NAMED[first]: ".".join(path[1:-1])}), path[-1:]
    elif first in _SETS and len(path) <= _EDGE:
        # One set of every cylinder, as a family has it; `same_size` has no key of its own.
        into, left = _item(table, first, {}), path[1:]
    if not left:
        if value.lower() != "yes":
            raise _error(book, FAMILIES, number, f"{first} is yes, or has no row", value)
        return
    for name in left[:-1]:
        into = into.setdefault(name, {})
        if not isinstance(into, dict):
            raise _error(book, FAMILIES, number, "this key stands within another", ".".join(path))
    own = left[-1]
    if own in into:
        raise _error(book, FAMILIES, number, "this key is there twice", ".".join(path))
    into[own] = value_of(own, value)


def _item(table: dict[str, Any], key: str, of: dict[str, Any]) -> dict[str, Any]:
    """Return the section of a repeated key that is of a fit, a port or a place; a new one."""
    items: list[dict[str, Any]] = table.setdefault(key, [])
    names = ("fit", "groove", "port") if key == "window" else (_NAMED.get(key, ""),)
    for item in items:
        if all(item.get(name) == of.get(name) for name in names):
            return item
    items.append(dict(of))
    return items[-1]


def value_of(key: str, text: str) -> Any:
    """Return a cell as a TOML file would hold it: a number, yes or no, a list, else a text."""
    if key in _TEXTS:
        return text
    if key in _LISTS:
        return [value_of("", part.strip()) for part in text.split(";") if part.strip()]
    if _NUMBER.fullmatch(text):
        return Decimal(text) if "." in text else int(text)
    return _FLAGS.get(text.lower(), text)


def _rows(book: Workbook, name: str) -> list[tuple[int, tuple[str, ...]]]:
    """Return the rows of a sheet below its titles, as many cells in each as there are titles."""
    if name not in book.sheets:
        raise InputError(
            f"the workbook has no sheet '{name}'",
            file=str(book),
            found=shown(", ".join(book.sheets)),
            allowed=f"a sheet '{name}' with the columns {' and '.join(_TITLES[name])}",
        )
    titles = _TITLES[name]
    rows = [(n, tuple(cell.strip() for cell in cells)) for n, cells in book.sheets[name].rows]
    if not rows or rows[0][1] != titles:
        found = ", ".join(rows[0][1]) if rows else ""
        raise InputError(
            "the sheet has other columns",
            file=_file(book, name),
            row=rows[0][0] if rows else 1,
            found=shown(found),
            allowed=", ".join(titles),
        )
    for number, cells in rows[1:]:
        if len(cells) != len(titles):
            raise _error(book, name, number, "this row has not one cell for each column", cells[0])
    return rows[1:]


def _file(book: Workbook, name: str) -> str:
    return f"{book}, sheet '{name}'"


def _error(book: Workbook, name: str, row: int, message: str, found: str) -> InputError:
    return InputError(message, file=_file(book, name), row=row, found=shown(found))
