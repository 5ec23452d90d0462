"""The plan of a served job: among equally good plans, the least by part number.

Only for jobs whose cylinders are tied by size, mass, kits and days. The allotment proves the level
values of the job's best plan. Several plans may have these values; a search through the
combinations in the order of their part numbers finds the first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Final, NamedTuple

from fitsolver.allotment.buying import Buyer, Purchase
from fitsolver.allotment.combinations import Combination, combinations, sizes_of
from fitsolver.allotment.forms import FOREVER, kit_parts
from fitsolver.allotment.prepared import Prepared
from fitsolver.choices.selection import CylinderSelection, Selection
from fitsolver.fits import availability
from fitsolver.fits.mass_match import spread
from fitsolver.records.base import Level

#: After this many steps the current plan stays.
_STEPS: Final = 20_000

Values = dict[Level, int]


def values_of(job: Prepared, chosen: Selection) -> Values:
    """Return the values of a selection on the levels before the part number."""
    removals = [each.high - each.option.removal_offset for each in chosen.cylinders]
    routes = [each.option.route.route for each in chosen.cylinders]
    catalogue = job.task.catalogue
    articles = {
        item.number: item
        for item in (*catalogue.kits, *catalogue.pistons, *catalogue.rings, *catalogue.gaskets)
    }
    bought = [(articles[n], b) for n, b in (*chosen.kits.items(), *chosen.singles.items())]
    return {
        "restored": sum(route.kind == "restore" for route in routes),
        "largest_removal": max(removals),
        "total_removal": sum(removals),
        "filing": sum(
            ring.filing(each.low) for each in chosen.cylinders for ring in each.rings.values()
        ),
        "price": sum(route.cost for route in routes)
        + sum((item.price or 0) * (b.stock + b.ordered) for item, b in bought),
        "days": availability.ready_in(
            job.task.job.finishing,
            (item.lead_days or 0 for item, b in bought if b.ordered),
            (route.days for route in routes),
        ),
    }


def bought_again(
    job: Prepared, chosen: Selection, stock: Mapping[str, int], buyer: Buyer, order: Sequence[Level]
) -> Selection:
    """Return the same cylinders with the best purchase that the remaining stock allows."""
    wanted = Counter(n for each in chosen.cylinders for n in _parts(each))
    given = {number: b.stock + b.ordered for number, b in chosen.kits.items()}
    latest = _latest(job, [each.option.route.route.days for each in chosen.cylinders])
    budget = job.task.job.terms.budget
    routes = sum(each.option.route.route.cost for each in chosen.cylinders)
    most = None if budget is None else budget - routes
    found = buyer.best(wanted, stock, latest, order, given, most)
    return chosen if found is None else Selection(chosen.cylinders, found.kits, found.singles)


def own_best(
    job: Prepared, chosen: Selection, stock: Mapping[str, int], buyer: Buyer, order: Sequence[Level]
) -> Selection | None:
    """Return the least plan by part number with the same values as the chosen one.

    None if it was not found within the step limit.
    """
    again = bought_again(job, chosen, stock, buyer, order)
    return _Walk(job, values_of(job, again), stock, buyer, order).run()


def _parts(each: CylinderSelection) -> Iterator[str]:
    yield each.option.piston.candidate.part.number
    yield from (ring.candidate.part.number for ring in each.rings.values())


def _latest(job: Prepared, work: Sequence[int]) -> int:
    """Return the longest lead time allowed, in days."""
    due = job.task.job.terms.needed_in_days
    if due is None:
        return FOREVER
    return due - max(work) if job.task.job.finishing == "piston in hand" else due


def _within(sums: Sequence[int], room: Sequence[tuple[int, int]]) -> bool:
    for value, (low, high) in zip(sums, room, strict=True):  # noqa: SIM110 - all() takes twice as long
        if not low <= value <= high:
            return False
    return True


class _Figures(NamedTuple):
    """A combination with its contributions: restored, total removal, filing and (as is) price."""

    each: Combination
    adds: tuple[int, ...]


class _Walk:
    """Searches the combinations of all cylinders, the least part numbers first."""

    def __init__(
        self,
        job: Prepared,
        values: Values,
        stock: Mapping[str, int],
        buyer: Buyer,
        order: Sequence[Level],
    ) -> None:
        self.job, self.values, self.stock = job, values, stock
        self.buyer, self.order = buyer, order
        self.in_kits = kit_parts(job)
        self.wanted = [values["restored"], values["total_removal"], values["filing"]]
        if not self.in_kits:
            self.wanted.append(values["price"])
        record = job.task.job
        self.sized = [s.cylinders for s in record.same_size]
        self.matched = [(m.cylinders, m.limit) for m in record.mass_match]
        self.names = [cylinder.name for cylinder in record.cylinders]
        self.places = [self._place(at) for at in range(len(self.names))]
        self.room = self._room()
        self.steps = 0
        self.used: Counter[str] = Counter()
        self.chosen: list[Combination] = []

    def run(self) -> Selection | None:
        """Return the first plan with the same values; None if none was found in time."""
        found = self._from(0, [0] * len(self.wanted))
        if found is None:
            return None
        return Selection(tuple(map(_cylinder, self.chosen)), found.kits, found.singles)

    def _place(self, at: int) -> list[_Figures]:
        largest = self.values["largest_removal"]
        options = [o for o in self.job.options[at] if o.least_removal <= largest]
        some = [
            each
            for each in combinations(options, self.job.rings[at], self.in_kits)
            if each.removal <= largest and all(map(self._to_be_had, each.parts))
        ]
        some.sort(key=_part_numbers)
        return [
            _Figures(
                each,
                (each.restored, each.removal, each.filing, each.price)[: len(self.wanted)],
            )
            for each in some
        ]

    def _to_be_had(self, number: str) -> bool:
        return (
            self.stock.get(number, 0) > 0
            or number in self.in_kits
            or availability.can_order(self.buyer.sold[number])
        )

    def _room(self) -> list[list[tuple[int, int]]]:
        """Return the range of partial sums before each cylinder from which the wanted values can be
        reached.
        """
        room = [[(want, want) for want in self.wanted]]
        for place in reversed(self.places):
            own = [[figures.adds[at] for figures in place] for at in range(len(self.wanted))]
            room.append(
                [
                    (low - max(adds, default=0), high - min(adds, default=0))
                    for (low, high), adds in zip(room[-1], own, strict=True)
                ]
            )
        return room[::-1]

    def _from(self, at: int, sums: Sequence[int]) -> Purchase | None:
        if at == len(self.places):
            return self._leaf()
        for each, adds in self.places[at]:
            self.steps += 1
            if self.steps > _STEPS:
                return None
            after = [have + more for have, more in zip(sums, adds, strict=True)]
            if not _within(after, self.room[at + 1]) or not self._goes_with(at, each):
                continue
            self.chosen.append(each)
            self.used.update(each.parts)
            if self._stocked(each):
                found = self._from(at + 1, after)
                if found is not None:
                    return found
            self.used.subtract(each.parts)
            self.chosen.pop()
        return None

    def _goes_with(self, at: int, each: Combination) -> bool:
        name = self.names[at]
        for names in self.sized:
            if name in names and any(
                other.oversize != each.oversize
                for before, other in zip(self.names, self.chosen, strict=False)
                if before in names
            ):
                return False
        for names, limit in self.matched:
            if name in names:
                masses = [
                    other.mass
                    for before, other in zip(self.names, self.chosen, strict=False)
                    if before in names
                ]
                if spread([*masses, each.mass]) > limit:
                    return False
        return True

    def _stocked(self, each: Combination) -> bool:
        """Tell whether the stock covers the parts that no kit or order can supply."""
        return all(
            self.used[number] <= self.stock.get(number, 0)
            or number in self.in_kits
            or availability.can_order(self.buyer.sold[number])
            for number in each.parts
        )

    def _leaf(self) -> Purchase | None:
        work = [each.days for each in self.chosen]
        routes = sum(each.option.route.route.cost for each in self.chosen)
        most = self.values["price"] - routes
        latest = _latest(self.job, work)
        found = self.buyer.best(+self.used, self.stock, latest, self.order, most=most)
        if found is None:
            return None
        days = availability.ready_in(self.job.task.job.finishing, [found.days], work)
        price = found.price + routes
        largest = max(each.removal for each in self.chosen)
        due = self.job.task.job.terms.needed_in_days
        same = (largest, price, days) == tuple(
            self.values[level] for level in ("largest_removal", "price", "days")
        )
        return found if same and (due is None or days <= due) else None


def _part_numbers(each: Combination) -> tuple[object, ...]:
    rings = sorted(each.chosen, key=lambda ring: ring.groove)
    option = each.option
    return (
        option.piston.candidate.key,
        option.route.route.name,
        [ring.candidate.key for ring in rings],
    )


def _cylinder(each: Combination) -> CylinderSelection:
    low, high = sizes_of(each)
    rings = {ring.groove: ring for ring in sorted(each.chosen, key=lambda ring: ring.groove)}
    return CylinderSelection(each.option, low, high, rings, {})
