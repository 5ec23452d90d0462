"""Rows of a catalogue's tables to pistons, rings, gaskets, kits and routes."""

from __future__ import annotations

import re
from collections.abc import Collection
from functools import lru_cache
from typing import Final, get_args

from fitsolver.reading.catalogue_row import Row, shared_range
from fitsolver.reading.hints import shown, unknown
from fitsolver.records.base import Range
from fitsolver.records.catalogue import (
    Gasket,
    Groove,
    Kit,
    KitItem,
    Piston,
    Ring,
    Route,
    RouteKind,
)

ROUTE_KINDS: Final[tuple[RouteKind, ...]] = get_args(RouteKind)
_ITEM: Final = re.compile(r"(\S(?:.*\S)?)\s+[x×]\s*(\d{1,4})|(\S(?:.*\S)?)")
_SKIRT: Final = ("skirt_low", "skirt_high")
_FOR_BORE: Final = ("for_bore", "for_clearance_low", "for_clearance_high")
_MOST_GROOVES: Final = 9


def piston(row: Row, standard_bore: int, numbers: dict[str, str]) -> Piston:
    """Return a piston; its nominal bore is the standard bore plus its oversize."""
    sold = row.sold(numbers)
    oversize = row.must("oversize", above_zero=False)
    mass = row.mass("mass_g")
    if mass == 0:
        raise row.error("mass_g", "a mass must be above zero", "above 0, or empty")
    return Piston(
        **sold,
        oversize=oversize,
        nominal_bore=standard_bore + oversize,
        skirt=_skirt(row),
        grade=row.text("grade"),
        gauge_height=row.length("gauge_height"),
        pin_diameter=row.length("pin_diameter", above_zero=True),
        compression_height=_height(row),
        grooves=_grooves(row),
        mass=mass,
        mass_tolerance=row.mass("mass_tolerance_g") or 0,
        alloy=row.text("alloy"),
    )


def _skirt(row: Row) -> Range:
    """Return the skirt size as given, or as the bore it is made for less its clearance."""
    direct = any(row.text(field) for field in _SKIRT)
    if not any(row.text(field) for field in _FOR_BORE):
        return row.span(*_SKIRT)
    if direct:
        raise row.error(
            "skirt_low",
            "the skirt size is given twice",
            "skirt_low and skirt_high, or for_bore with its clearances",
        )
    bore = row.must("for_bore")
    least, most = row.signed("for_clearance_low"), row.signed("for_clearance_high")
    if least is None or most is None:
        field = _FOR_BORE[1] if least is None else _FOR_BORE[2]
        raise row.error(field, "this cell is empty", "the clearance that goes with for_bore")
    if least > most:
        raise row.error(
            _FOR_BORE[1],
            "the lowest value is above the highest",
            f"{_FOR_BORE[1]} up to {_FOR_BORE[2]}",
            f"{row.text(_FOR_BORE[1])} and {row.text(_FOR_BORE[2])}",
        )
    if most >= bore:
        raise row.error(_FOR_BORE[2], "the clearance leaves no piston", "below for_bore")
    return shared_range(bore - most, bore - least)


def _height(row: Row) -> Range | None:
    height = row.length("compression_height", above_zero=True)
    tolerance = row.length("compression_height_tolerance") or 0
    if height is None:
        if tolerance:
            raise row.error(
                "compression_height",
                "this cell is empty",
                "the height that the tolerance belongs to",
            )
        return None
    return shared_range(height - tolerance, height + tolerance)


@lru_cache(maxsize=1 << 10)
def _groove(number: int, width: Range, depth: int | None) -> Groove:
    return Groove(number=number, width=width, depth=depth)


def _grooves(row: Row) -> tuple[Groove, ...]:
    """Return the grooves from the crown down, without a gap in their numbers."""
    grooves: list[Groove] = []
    for number in range(1, _MOST_GROOVES + 1):
        low, high = f"groove{number}_low", f"groove{number}_high"
        depth = row.length(f"groove{number}_depth", above_zero=True)
        if row.text(low) or row.text(high):
            if len(grooves) < number - 1:
                raise row.error(
                    f"groove{number - 1}_low",
                    "this cell is empty",
                    "grooves counted from the crown without a gap",
                )
            grooves.append(_groove(number, row.span(low, high), depth))
        elif depth is not None:
            raise row.error(low, "this cell is empty", "the width of this groove")
    return tuple(grooves)


