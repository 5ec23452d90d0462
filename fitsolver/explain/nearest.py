"""The choice of a cylinder that comes nearest when none fits, and by how much it misses."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from fitsolver.choices.options import every_option
from fitsolver.choices.parts import RingCandidate, RingClass
from fitsolver.choices.ring_options import offered, ring_option
from fitsolver.choices.types import NO_BOUND, Bound, CylinderChoices, Option, RingOption
from fitsolver.records.base import RuleId
from fitsolver.records.catalogue import Groove


@dataclass(frozen=True, slots=True)
class Near:
    """An option with the rings that suit it best.

    `refused`: the rules that refuse it at any size. `short_by` (ticks): how far its lowest
    permitted size lies above its highest, set by the rules of `floor` and `ceiling`. `empty`: the
    grooves without any ring.
    """

    option: Option
    rings: tuple[RingOption, ...]
    refused: tuple[RuleId, ...]
    floor: Bound
    ceiling: Bound
    short_by: int
    empty: tuple[int, ...] = ()

    @property
    def rank(self) -> tuple[int, int, int, tuple[str, str, str]]:
        return len(self.refused) + len(self.empty), self.short_by, self.restores, self.option.key

    @property
    def restores(self) -> int:
        return int(self.option.route.route.kind == "restore")


def nearest(state: CylinderChoices, rings: Sequence[RingCandidate]) -> Near | None:
    """Return the option that misses least: fewest refusals first, then the smallest miss.

    None when the cylinder has no piston or no route to choose from.
    """
    best: Near | None = None
    known: _Known = {}
    for option in _promising(state):
        if best is not None and _miss(option) > best.rank[:2]:
            break  # rings only ever take more away
        near = _near(state, option, rings, known)
        if best is None or near.rank < best.rank:
            best = near
    return best


#: The most options whose rings are looked up, smallest miss first.
_LOOKED_AT = 200


class _Offer(NamedTuple):
    """A ring of a groove: how many rules refuse it, its lowest L and highest H (ticks)."""

    refused: int
    floor: int
    ceiling: int
    ring: RingOption


#: The rings offered in one groove of a piston class, fewest refusals first, duplicates removed.
_Known = dict[tuple[RingClass, int], list[_Offer]]


def _promising(state: CylinderChoices) -> list[Option]:
    return sorted(every_option(state), key=_miss)[:_LOOKED_AT]


def _miss(option: Option) -> tuple[int, int]:
    """Return the count of rules that refuse an option and how far its bounds cross (ticks)."""
    return len({refusal.rule for refusal in option.refusals}), crossed(option)


def crossed(option: Option) -> int:
    """Return how far (ticks) the bounds of an option cross; 0 when they leave a size."""
    return max(option.floor_low - option.ceiling_low, option.floor_high - option.ceiling_high, 0)


def _near(
    state: CylinderChoices, option: Option, rings: Sequence[RingCandidate], known: _Known
) -> Near:
    chosen, empty = [], []
    ring_class = option.piston.ring_class
    lines = list(_lines(option))
    for groove in ring_class.grooves:
        place = ring_class, groove.number
        if place not in known:
            known[place] = _offers(state, ring_class, groove, rings)
        if known[place]:
            chosen.append(_least_miss(lines, known[place]))
        else:
            empty.append(groove.number)
    refusals = [*option.refusals, *(r for ring in chosen for r in ring.refusals)]
    floor, ceiling, short = _gap(option, chosen)
    return Near(
        option=option,
        rings=tuple(chosen),
        refused=tuple(sorted({refusal.rule for refusal in refusals})),
        floor=floor,
        ceiling=ceiling,
        short_by=max(0, short),
        empty=tuple(empty),
    )


def _offers(
    state: CylinderChoices, ring_class: RingClass, groove: Groove, rings: Sequence[RingCandidate]
) -> list[_Offer]:
    alike = {ring.figures: ring for ring in reversed([*offered(state, rings, groove.number)])}
    found = [ring_option(state, ring_class, groove, ring) for ring in alike.values()]
    offers = [_Offer(len(r.refusals), r.floor_low, r.ceiling_high, r) for r in found]
    return sorted(offers, key=lambda offer: (offer.refused, offer.ring.candidate.key))


def _least_miss(lines: Sequence[_Line], offers: Sequence[_Offer]) -> RingOption:
    """Return the ring with the fewest refusals; ties go to the smallest miss."""
    best, least = offers[0], NO_BOUND
    for offer in offers:
        if offer.refused > best.refused or not least:
            break
        short = max(0, *(line.short_by(offer) for line in lines))
        if short < least:
            best, least = offer, short
    return best.ring


class _Line(NamedTuple):
    """A size of an option: the least and the most of it that are permitted without rings (ticks).

    What a ring asks of L counts where it is `on_low`; of H, where a ceiling of H stands `above`
    the size by so much (None: it does not count).
    """

    floor: int
    ceiling: int
    on_low: bool
    above: int | None

    def short_by(self, ring: _Offer) -> int:
        """Return how far (ticks) the floor lies above the ceiling with a ring."""
        floor = max(self.floor, ring.floor) if self.on_low else self.floor
        ceiling = self.ceiling
        if self.above is not None:
            ceiling = min(ceiling, ring.ceiling - self.above)
        return floor - ceiling


def _lines(option: Option) -> Iterator[_Line]:
    """Yield the sizes that `_gap` looks at."""
    lowest = max((bound.value for bound in option.least_low), default=0)
    highest = min((bound.value for bound in option.most_high), default=NO_BOUND)
    route, spread = option.route, option.route.spread
    if not option.machined:
        yield _Line(lowest, route.smallest, on_low=True, above=None)
        yield _Line(route.largest, highest, on_low=False, above=0)
        return
    lowest = max(lowest, route.base)
    if not option.follows:
        yield _Line(lowest, highest - spread, on_low=True, above=spread)
        return
    others = [bound.value - spread for bound in option.most_high if bound.rule != "clearance"]
    small = min([*(bound.value for bound in option.most_low), *others], default=NO_BOUND)
    yield _Line(lowest, small, on_low=True, above=spread)
    large = max(bound.value - spread for bound in (*option.least_high, Bound("route_cut", 0)))
    yield _Line(max(large, route.base), highest - spread, on_low=True, above=spread)


def _gap(option: Option, rings: Sequence[RingOption]) -> tuple[Bound, Bound, int]:
    """Return the tightest floor and ceiling of one size, and by how much they cross.

    Both are stated for L; a ceiling of H is taken down by the spread between the two.
    """
    ring_floors = [bound for ring in rings for bound in ring.least]
    ring_ceilings = [bound for ring in rings for bound in ring.most]
    highest = [*option.most_high, *ring_ceilings]
    if not option.machined:
        low, high = option.route.smallest, option.route.largest
        crossed = [
            _cross([*option.least_low, *ring_floors], [Bound("route_cut", low)]),
            _cross([Bound("route_cut", high)], highest),
        ]
        return max(crossed, key=lambda item: item[2])
    start = Bound("route_cut", option.route.base)
    floors = [*option.least_low, start, *ring_floors]
    spread = option.route.spread
    if not option.follows:
        return _cross(floors, _lowered(highest, spread))
    # The smallest and the largest piston each have a finish size of their own.
    others = [bound for bound in highest if bound.rule != "clearance"]
    small = _cross(floors, [*option.most_low, *_lowered(others, spread)])
    floors_high = [*_lowered(option.least_high, spread), start, *ring_floors]
    large = _cross(floors_high, _lowered(highest, spread))
    return max(small, large, key=lambda item: item[2])


def _lowered(bounds: Iterable[Bound], by: int) -> list[Bound]:
    return [Bound(rule, value - by) for rule, value in bounds]


def _cross(floors: Sequence[Bound], ceilings: Sequence[Bound]) -> tuple[Bound, Bound, int]:
    floor = max(floors, key=lambda bound: bound.value, default=Bound("route_cut", 0))
    ceiling = min(ceilings, key=lambda bound: bound.value, default=Bound("route_cut", 10**9))
    return floor, ceiling, floor.value - ceiling.value
