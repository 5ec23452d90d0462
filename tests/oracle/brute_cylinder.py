"""Every complete choice for one cylinder with every finish size worth trying.

Each rule on the bore is a lowest value of `L` (the smallest local size afterwards) or a
highest value of `H` (the largest), as in docs/decision.md.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from typing import NamedTuple

from fitsolver.records.base import LEVELS, RuleId
from fitsolver.records.catalogue import Catalogue, Groove, Route
from fitsolver.records.job import Cylinder, Job

from . import brute_parts as parts
from .brute_parts import Edges, PistonChoice, RingChoice, Setting, Stack
from .brute_rebuilds import Chain, chain_of
from .brute_stack import Ratio, ratio_bounds, timing_holds

#: Forty digits of pi, not the package's fraction: its claim to round alike is tested too.
PI = Fraction("3.141592653589793238462643383279502884197")
FARTHEST = 1_725_032  # a ring made for a bore further off than this (17 mm) is out

MOST = 20_000  # options of a cylinder, or combinations of several cylinders' options

OPEN = Edges(None, None)


class TooManyError(Exception):
    """More to be tried than a test has time for: about a second."""


class Finish(NamedTuple):
    """`low`, `high` bound the local sizes afterwards; `size` counts for displacement."""

    low: int
    high: int
    size: int
    removal: int


@dataclass(frozen=True)
class Option:
    """One complete choice for one cylinder, finish size included.

    `demand` counts the catalogue parts it takes, `pieces` names the pieces in hand.
    """

    piston: PistonChoice
    route: Route
    rings: tuple[RingChoice, ...]
    stacks: tuple[Stack, ...]
    finish: Finish
    filings: tuple[int, ...]
    demand: Counter[str]
    pieces: frozenset[tuple[str, str]]
    key: tuple[object, ...]
    left: int = 0  # the most rebuilds afterwards, where they count

    @property
    def filing(self) -> int:
        return sum(self.filings)

    @property
    def restored(self) -> int:
        return int(self.route.kind == "restore")


@dataclass(frozen=True)
class RingFit:
    """One ring over its bore: what it asks of the local sizes, and how much it is filed."""

    ring: RingChoice
    lowest: tuple[int, ...]
    highest: tuple[int, ...]
    bottom: int | None
    top: int | None

    def takes_spread(self, spread: int) -> bool:
        """Filed to the bottom where the bore is smallest, is the gap within the top elsewhere?"""
        if self.bottom is None or self.top is None:
            return True
        return spread <= over_pi(self.top - self.bottom)

    def filing(self, low: int) -> int:
        """`max(0, ceil(bottom - (G_lo + pi (L - D0))))`."""
        if self.bottom is None:
            return 0
        return max(0, self.bottom - self.ring.gap_low - times_pi(low - self.ring.gap_bore))


def times_pi(length: int) -> int:
    """floor(pi x length)"""
    return length * PI.numerator // PI.denominator


def over_pi(length: int) -> int:
    """floor(length / pi)"""
    return length * PI.denominator // PI.numerator


def options(
    job: Job,
    catalogue: Catalogue,
    cylinder: Cylinder,
    shared: dict[str, Stack],
    without: frozenset[RuleId],
) -> list[Option]:
    """Every option of a cylinder, given the stacks that all cylinders share."""
    setting = Setting(job, catalogue, cylinder, without)
    chain = chain_of(job, catalogue, cylinder) if "rebuilds_left" in job.best else None
    per_place = [
        [shared[place.place]]
        if place.place in shared
        else parts.stacks_of(catalogue, place.place, place.least, place.most)
        for place in job.gaskets
    ]
    all_stacks, routes, found = list(product(*per_place)), parts.routes_of(setting), []
    for piston in parts.piston_choices(setting):
        if not parts.pin_fits(setting, piston):
            continue
        by_ratio: dict[Ratio, list[tuple[Stack, ...]]] = {}
        for stack in all_stacks:
            ratio = ratio_bounds(setting, piston, stack)
            if ratio is None or not timing_holds(setting, piston, stack):
                continue
            if parts.squish_holds(setting, piston, stack):
                by_ratio.setdefault(ratio, []).append(stack)
        grooves = sorted(piston.part.grooves, key=lambda groove: groove.number)
        for rings in product(*(ring_fits(setting, piston, groove) for groove in grooves)):
            taken = [(r.ring.part.number, r.ring.piece) for r in rings if r.ring.piece]
            if len(set(taken)) < len(taken):
                continue  # one piece cannot be in two grooves
            for route, (ratio, stacks) in product(routes, by_ratio.items()):
                for finish in finishes(setting, piston, route, rings, ratio, chain):
                    found += [
                        _option(setting, piston, route, rings, s, finish, chain) for s in stacks
                    ]
                    if len(found) > MOST:
                        raise TooManyError
    return found


def ring_fits(setting: Setting, piston: PistonChoice, groove: Groove) -> list[RingFit]:
    """The rings for one groove with what each asks of the bore."""
    nominal, found = piston.part.nominal_bore, []
    for ring in parts.ring_choices(setting, piston, groove):
        gap = setting.window("end_gap", nominal, groove.number, ring.kept, ring.part) or OPEN
        seat = setting.window("ring_seat", nominal, groove.number, ring.kept) or OPEN
        lowest, highest = [], []
        bottom = None if gap.low is None else max(gap.low, 1)  # its ends never meet
        if "end_gap" not in setting.without:
            opened = 0 if bottom is None else ring.part.file_most
            lowest.append(ring.gap_bore - over_pi(opened - (bottom or 1) + ring.gap_low))
            if gap.high is not None:
                highest.append(ring.gap_bore + over_pi(gap.high - ring.gap_high))
        if "ring_seat" not in setting.without:
            over = (seat.high, ring.part.seat_over)
            lowest += [ring.part.gauge_diameter - most for most in over if most is not None]
            highest += [ring.part.gauge_diameter - seat.low] if seat.low is not None else []
        top = gap.high
        if "end_gap" in setting.without:
            bottom = top = None
        found.append(RingFit(ring, tuple(lowest), tuple(highest), bottom, top))
    return found


@dataclass
class Bounds:
    """What holds for `L` (at least `lowest`) and `H` (at most `highest`), clearance apart."""

    lowest: list[int]
    highest: list[int]
    clearance: Edges
    base: int = 0


def finishes(
    setting: Setting,
    piston: PistonChoice,
    route: Route,
    rings: tuple[RingFit, ...],
    ratio: Ratio,
    chain: Chain | None,
) -> Iterator[Finish]:
    """The finish sizes worth trying with one piston, route and set of rings."""
    bounds = Bounds(
        [low for ring in rings for low in ring.lowest],
        [high for ring in rings for high in ring.highest],
        parts.clearance_of(setting, piston),
    )
    bounds.lowest += [] if ratio.low is None else [ratio.low]
    bounds.highest += [] if ratio.high is None else [ratio.high]
    limit = setting.cylinder.bore_limit
    limit = setting.job.engine.bore_limit if limit is None else limit
    if limit is not None and "bore_limit" not in setting.without:
        bounds.highest.append(limit)
    if route.kind == "as is":
        found = _as_it_is(setting, piston, bounds)
    else:
        _clean_up_and_cut(setting, route, bounds)
        if setting.job.finishing == "set size":
            if "end_gap" not in setting.without:  # a free size may be cut into their reach
                bounds.lowest += [fit.ring.gap_bore - FARTHEST for fit in rings]
            found = _to_size(setting, piston, route.half_width, rings, bounds, chain)
        else:
            found = _to_piston(piston, route.half_width, bounds)
    spread = 2 * route.half_width
    if route.kind == "as is":
        spread = setting.largest - setting.smallest
    if not all(ring.takes_spread(spread) for ring in rings):
        return
    for finish in found:
        ends = product(rings, (finish.low, finish.high))
        near = all(abs(size - fit.ring.gap_bore) <= FARTHEST for fit, size in ends)
        if near or "end_gap" in setting.without:
            yield finish


def _clean_up_and_cut(setting: Setting, route: Route, bounds: Bounds) -> None:
    """Add what `clean_up` and `route_cut` ask of a machined bore, and its base."""
    restored = route.kind == "restore"
    bounds.base = setting.smallest
    if restored:
        assert route.restored_bore is not None
        bounds.base = route.restored_bore
    bounds.lowest.append(bounds.base)  # a cut only takes metal away
    if "clean_up" not in setting.without:
        least = max(route.min_cut, 2 * setting.cylinder.scratch)
        bounds.lowest.append(bounds.base + route.min_cut if restored else setting.largest + least)
    if route.max_cut is not None and "route_cut" not in setting.without:
        bounds.highest.append(bounds.base + route.max_cut + route.half_width)


def _as_it_is(setting: Setting, piston: PistonChoice, bounds: Bounds) -> Iterator[Finish]:
    low, high = setting.smallest, setting.largest
    inside = all(low >= edge for edge in bounds.lowest)
    inside &= all(high <= edge for edge in bounds.highest)
    inside &= parts.inside(low - piston.skirt_high, high - piston.skirt_low, bounds.clearance)
    clean = setting.cylinder.scratch == 0 or "clean_up" in setting.without
    if inside and clean and parts.form_holds(setting, piston):
        finished = setting.cylinder.finished_size
        yield Finish(low, high, high if finished is None else finished, 0)


def _to_piston(piston: PistonChoice, half: int, bounds: Bounds) -> Iterator[Finish]:
    """For the smallest and the largest piston, the smallest finish its lower bounds permit."""
    least, most = bounds.clearance
    for_small = for_large = max(bounds.lowest) + half
    if least is not None:
        for_small = max(piston.skirt_low + least + half, for_small)
        for_large = max(piston.skirt_high + least + half, for_large)
    if most is not None and (
        for_small + half - piston.skirt_low > most or for_large + half - piston.skirt_high > most
    ):
        return
    if all(for_large + half <= edge for edge in bounds.highest):
        yield Finish(for_small - half, for_large + half, for_large, for_large - bounds.base)


def _to_size(
    setting: Setting,
    piston: PistonChoice,
    half: int,
    rings: tuple[RingFit, ...],
    bounds: Bounds,
    chain: Chain | None,
) -> Iterator[Finish]:
    """Finish sizes from the lowest permitted on.

    With everything else chosen, a larger finish is worse in removal, displacement and part
    number and can only be better in filing and in rebuilds left. So only the lowest is worth
    trying where total removal or part number counts before these, and no more once nothing is
    left to file and no rebuild to win; and where filing does not count before them, only one
    with more rebuilds left than all below it.
    """
    least, most = bounds.clearance
    lowest, highest = list(bounds.lowest), list(bounds.highest)
    if least is not None:
        lowest.append(piston.skirt_high + least)
    if most is not None:
        highest.append(piston.skirt_low + most)
    finish, best = max(lowest) + half, -1
    filed = counts_first(setting.job, "filing")
    if chain is not None and not counts_first(setting.job, "rebuilds_left"):
        chain = None
    while all(finish + half <= edge for edge in highest):
        left = 0 if chain is None else chain.left(finish - half, finish + half)
        if filed or left > best:
            yield Finish(finish - half, finish + half, finish, finish - bounds.base)
        best = max(best, left)
        to_file = filed and any(r.filing(finish - half) for r in rings)
        if not to_file and (chain is None or best == chain.most):
            return
        finish += 1


def counts_first(job: Job, level: str) -> bool:
    """Does a level count before both total removal and part number?"""
    order = order_of(job)
    return order.index(level) < min(order.index("total_removal"), order.index("part_number"))


def order_of(job: Job) -> list[str]:
    """The levels the job names, then those it leaves out."""
    return [*job.best, *(level for level in LEVELS if level not in job.best)]


def _option(
    setting: Setting,
    piston: PistonChoice,
    route: Route,
    rings: tuple[RingFit, ...],
    stacks: tuple[Stack, ...],
    finish: Finish,
    chain: Chain | None,
) -> Option:
    chosen = [(piston.part.number, piston.piece)]
    chosen += [(fit.ring.part.number, fit.ring.piece) for fit in rings]
    demand = Counter(number for number, piece in chosen if not piece)
    for place, stack in zip(setting.job.gaskets, stacks, strict=True):
        if not place.shared:
            demand.update(gasket.number for gasket in stack)
    return Option(
        piston=piston,
        route=route,
        rings=tuple(fit.ring for fit in rings),
        stacks=stacks,
        finish=finish,
        filings=tuple(fit.filing(finish.low) for fit in rings),
        demand=demand,
        pieces=frozenset(choice for choice in chosen if choice[1]),
        key=(chosen[0], route.name, tuple(chosen[1:]), _gasket_key(setting, stacks)),
        left=0 if chain is None else chain.left(finish.low, finish.high),
    )


def _gasket_key(setting: Setting, stacks: tuple[Stack, ...]) -> tuple[object, ...]:
    """Per place the number of gaskets, then gasket by gasket in number order the greater count."""
    return tuple(
        (len(stack), *(-stack.count(g) for g in parts.gaskets_of(setting.catalogue, place.place)))
        for place, stack in zip(setting.job.gaskets, stacks, strict=True)
    )
