"""The counter's question: which part sets fit a bore as it is, with a verdict per rule.

No solver: the bore is given, so each kit, and each piston with the rings and gaskets that
suit it best, is looked at by itself. Failing sets are kept with the amount of each miss.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import product
from typing import Final

from fitsolver.base.lengths import Unit, format_length
from fitsolver.choices.candidates import shelf
from fitsolver.choices.options import choices, make_option
from fitsolver.choices.parts import Candidate, PistonCandidate, Shelf
from fitsolver.choices.ring_options import offered, ring_option, to_spare
from fitsolver.choices.selection import CylinderSelection
from fitsolver.choices.types import NO_BOUND, CylinderChoices, Option, RingOption
from fitsolver.fits import availability
from fitsolver.fits.port_timing import UNDER_THE_CYLINDER
from fitsolver.planning.fit_lines import fit_lines
from fitsolver.planning.floors import forbidden
from fitsolver.planning.stack import keeps_ratio
from fitsolver.records.base import RULES, THOUSANDTHS, Range, RuleId
from fitsolver.records.catalogue import Catalogue, Gasket, Kit, Piston, Ring
from fitsolver.records.job import GasketPlace, Job
from fitsolver.records.plan import Fit
from fitsolver.records.rules import REGISTRY, RULE_OF
from fitsolver.records.verdicts import PartSet, Verdict

#: The rules a part set is judged by; the others join cylinders or ask for machining.
JUDGED: Final = tuple(rule for rule in RULES if REGISTRY[rule].at_counter != "never")


def sets_of(job: Job, catalogue: Catalogue) -> tuple[PartSet, ...]:
    """Return every part set of every cylinder, best first: those that hold, then by margin.

    `worst` is the least margin of all fits (ticks); negative where a window is missed.
    Raises InputError for unknown parts or cylinders.
    """
    as_they_are = tuple(c.model_copy(update={"routes": (), "route": None}) for c in job.cylinders)
    bare = job.model_copy(
        update={"finishing": "already finished", "routes": (), "cylinders": as_they_are}
    )
    parts = shelf(bare, catalogue)
    found: list[PartSet] = []
    for state in choices(bare, catalogue, parts):
        found += sorted(_Counter(state, catalogue, parts).sets(), key=_order)
    return tuple(found)


def _order(item: PartSet) -> tuple[object, ...]:
    failed = sum(not verdict.holds for verdict in item.verdicts)
    worst = 0 if item.worst is None else -item.worst
    price = 10**12 if item.price is None else item.price
    return (not item.holds, failed, worst, price, item.piston, item.kit, item.rings)


class _Counter:
    """All part sets of one cylinder."""

    def __init__(self, state: CylinderChoices, catalogue: Catalogue, parts: Shelf) -> None:
        self.state, self.catalogue, self.parts = state, catalogue, parts
        self.gaskets = {gasket.number: gasket for gasket in catalogue.gaskets}
        self.articles: dict[str, Piston | Ring | Gasket] = {
            article.number: article
            for table in (catalogue.pistons, catalogue.rings, catalogue.gaskets)
            for article in table
        }
        self.in_hand = Counter(parts.loose)
        shared = {place.place for place in state.job.gaskets if place.shared}
        for (name, number), count in parts.reserved.items():
            gasket = self.gaskets.get(number)
            if name == state.name and (gasket is None or gasket.place not in shared):
                self.in_hand[number] += count

    def sets(self) -> Iterator[PartSet]:
        as_is = next((r for r in self.state.routes if not r.route.machined), None)
        if as_is is None:
            return
        kits = [kit for kit in self.catalogue.kits if _holds_piston(kit, self.catalogue)]
        for piston in self.state.pistons:
            option = make_option(self.state, piston, as_is)
            yield self._set(option, None)
            if not piston.candidate.piece:
                number = piston.candidate.part.number
                for kit in kits:
                    if any(item.number == number for item in kit.contents):
                        yield self._set(option, kit)

    def _set(self, option: Option, kit: Kit | None) -> PartSet:
        held = Counter({item.number: item.count for item in kit.contents}) if kit else Counter()
        candidate = option.piston.candidate
        rings = self._rings(option, held)
        stacks = self._stacks(option, held)
        chosen = CylinderSelection(
            option=option,
            low=self.state.smallest,
            high=self.state.largest,
            rings={ring.groove: ring for ring in rings},
            stacks=stacks,
        )
        missing = [g.number for g in candidate.part.grooves if g.number not in chosen.rings]
        fits = () if missing else fit_lines(self.state, chosen, self.gaskets)
        taken = Counter(_numbers(candidate, rings))
        for stack in stacks.values():
            taken.update(stack)
        price = self._price(kit, held, taken)
        lacking = [f"no ring for groove {', '.join(map(str, missing))}"] if missing else []
        for place in self.state.job.gaskets:
            if place.least and not stacks.get(place.place):
                lacking.append(f"no gasket for {place.place}")
        verdicts = tuple(self._verdicts(option, rings, fits, lacking, price))
        margins = [m for m in (verdict.margin for verdict in verdicts) if m is not None]
        return PartSet(
            cylinder=self.state.name,
            kit=kit.number if kit else "",
            piston=candidate.named,
            rings=tuple(ring.candidate.named for ring in rings),
            gaskets=tuple(
                number for stack in stacks.values() for number in Counter(stack).elements()
            ),
            fits=fits,
            verdicts=verdicts,
            price=price,
            holds=all(verdict.holds for verdict in verdicts),
            worst=min(margins, default=None),
        )

    def _rings(self, option: Option, held: Counter[str]) -> list[RingOption]:
        """Return the best ring for every groove: the kit's own where it has one."""
        left = Counter(held)
        taken: set[tuple[str, str]] = set()
        found = []
        ring_class = option.piston.ring_class
        for groove in ring_class.grooves:
            rings = [
                ring_option(self.state, ring_class, groove, candidate)
                for candidate in offered(self.state, self.parts.rings, groove.number)
                if not (candidate.piece and candidate.key in taken)
            ]
            own = [r for r in rings if left[r.candidate.part.number] and not r.candidate.piece]
            if not rings:
                continue
            best = min(own or rings, key=self._ring_order)
            if own:
                left[best.candidate.part.number] -= 1
            taken.add(best.candidate.key)
            found.append(best)
        return found

    def _ring_order(self, ring: RingOption) -> tuple[object, ...]:
        """Fewest refusals, then the least miss, available parts, least filing, lowest price."""
        low, high = self.state.smallest, self.state.largest
        miss = max(ring.floor_low - low, high - ring.ceiling_high, 0)
        number = ring.candidate.part.number
        price = 0 if ring.candidate.piece else self._single_price(number, 1)
        dear = 10**12 if price is None else price
        none = price is None
        return len(ring.refusals), miss, none, ring.filing(low), dear, ring.candidate.key

    def _stacks(self, option: Option, held: Counter[str]) -> dict[str, dict[str, int]]:
        """Return the stacks with squish and port timing nearest to the middle of their windows.

        Available stacks come before unavailable ones within the windows.
        """
        places = self.state.job.gaskets
        bounds, bore = option.piston.stack, Range(low=self.state.smallest, high=self.state.largest)
        low, high = bounds.low, bounds.high
        nominal = option.piston.candidate.part.nominal_bore
        stated = self.state.limits("squish", nominal, None, kept=False).low is not None
        enough = next((edge for edge in (high, low) if edge is not None), 0)
        enough = max(enough, bounds.base_high or 0, 0 if bounds.growth is None else NO_BOUND)
        offers = [list(_stacks_of(place, self._offered(place, held), enough)) for place in places]

        def order(stacks: Sequence[tuple[Gasket, ...]]) -> tuple[object, ...]:
            gaskets = [gasket for stack in stacks for gasket in stack]
            room = []
            if low is not None:
                above = sum(g.compressed.low for g in gaskets) - low
                room.append(above if stated else min(above, 0))  # that it is above 0 will do
            if high is not None:
                room.append(high - sum(g.compressed.high for g in gaskets))
            if bounds.base_low is not None and bounds.base_high is not None:
                under = [g.compressed for g in gaskets if g.place == UNDER_THE_CYLINDER]
                room.append(sum(t.low for t in under) - bounds.base_low)
                room.append(bounds.base_high - sum(t.high for t in under))
            if not keeps_ratio(self.state, bounds.growth, [g.compressed for g in gaskets], bore):
                room.append(-NO_BOUND)
            least = min(room, default=0)
            bought = Counter(g.number for g in gaskets) - held
            prices = [self._single_price(number, count) for number, count in bought.items()]
            none = None in prices
            price = sum(each or 0 for each in prices)
            return least < 0, none, -least, len(gaskets), price, [g.number for g in gaskets]

        best = min(product(*offers), key=order, default=())
        return {
            place.place: dict(Counter(gasket.number for gasket in stack))
            for place, stack in zip(places, best, strict=False)
        }

    def _offered(self, place: GasketPlace, held: Counter[str]) -> list[Gasket]:
        here = [gasket for gasket in self.catalogue.gaskets if gasket.place == place.place]
        own = [gasket for gasket in here if held[gasket.number]]
        return sorted(own or here, key=self._gasket_order)

    def _gasket_order(self, gasket: Gasket) -> tuple[object, ...]:
        price = self._single_price(gasket.number, 1)
        return price is None, price or 0, gasket.number

    def _price(self, kit: Kit | None, held: Counter[str], taken: Counter[str]) -> int | None:
        """Return the price of the set: the kit, and singles for the remaining parts."""
        total = 0
        if kit is not None:
            if not _can_be_had(kit):
                return None
            total += kit.price or 0
        for number, count in (taken - held).items():
            price = self._single_price(number, count)
            if price is None:
                return None
            total += price
        return total

    def _single_price(self, number: str, count: int) -> int | None:
        """Return the price of a number of pieces, pieces in hand free; None if unavailable."""
        bought = max(0, count - self.in_hand[number])
        article = self.articles[number]
        if bought > availability.from_stock(article) and not availability.can_order(article):
            return None
        return bought * (article.price or 0)

    def _verdicts(
        self,
        option: Option,
        rings: Sequence[RingOption],
        fits: Sequence[Fit],
        lacking: Sequence[str],
        price: int | None,
    ) -> Iterator[Verdict]:
        refusals = [*option.refusals, *(r for ring in rings for r in ring.refusals)]
        refusals += forbidden(fits, self.state.job.unit)
        for rule in JUDGED:
            said = [refusal.sentence for refusal in refusals if refusal.rule == rule]
            lines = [fit for fit in fits if RULE_OF[fit.fit] == rule]
            margin = _margin(lines)
            if rule == "compatibility":
                said += lacking
            if rule == "availability" and price is None:
                said.append("not all of it can be bought")
            if not REGISTRY[rule].fits:
                bore = self.state.smallest, self.state.largest
                margin = to_spare(rule, option, rings, *bore)
            if rule == "end_gap":
                said += _over_filed(rings, self.state.smallest, self.state.job.unit)
            asks = lines or said or margin is not None
            if not asks and REGISTRY[rule].at_counter != "always":
                continue
            holds = not said and (margin is None or margin >= 0)
            yield Verdict(
                rule=rule,
                holds=holds,
                margin=None if rule in THOUSANDTHS else margin,
                sentence="; ".join(said) or _words(rule, margin, self.state.job.unit),
            )


