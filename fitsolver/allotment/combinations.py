"""The combinations of one cylinder as figures: a piston with its route, and one ring a groove.

For jobs whose rules tie cylinders by size, mass and days only (`separable`). All lengths in ticks.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from itertools import product
from typing import Final, NamedTuple

from fitsolver.allotment.prepared import Prepared
from fitsolver.choices.candidates import is_piece
from fitsolver.choices.demands import DEMANDS
from fitsolver.choices.types import Option, RingOption
from fitsolver.records.base import Level
from fitsolver.records.rules import RULE_OF

#: Windows of a single cylinder that do not depend on its gaskets.
_OWN_FITS: Final = frozenset(fit for fit, rule in RULE_OF.items() if not DEMANDS[rule].stack)


class Combination(NamedTuple):
    """A choice in one cylinder, and its figures (ticks, minor units of currency).

    A shop has half a million combinations: figures that follow from piston, route and rings are not
    stored.
    """

    option: Option
    chosen: tuple[RingOption, ...]
    removal: int
    filing: int
    price: int

    @property
    def oversize(self) -> int:
        return self.option.piston.candidate.part.oversize

    @property
    def mass(self) -> tuple[int, int]:
        """Least and most, in mg."""
        return self.option.piston.candidate.mass or (0, 0)

    @property
    def restored(self) -> int:
        return int(self.option.route.route.kind == "restore")

    @property
    def days(self) -> int:
        """Days of work."""
        return self.option.route.route.days

    @property
    def parts(self) -> tuple[str, ...]:
        """The numbers of piston and rings."""
        piston = self.option.piston.candidate.part.number
        return piston, *(ring.candidate.part.number for ring in self.chosen)

    @property
    def prices(self) -> dict[str, int | None]:
        """Price of a piece of each number, bought singly (None: not sold singly)."""
        parts = self.option.piston.candidate.part, *(ring.candidate.part for ring in self.chosen)
        return {part.number: part.price for part in parts}

    @property
    def key(self) -> tuple[str, str, str]:
        """Piston, piece and route."""
        return self.option.key

    @property
    def rings(self) -> dict[int, tuple[str, str]]:
        """Number and piece of the ring in each groove."""
        return {ring.groove: ring.candidate.key for ring in self.chosen}


def separable(job: Prepared, order: Sequence[Level]) -> bool:
    """Tell whether size, mass, kits, budget and days are the only rules that couple the cylinders.

    The least finish size that a choice permits is then also the best one, if removal ranks before
    filing.
    """
    record = job.task.job
    fits = {w.fit for c in record.cylinders for w in (*c.windows, *record.windows)}
    removals = [order.index(level) for level in order if level.endswith("_removal")]
    filed = order.index("filing") if "filing" in order else len(order)
    sized = record.finishing == "piston in hand" or (bool(removals) and min(removals) < filed)
    return (
        fits <= _OWN_FITS
        and all(cylinder.squish is None for cylinder in record.cylinders)  # it has a floor
        and sized
        and (len(removals) < 2 or abs(removals[0] - removals[1]) == 1)
        and not (record.gaskets or record.in_hand or any(map(is_piece, record.cylinders)))
        and record.engine.displacement_limit is None
        and max(len(record.same_size), len(record.mass_match)) <= 1
    )


class _Ring(NamedTuple):
    """A ring option with its limits, worked out once."""

    option: RingOption
    floor_low: int
    ceiling_high: int
    reach_low: int
    most_high: int


def _ring(r: RingOption) -> _Ring:
    return _Ring(r, r.floor_low, r.ceiling_high, r.reach_low, min(r.ceiling_high, r.reach_high))


def sizes_of(each: Combination) -> tuple[int, int]:
    """Return the least L and H (ticks) of a combination."""
    found = _sizes(each.option, [_ring(ring) for ring in each.chosen])
    assert found is not None
    return found


def combinations(
    options: Sequence[Option],
    rings: Sequence[RingOption],
    in_kits: Collection[str] = (),
) -> Iterator[Combination]:
    """Yield every combination of a cylinder that fits and whose parts can be bought.

    A part can be bought if it has a price or comes in a kit.
    """
    sold = [
        _ring(r)
        for r in rings
        if r.candidate.part.price is not None or r.candidate.part.number in in_kits
    ]
    for option in options:
        piston = option.piston.candidate
        if piston.part.price is None and piston.part.number not in in_kits:
            continue
        low, high = option.ceiling_low, option.floor_high
        offered: dict[int, list[_Ring]] = {groove.number: [] for groove in piston.part.grooves}
        for ring in sold:
            near = ring.floor_low <= low and ring.ceiling_high >= high
            if near and ring.option.ring_class is piston.ring_class:
                offered[ring.option.groove].append(ring)
        for chosen in product(*offered.values()):
            sizes = _sizes(option, chosen)
            if sizes is not None:
                yield _combination(option, [ring.option for ring in chosen], *sizes)


def _sizes(option: Option, rings: Sequence[_Ring]) -> tuple[int, int] | None:
    """Return the least L and H that satisfy all options; None if they exclude each other."""
    spread = option.route.spread
    low, high = option.floor_low, option.floor_high
    ceiling = option.ceiling_high
    for ring in rings:
        low = max(low, ring.floor_low)
        ceiling = min(ceiling, ring.most_high)
        if ring.option.widest_spread < spread:
            return None
    if not option.machined:
        if low > option.floor_low:
            return None
    elif option.follows:
        high = max(high, low + spread)
    else:  # the one size may be larger than the parts ask for, where the gap is not exact
        low = max(low, *(ring.reach_low for ring in rings), 0)
        high = low + spread
    if low > option.ceiling_low or high > ceiling or any(low < r.reach_low for r in rings):
        return None
    return low, high


def _combination(option: Option, rings: Sequence[RingOption], low: int, high: int) -> Combination:
    piston, route = option.piston.candidate, option.route.route
    price = (piston.part.price or 0) + sum(ring.candidate.part.price or 0 for ring in rings)
    return Combination(
        option=option,
        chosen=tuple(rings),
        removal=high - option.removal_offset,
        filing=sum(ring.filing(low) for ring in rings),
        price=price + route.cost,
    )
