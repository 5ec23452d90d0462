"""Windows that the makers of parts state for them: the table `windows` of a catalogue."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Final, NamedTuple, TypeVar

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import parse_ratio
from fitsolver.reading.catalogue_row import Row
from fitsolver.reading.hints import shown, unknown
from fitsolver.reading.tied_windows import TIMES, multiplied, plain, times
from fitsolver.records.base import FitName
from fitsolver.records.catalogue import Piston, Ring, StatedWindow
from fitsolver.records.windows import Window

#: Fits that a part's maker may state a window for, and the parts that they are of.
_OF: Final[dict[FitName, type[Piston] | type[Ring]]] = {"clearance": Piston, "end_gap": Ring}
_EDGES: Final = ("low", "high", "service_low", "service_high")
_FEW: Final = 12  # more names than these would hide the message

Part = TypeVar("Part", Piston, Ring)


class Place(NamedTuple):
    """The subject of a window: a part, a fit, a groove and a use."""

    number: str
    fit: FitName
    groove: int | None
    use: str


class _Read(NamedTuple):
    row: Row
    places: tuple[Place, ...]
    window: Window


def stated_windows(
    rows: Sequence[Row],
    parts: Mapping[str, Piston | Ring],
    others: Iterable[str],
    now: Mapping[str, str],
) -> tuple[tuple[StatedWindow, ...], dict[str, tuple[str, ...]]]:
    """Return the windows of a table, each different one once, and by part number their names.

    `parts` are the pistons and rings of the family; rows that are all of `others` (parts of other
    families) are left out; `now` has what stands for old numbers. Raises InputError with file, row,
    column, what was found and what is allowed.
    """
    others = frozenset(others)
    known: dict[Place, Window] = {}
    read: list[_Read] = []
    for row in rows:
        one = _read(row, parts, others, now)
        for place in one.places:
            if place in known:
                raise row.error(
                    "number",
                    f"two windows of {place.number} are for one fit, groove and use",
                    "one of them",
                )
            known[place] = one.window
        if one.places:
            read.append(one)
    stating = {place: one.window for one in read if not one.row.text("of") for place in one.places}
    found: dict[tuple[Window, str], StatedWindow] = {}
    names: dict[str, list[str]] = defaultdict(list)
    for one in read:
        window = _tied(one, stating, parts, now) if one.row.text("of") else one.window
        key = window.model_copy(update={"stands": ""}), one.places[0].use
        if key not in found:
            named = window.model_copy(update={"part": str(len(found) + 1)})
            found[key] = StatedWindow(window=named, use=key[1])
        for place in one.places:
            names[place.number].append(found[key].window.part)
    return tuple(found.values()), {number: tuple(each) for number, each in names.items()}


def with_names(parts: tuple[Part, ...], names: Mapping[str, tuple[str, ...]]) -> tuple[Part, ...]:
    """Return the parts, each with the names of the windows that its maker states."""
    if not names:
        return parts
    return tuple(
        part.model_copy(update={"stated": names[part.number]}) if part.number in names else part
        for part in parts
    )


def _read(
    row: Row,
    parts: Mapping[str, Piston | Ring],
    others: frozenset[str],
    now: Mapping[str, str],
) -> _Read:
    fit = row.choice("fit", tuple(_OF))
    groove = row.count("groove")
    if groove is not None and (fit == "clearance" or groove == 0):
        raise row.error("groove", "this is no groove of a ring", "from 1, with end_gap; or empty")
    listed = tuple(dict.fromkeys(n.strip() for n in row.word("number").split(";") if n.strip()))
    held = [now.get(number, number) for number in listed if number not in others]
    numbers = list(dict.fromkeys(held))
    for number in numbers:
        _check_part(row, parts, number, fit, groove)
    use = row.text("use")
    places = tuple(Place(number, fit, groove, use) for number in numbers)
    return _Read(row, places, _window(row, fit, groove))


def _check_part(
    row: Row, parts: Mapping[str, Piston | Ring], number: str, fit: FitName, groove: int | None
) -> None:
    what = _OF[fit].__name__.lower()
    part = parts.get(number)
    if not isinstance(part, _OF[fit]):
        fitting = [other for other, one in parts.items() if isinstance(one, _OF[fit])]
        raise unknown_part(row, "number", number, fitting, what)
    if isinstance(part, Ring) and groove is not None and groove not in part.grooves:
        raise row.error(
            "groove", f"ring {number} is not for this groove", " ".join(map(str, part.grooves))
        )


def unknown_part(row: Row, field: str, number: str, known: Iterable[str], what: str) -> InputError:
    """Return the refusal of a number that no part has, with the nearest ones."""
    names = sorted(known)
    file = row.table.file
    error = unknown(what, number, names, file=file, row=row.number, field=field)
    if len(names) <= _FEW:
        return error
    return row.error(field, error.message, f"a {what} of the catalogue", shown(number))


def _window(row: Row, fit: FitName, groove: int | None) -> Window:
    per_bore = row.text("per_bore") != "" and row.choice("per_bore", ("yes", "no")) == "yes"
    edges = {name: _edge(row, name, per_bore=per_bore) for name in _EDGES}
    tied = row.text("of") != ""
    if tied != (row.text("times") != ""):
        raise row.error("times", "a tied window has both a part and a factor", "of with times")
    if tied and (per_bore or any(edge is not None for edge in edges.values())):
        raise row.error("of", "this window is tied to another and has edges too", "one of the two")
    if not tied and all(edge is None for edge in edges.values()):
        raise row.error("low", "a window needs a lowest or a highest value", "low, high or both")
    for low, high in (("low", "high"), ("service_low", "service_high")):
        lowest = edges["low"] if edges[low] is None else edges[low]
        highest = edges["high"] if edges[high] is None else edges[high]
        if lowest is not None and highest is not None and lowest > highest:
            raise row.error(
                low, "the window's lowest value is above its highest", f"{low} up to {high}"
            )
    return Window(
        fit=fit,
        groove=groove,
        per_bore=per_bore,
        guard=row.length("guard") or 0,
        source=row.word("source"),
        owner="part",
        stands=f"{row.table.file}, row {row.number}",
        **({"low": 0} if tied else edges),
    )


def _edge(row: Row, name: str, *, per_bore: bool) -> int | None:
    if not per_bore:
        return row.signed(name)
    return row.parsed(name, parse_ratio, "a length per unit of bore, as 0.0012")


def _tied(
    one: _Read,
    stating: Mapping[Place, Window],
    parts: Mapping[str, Piston | Ring],
    now: Mapping[str, str],
) -> Window:
    """Return a window as many times as large as that of another part for the same use."""
    row, window, use = one.row, one.window, one.places[0].use
    number = now.get(row.text("of"), row.text("of"))
    if number not in parts:
        raise unknown_part(row, "of", number, parts, "part")
    factor = row.parsed("times", times, TIMES)
    assert factor is not None  # `_window` has refused a factor that is not there
    found = [
        held
        for wanted in dict.fromkeys((use, ""))
        for place, held in stating.items()
        if (place.number, place.fit, place.use) == (number, window.fit, wanted)
    ]
    if not found:
        raise row.error(
            "of",
            "this part has no window of its own for this fit and use",
            "a part whose row states its edges",
        )
    of = multiplied(found[0], factor)
    return of.model_copy(
        update={
            "groove": window.groove,
            "guard": window.guard if row.text("guard") else of.guard,
            "source": f"{window.source} ({plain(factor)} x {number})",
            "stands": window.stands,
        }
    )