def _margin(lines: Iterable[Fit]) -> int | None:
    slacks = []
    for line in lines:
        slacks += [slack for slack in (line.slack_low, line.slack_high) if slack is not None]
        slacks += [-line.short_of_floor] if line.short_of_floor else []
    return min(slacks, default=None)


def _words(rule: RuleId, margin: int | None, unit: Unit) -> str:
    if margin is None or rule not in THOUSANDTHS:
        return _sentence(margin, unit)
    figure = f"{abs(margin) / 1000:.3f}" + ("°" if rule == "port_timing" else "")
    return f"holds with {figure} to spare" if margin >= 0 else f"misses by {figure}"


def _sentence(margin: int | None, unit: Unit) -> str:
    if margin is None:
        return "holds"
    if margin >= 0:
        return f"holds with {format_length(margin, unit, 'down', symbol=True)} to spare"
    return f"misses by {format_length(-margin, unit, 'up', symbol=True)}"


def _over_filed(rings: Sequence[RingOption], low: int, unit: Unit) -> list[str]:
    """Return a sentence for every ring that needs more filing than permitted."""
    said = []
    for ring in rings:
        most, needed = ring.candidate.part.file_most, ring.filing(low)
        if needed > most:
            number = ring.candidate.part.number
            file = format_length(needed, unit, "up", symbol=True)
            allowed = format_length(most, unit, "down", symbol=True) if most else "none"
            said.append(f"groove {ring.groove}: {file} to file, {allowed} permitted of {number}")
    return said


