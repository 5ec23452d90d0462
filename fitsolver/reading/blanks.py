"""Windows of a job file that are not filled in yet: an edge that is an empty text is a blank."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from copy import copy
from typing import Any, Final, NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.reading.owned import Owned
from fitsolver.records.windows import SHEETS, place_words

_FIGURES: Final = ("low", "high", "service_low", "service_high", "guard", "aim")
_ONE: Final = "this window is not filled in yet:"
_MANY: Final = "these windows are not filled in yet:"
_OTHER_SHEET: Final = "the engine's workshop manual, or the part maker's sheet"


class Blank(NamedTuple):
    """A window with empty figures: its place, its fit, the empty figures."""

    place: str
    name: str
    fields: tuple[str, ...]
    sheet: str


def blanks(data: Mapping[str, Any]) -> tuple[Blank, ...]:
    """Return the windows of a job and of its cylinders that have empty figures."""
    found = list(_blanks(data, ""))
    for number, cylinder in enumerate(_tables(data, "cylinder"), start=1):
        found += _blanks(cylinder, f"cylinder '{cylinder.get('name', number)}', ")
    return tuple(found)


def refuse_blanks(data: Mapping[str, Any], file: str) -> None:
    """Raise InputError that lists every empty figure of every window of a job file's content."""
    found = blanks(data)
    if not found:
        return
    lines = [f"  {b.place}, {b.name}: {' and '.join(b.fields)}; see {b.sheet}" for b in found]
    raise InputError(
        "\n".join([_ONE if len(found) == 1 else _MANY, *lines])
        + "\nType the figures in. A side that the sheet does not give: take its line out. A fit "
        "that is not to be asked: take its window out and name it in no_window.",
        file=file,
        field="window",
    )


def without_blanks(data: dict[str, Any]) -> dict[str, Any]:
    """Return the content of a job file without the windows that have empty figures."""
    new = copy(_without(data))
    if isinstance(cylinders := data.get("cylinder"), list):
        new["cylinder"] = [_without(c) if isinstance(c, dict) else c for c in cylinders]
    return new


def _without(table: dict[str, Any]) -> dict[str, Any]:
    if not isinstance(windows := table.get("window"), list):
        return table
    new = copy(table)  # an `Owned` keeps its sources
    new["window"] = [item for item in windows if not _empty(item)]
    return new


def _blanks(table: Mapping[str, Any], place: str) -> Iterator[Blank]:
    for number, window in enumerate(_tables(table, "window"), start=1):
        if not (fields := _empty(window)):
            continue
        fit = str(window.get("fit", ""))
        at = f"{place}[[window]] {number}"
        if isinstance(window, Owned) and window.source is not None:
            at = f"[[window]] {window.number}"
            if window.source.owner != "job":
                at = f"{window.source.file}, {at}"
        yield Blank(
            place=at,
            name=place_words(fit, window.get("groove")),
            fields=fields,
            sheet=SHEETS.get(fit, _OTHER_SHEET),
        )


def _empty(window: Any) -> tuple[str, ...]:
    if not isinstance(window, Mapping):
        return ()
    return tuple(key for key in _FIGURES if window.get(key) == "")


def _tables(data: Mapping[str, Any], key: str) -> list[Mapping[str, Any]]:
    found = data.get(key)
    return [item for item in found if isinstance(item, Mapping)] if isinstance(found, list) else []