def ring(row: Row, numbers: dict[str, str]) -> Ring:
    """Return a ring; an empty file_most means that it must not be filed."""
    sold = row.sold(numbers)
    return Ring(
        **sold,
        grooves=_groove_numbers(row),
        gauge_diameter=row.must("gauge_diameter"),
        gap=row.span("gap_low", "gap_high", above_zero=False),
        width=row.span("width_low", "width_high"),
        radial_depth=row.length("radial_depth", above_zero=True),
        file_most=row.length("file_most") or 0,
        seat_over=row.length("seat_over"),
        alloy=row.text("alloy"),
    )


def _groove_numbers(row: Row) -> tuple[int, ...]:
    words = re.split(r"[\s;,/]+", row.word("grooves"))
    if not set(words) <= set("123456789") or len(set(words)) < len(words):
        raise row.error(
            "grooves",
            "these are no groove numbers",
            'numbers from 1 (the top groove), as "1" or "1 2"',
        )
    return tuple(int(word) for word in words)


def gasket(row: Row, numbers: dict[str, str]) -> Gasket:
    """Return a gasket; compressed = thickness - crush, with the tolerance on both sides."""
    sold = row.sold(numbers)
    thickness, crush = row.must("thickness"), row.length("crush") or 0
    tolerance = row.length("tolerance") or 0
    if crush + tolerance >= thickness:
        raise row.error(
            "crush",
            "crush and tolerance leave nothing of the thickness",
            "less than the thickness together",
        )
    compressed = shared_range(thickness - crush - tolerance, thickness - crush + tolerance)
    return Gasket(
        **sold, place=row.word("place"), thickness=thickness, crush=crush, compressed=compressed
    )


def kit(row: Row, numbers: dict[str, str], parts: Collection[str]) -> Kit:
    """Return a kit of known pistons, rings and gaskets (not of kits)."""
    sold = row.sold(numbers)
    items: list[KitItem] = []
    for text in filter(None, (part.strip() for part in row.word("contents").split(";"))):
        match = _ITEM.fullmatch(text)
        if match is None:
            raise row.error("contents", "this is no part with its count", '"PP-1 x1; RR-2 x2"')
        number, count = match[1] or match[3], int(match[2] or 1)
        if number not in parts:
            raise unknown(
                "part in a kit",
                number,
                parts if len(parts) <= 12 else (),
                file=row.table.file,
                row=row.number,
                field="contents",
            )
        if count < 1 or any(item.number == number for item in items):
            raise row.error(
                "contents",
                f"'{shown(number)}' is there {'twice' if count else 'no times'}",
                "each part once, x1 or more",
            )
        items.append(KitItem(number=number, count=count))
    if not items:
        raise row.error("contents", "the kit is empty", '"PP-1 x1; RR-2 x2"')
    return Kit(**sold, contents=tuple(items))


def route(row: Row, names: set[str]) -> Route:
    """Return a route of the shop; an empty max_cut means no limit."""
    name = row.word("name")
    if name in names:
        raise row.error("name", "this route is there twice", "each name once")
    names.add(name)
    kind = row.choice("kind", ROUTE_KINDS)
    min_cut, max_cut = row.length("min_cut") or 0, row.length("max_cut")
    if max_cut is not None and min_cut > max_cut:
        raise row.error(
            "min_cut",
            "the smallest cut is above the largest",
            "min_cut up to max_cut",
            f"{row.text('min_cut')} and {row.text('max_cut')}",
        )
    restored = row.length("restored_bore", above_zero=True)
    if (restored is not None) != (kind == "restore"):
        raise row.error(
            "restored_bore",
            "a bore is sleeved or re-plated by a route of kind restore only",
            "the bore that a restore route starts from; empty for other kinds",
        )
    half_width = row.must("half_width", above_zero=False)
    if kind == "as is" and (min_cut or max_cut or half_width):
        raise row.error(
            "kind", "a bore left as it is is not cut", "no cuts and no size held with 'as is'"
        )
    return Route(
        name=name,
        kind=kind,
        min_cut=min_cut,
        max_cut=max_cut,
        half_width=half_width,
        materials=tuple(row.text("materials").split()),
        cost=row.money("cost") or 0,
        days=row.count("days") or 0,
        restored_bore=restored,
    )
