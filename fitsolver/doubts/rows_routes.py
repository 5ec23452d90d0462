"""Routes with cuts, half-widths or materials unusual for their kind of work.

All bounds are common practice, no source (docs/doubts.md lists them).
"""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches
from typing import Final, NamedTuple

from fitsolver.base.lengths import TICKS_PER
from fitsolver.doubts.finding import Finding, Show, shower
from fitsolver.doubts.sisters import FEWEST
from fitsolver.metrology.materials import BORE_MATERIALS, is_known
from fitsolver.records.catalogue import Catalogue, Route, RouteKind

_UM: Final = TICKS_PER["um"]


class Usual(NamedTuple):
    """Least and most of the smallest cut, and of the largest (ticks on diameter)."""

    min_cut: tuple[int, int]
    max_cut: tuple[int, int]


#: For bores up to 80 mm; for larger ones the upper bounds grow with the bore.
USUAL: Final[dict[RouteKind, Usual]] = {
    "glaze-break": Usual((0, 10 * _UM), (3 * _UM, 40 * _UM)),
    "finish hone": Usual((0, 40 * _UM), (20 * _UM, 150 * _UM)),
    "rough and finish hone": Usual((0, 100 * _UM), (150 * _UM, 450 * _UM)),
    "bore and hone": Usual((20 * _UM, 250 * _UM), (200 * _UM, 10_000 * _UM)),
    "restore": Usual((0, 250 * _UM), (20 * _UM, 550 * _UM)),
}
_BORE: Final = 80 * TICKS_PER["mm"]
#: A route holds its finish size within 0.5 to 30 µm; four times, or a quarter of, what the
#: shop's other routes hold is out of line.
HALF_LEAST, HALF_MOST, HALF_TIMES = 50, 3_000, 4
#: A restored bore lies below the standard bore by at most bore / 250, and its largest cut is at
#: most eight times that step.
RESTORED_MOST: Final = 250
RESTORED_CUT: Final = 8
#: A word this similar to a material's name counts as that name, mistyped.
_NEAR: Final = 0.8


def routes(catalogue: Catalogue) -> Iterator[Finding]:
    """Yield what is out of line in the rows of the routes' table."""
    show = shower(catalogue.unit)
    machined = [route for route in catalogue.routes if route.machined]
    halves = sorted(route.half_width for route in machined)
    for route in machined:
        yield from _cuts(route, max(catalogue.standard_bore, _BORE), show)
        yield from _half_width(route, halves, show)
        yield from _materials(route)
        if route.restored_bore is not None:
            yield from _restored(route, route.restored_bore, catalogue, show)


def _found(route: Route, field: str, sentence: str) -> Finding:
    return Finding("routes", route.name, field, sentence)


def _cuts(route: Route, bore: int, show: Show) -> Iterator[Finding]:
    usual = USUAL.get(route.kind)
    if usual is None:
        return
    for field, cut, (least, highest) in (
        ("min_cut", route.min_cut, usual.min_cut),
        ("max_cut", route.max_cut, usual.max_cut),
    ):
        most = highest * bore // _BORE // _UM * _UM  # in figures that a shop reads
        uncut = field == "max_cut" and comes_finished(route)
        if cut is not None and not uncut and not least <= cut <= most:
            text = f"{show(cut)}; {show(least)} to {show(most)} is expected of '{route.kind}'"
            yield _found(route, field, text)


def comes_finished(route: Route) -> bool:
    """Tell whether a restored bore needs no cut: a liner of which the maker holds the bore."""
    return route.kind == "restore" and not route.min_cut and route.max_cut == route.half_width


def _half_width(route: Route, halves: list[int], show: Show) -> Iterator[Finding]:
    own = route.half_width
    said = f"{show(own)}"
    if own and not HALF_LEAST <= own <= HALF_MOST:
        text = f"{said}; {show(HALF_LEAST)} to {show(HALF_MOST)} is expected"
        yield _found(route, "half_width", text)
    elif own and len(halves) > FEWEST:
        least = halves[1] if own == halves[0] else halves[0]
        most = halves[-2] if own == halves[-1] else halves[-1]
        if own * HALF_TIMES <= least or own >= HALF_TIMES * most:
            text = f"{said}; {show(least)} to {show(most)} is expected, as with the other routes"
            yield _found(route, "half_width", text)


def _materials(route: Route) -> Iterator[Finding]:
    for word in route.materials:
        if word.lower() in BORE_MATERIALS or is_known(word):
            continue
        for meant in get_close_matches(word.lower(), BORE_MATERIALS, n=1, cutoff=_NEAR):
            yield _found(route, "materials", f"'{word}'; '{meant}' is expected")


def _restored(route: Route, base: int, catalogue: Catalogue, show: Show) -> Iterator[Finding]:
    standard = catalogue.standard_bore
    if base > standard or (standard - base) * RESTORED_MOST > standard:
        text = f"{show(base)}; below the standard bore of {show(standard)} by at most bore / "
        yield _found(route, "restored_bore", f"{text}{RESTORED_MOST} is expected")
    elif base < standard and (cut := route.max_cut or 0) > RESTORED_CUT * (standard - base):
        text = f"{show(cut)} from {show(base)}; at most {RESTORED_CUT} times the step "
        yield _found(route, "max_cut", f"{text}below the standard bore is expected")