def _stacks_of(
    place: GasketPlace, gaskets: Sequence[Gasket], enough: int
) -> Iterator[tuple[Gasket, ...]]:
    """Yield one stack for every pair of least and most thickness, from the first gaskets in order.

    A stack already `enough` (ticks) thick gets no gaskets beyond `least`.
    """
    seen: set[tuple[int, int]] = set()
    layer: dict[tuple[int, int], tuple[Gasket, ...]] = {(0, 0): ()}
    for count in range(place.most + 1):
        if count >= place.least:
            yield from (stack for size, stack in layer.items() if size not in seen)
            seen |= layer.keys()
        thicker: dict[tuple[int, int], tuple[Gasket, ...]] = {}
        for (low, high), stack in layer.items():
            if count < place.least or low < enough:
                for gasket in gaskets:
                    size = low + gasket.compressed.low, high + gasket.compressed.high
                    thicker.setdefault(size, (*stack, gasket))
        layer = thicker


def _numbers(piston: PistonCandidate, rings: Iterable[RingOption]) -> list[str]:
    """Return the numbers of the parts to obtain; measured pieces are in hand."""
    candidates: list[Candidate] = [piston, *(ring.candidate for ring in rings)]
    return [item.part.number for item in candidates if not item.piece]


def _holds_piston(kit: Kit, catalogue: Catalogue) -> bool:
    pistons = {piston.number for piston in catalogue.pistons}
    return any(item.number in pistons for item in kit.contents)


def _can_be_had(article: Kit | Piston | Ring | Gasket, count: int = 1) -> bool:
    return availability.from_stock(article) >= count or availability.can_order(article)
