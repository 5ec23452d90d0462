"""Every piston with every set of rings, as the figures that decide the fit in a bore.

With C, the least local size at which a machined bore is clean, a combination comes to `L = max(C,
low)` and `H = max(C, high) + 2h`, and fits while `C <= top`. A bore left as it is fits where `low
<= D_min`, `D_max <= top` and `D_max - D_min <= spread`. So four numbers hold every rule. The
arithmetic of the solver's options computes them once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from typing import NamedTuple

import numpy as np

from fitsolver.choices.demands import OF_THE_BORE
from fitsolver.choices.options import make_option
from fitsolver.choices.parts import RingClass, Shelf
from fitsolver.choices.ring_options import offered, ring_option
from fitsolver.choices.types import (
    NO_BOUND,
    Bound,
    CylinderChoices,
    Option,
    RingOption,
    RouteChoice,
)
from fitsolver.fits.end_gap import PI
from fitsolver.reading.columns import Ints
from fitsolver.screening.pattern import Pattern, had

RingSets = list[tuple[tuple["RingFigures", ...], list[list[str]]]]
#: Numbers of pistons alike, and of the rings alike in each of their grooves.
Parts = tuple[list[str], list[list[str]]]


class RingFigures(NamedTuple):
    """The deciding figures of a ring in a groove: bounds, spread, filing (ticks)."""

    floor: int
    ceiling: int
    spread: int
    short: int
    gauge: int


@dataclass(frozen=True)
class Combinations:
    """Combinations of one route, one a row. `short` and `gauge` have a column for each groove.

    A ring is filed `max(0, short - floor(pi (L - gauge)))`. `parts` names the interchangeable parts
    of a row: the pistons, and for each groove in order the rings.
    """

    low: Ints
    high: Ints
    top: Ints
    spread: Ints
    short: Ints
    gauge: Ints
    parts: list[list[Parts]]

    def filing(self, rows: Ints, low: Ints) -> Ints:
        """Return the filing (ticks) of combinations, each at its own smallest local size."""
        total = np.zeros(low.shape, np.int64)
        for groove in range(self.short.shape[1]):
            grown = PI.numerator * (low - self.gauge[rows, groove]) // PI.denominator
            total += np.maximum(0, self.short[rows, groove] - grown)
        return total

    @property
    def unfiled(self) -> Ints:
        """The smallest local size (ticks) at which a combination needs no filing."""
        past = -(-self.short * PI.denominator // PI.numerator) + 1
        # Also where nothing is short at the gauge diameter: in a smaller bore the gap is tighter.
        size: Ints = np.max(self.gauge + past, axis=1, initial=0)
        return size


def combinations(
    pattern: Pattern, state: CylinderChoices, parts: Shelf, route: RouteChoice
) -> Combinations:
    """Return all combinations that fit some bore on a route, equal figures merged."""
    can_be_had = had(pattern.catalogue)
    alike: dict[tuple[object, ...], list[str]] = {}
    options: dict[tuple[object, ...], Option] = {}
    for piston in state.pistons:
        number = piston.candidate.part.number
        if not piston.refusals and number in can_be_had:
            option = make_option(state, piston, route)
            kind: tuple[object, ...] = (*_own(option), piston.ring_class)
            options[kind] = option
            alike.setdefault(kind, []).append(number)
    rings: dict[RingClass, RingSets] = {}
    rows: dict[tuple[int, ...], list[Parts]] = {}
    for kind, option in options.items():
        ring_class = option.piston.ring_class
        if ring_class not in rings:
            rings[ring_class] = list(_ring_sets(state, parts, ring_class, can_be_had))
        for chosen, numbers in rings[ring_class]:
            figures = _figures(option, chosen)
            if figures is not None:
                filed = sorted((ring.short, ring.gauge) for ring in chosen)
                row = (*figures, *(x for pair in filed for x in pair))
                rows.setdefault(row, []).append((alike[kind], numbers))
    return _table(rows, max((len(c.grooves) for c in rings), default=0))


def _table(rows: dict[tuple[int, ...], list[Parts]], grooves: int) -> Combinations:
    order = sorted(rows, key=lambda row: (len(row), row))
    idle = [0, 0] * grooves
    full = [[*row, *idle][: 4 + 2 * grooves] for row in order]  # a groove not there is never filed
    table = np.array(full, np.int64).reshape(len(order), 4 + 2 * grooves)
    low, high, top, spread = np.ascontiguousarray(table[:, :4].T)
    named = [rows[row] for row in order]
    return Combinations(low, high, top, spread, table[:, 4::2], table[:, 5::2], named)


def _own(option: Option) -> tuple[int, int, int, int]:
    """Return the piston's bounds: least L, least H - 2h, most L, most H (ticks)."""
    spread = option.route.spread if option.machined else 0

    def values(bounds: tuple[Bound, ...]) -> Iterator[int]:
        return (value for rule, value in bounds if rule not in OF_THE_BORE)

    low = max(values(option.least_low), default=0)
    high = max(values(option.least_high), default=0) - spread
    most_low = min(values(option.most_low), default=NO_BOUND)
    most_high = min(values(option.most_high), default=NO_BOUND)
    return low, max(low, high), most_low, most_high


def _figures(option: Option, rings: tuple[RingFigures, ...]) -> tuple[int, int, int, int] | None:
    low, high, most_low, most_high = _own(option)
    floor = max((ring.floor for ring in rings), default=0)
    ceiling = min((ring.ceiling for ring in rings), default=NO_BOUND)
    spread = min((ring.spread for ring in rings), default=NO_BOUND)
    low, high, most_high = max(low, floor), max(high, floor), min(most_high, ceiling)
    if not option.machined:
        return (low, low, most_high, spread) if low <= most_high else None
    within = most_high - option.route.spread
    most_low = min(most_low, within)
    if low > most_low or high > within or spread < option.route.spread:
        return None
    return low, high, most_low, spread


def _ring_sets(
    state: CylinderChoices, parts: Shelf, ring_class: RingClass, can_be_had: frozenset[str]
) -> Iterator[tuple[tuple[RingFigures, ...], list[list[str]]]]:
    """Yield every set of rings for a class with their numbers, equal figures merged."""
    by_groove = []
    for groove in sorted(ring_class.grooves, key=lambda groove: groove.number):
        alike: dict[RingFigures, list[str]] = {}
        for candidate in offered(state, parts.rings, groove.number):
            if candidate.part.number in can_be_had:
                option = ring_option(state, ring_class, groove, candidate)
                if not option.refusals:
                    alike.setdefault(_ring_figures(option), []).append(candidate.part.number)
        by_groove.append(list(alike.items()))
    for chosen in product(*by_groove):
        rings = tuple(figures for figures, _ in chosen)
        if not rings or max(r.floor for r in rings) <= min(r.ceiling for r in rings):
            yield rings, [numbers for _, numbers in chosen]


def _ring_figures(ring: RingOption) -> RingFigures:
    return RingFigures(
        floor=max(ring.floor_low, ring.reach_low, 0),
        ceiling=min(ring.ceiling_high, ring.reach_high),
        spread=ring.widest_spread,
        short=0 if ring.bottom is None else ring.bottom - ring.candidate.gap.low,
        gauge=0 if ring.bottom is None else ring.candidate.gauge_diameter,
    )
