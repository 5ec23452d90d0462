"""The edges of windows and sizes that give way: how far, in which steps, and in words."""

from __future__ import annotations

from decimal import Decimal
from typing import Final, Literal

from fitsolver.base.lengths import RATIO, Side, format_length, typed
from fitsolver.records.base import THOUSANDTHS, FitName
from fitsolver.records.floors import FLOORS
from fitsolver.records.why import Measure
from fitsolver.records.windows import Window, place_words
from fitsolver.solving.problem import Problem

#: A window or limit moved by more than this (ticks: 1 mm) is not looked for.
MOST_MOVED: Final = 100_000
#: Nor one on degrees of crank (20) or on the compression ratio (20), in thousandths.
_MOST_THOUSANDTHS: Final = 20_000
#: Decimals that a suggested edge per unit of bore is told in: 0.1 um in a bore of 100 mm.
_OF_BORE_PLACES: Final = 6
#: Steps in which parts are made and ground to order (ticks: 0.05, 0.01 and 0.001 mm; 0.005,
#: 0.001 and 0.0001 in), the commonest first; common practice, no source.
_STEPS: Final = {"mm": (5_000, 1_000, 100), "in": (12_700, 2_540, 254)}
Edge = Literal["low", "high"]
#: The edges that ask for a smaller ring.
ASK_SMALLER_RING: Final[dict[FitName, Edge]] = {"end_gap": "low", "ring_seat": "high"}


def room(fit: FitName, low: int, most: int) -> int:
    """Return how far a lowest edge may be moved down, `most` at the most.

    The physical limit stops it; a clearance already stated below zero does not move. An edge per
    unit of bore is rounded up: any share above zero counts as one tick.
    """
    floor = FLOORS.get(fit)
    if floor is None or most < 0:  # upwards there is no floor
        return most
    return max(0, min(most, low - floor))


def edge_name(window: Window, edge: Edge) -> str:
    """Return which edge of which window it is."""
    return f"{'lowest' if edge == 'low' else 'highest'} {fit_words(window)}"


def moved_words(single: Problem, window: Window, edge: Edge, by: int) -> str:
    """Return an edge moved outwards, beside what it is now."""
    stated = getattr(window, edge)
    return (
        f"the {edge_name(window, edge)} {moved_edge(stated, window, edge, by, single)} instead of "
        f"{edge_words(stated, window, single)}"
    )


def moved_edge(stated: int, window: Window, edge: Edge, by: int, single: Problem) -> str:
    """Return an edge moved outwards and rounded outwards to typeable decimals, so that it opens."""
    side: Side
    moved, side = (stated - by, "down") if edge == "low" else (stated + by, "up")
    if window.fit in THOUSANDTHS:
        return edge_words(moved, window, single)
    if window.per_bore:
        step = RATIO // 10**_OF_BORE_PLACES
        steps = moved // step if edge == "low" else -(-moved // step)
        return edge_words(steps * step, window, single)
    return format_length(moved, single.job.unit, side, symbol=True)


def farthest(window: Window, edge: Edge, bore: int) -> tuple[Measure, int]:
    """Return the unit of an edge, and the farthest that this edge is moved."""
    measure, most = reach(window, bore)
    if edge == "low":
        most = room(window.fit, getattr(window, edge), most)
    return measure, most


def reach(window: Window, bore: int) -> tuple[Measure, int]:
    """Return the unit of an edge, and the farthest that it is moved."""
    if window.fit in THOUSANDTHS:
        return "thousandths", _MOST_THOUSANDTHS
    if window.per_bore:
        return "parts in 10^9", MOST_MOVED * RATIO // bore
    return "ticks", MOST_MOVED


def edge_words(value: int, window: Window, single: Problem) -> str:
    """Return the edge of a window as it is stated."""
    if window.fit in THOUSANDTHS:
        return f"{Decimal(value).scaleb(-3):f}" + ("°" if window.fit == "port_timing" else "")
    if window.per_bore:
        return f"{Decimal(value).scaleb(-9).normalize():f} of the bore"
    return exact(value, single)


def exact(ticks: int, single: Problem) -> str:
    """Return a length with all its decimals, so that it reads back exactly."""
    return typed(ticks, single.job.unit)


def order_steps(single: Problem) -> tuple[int, ...]:
    """Return the steps (ticks) in which sizes are ordered in the unit of a job."""
    return _STEPS["in" if single.job.unit in ("in", "thou") else "mm"]


def fit_words(window: Window) -> str:
    """Return what a window is on."""
    words = place_words(window.fit)
    if window.port is not None:
        return f"{words} of {window.port}"
    if window.part:
        words = f"{words} that its maker states ({window.source})"
    return f"{words} of groove {window.groove}" if window.groove else words
