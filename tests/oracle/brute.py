"""The best plan by trying everything: the independent reading of docs/decision.md.

Nothing of the package is used but its record types. Slow by design; only branches that
cannot hold a better plan are cut off.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product
from math import prod
from typing import Any, Final

from fitsolver.records.base import RuleId
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

from .brute_cylinder import MOST, PI, Option, TooManyError, options, order_of
from .brute_parts import Stack, stacks_of
from .brute_rebuilds import chain_of
from .brute_sourcing import Purchase, Shelf

NOTHING: Final = Purchase(0, 0, (), ())

#: Levels that are sums over the cylinders.
_SUMMED: Final[dict[str, Callable[[Option], int]]] = {
    "restored": lambda option: option.restored,
    "total_removal": lambda option: option.finish.removal,
    "filing": lambda option: option.filing,
}


@dataclass(frozen=True)
class BrutePlan:
    """The best plan: one option a cylinder in job order, what is bought, every level's value.

    `order` counts pieces by part number and source ("in hand", "stock", "order").
    `levels` holds the value of every level but the part number, in the job's order.
    """

    cylinders: tuple[Option, ...]
    purchase: Purchase
    levels: tuple[tuple[str, int], ...]
    order: dict[tuple[str, str], int]


def best_plan(
    job: Job, catalogue: Catalogue, without: frozenset[RuleId] = frozenset()
) -> BrutePlan | None:
    """Return the best plan, or None when nothing fits.

    `without` leaves rules out, to see which of them make a difference (availability
    cannot be left out: loosen the records instead). Raises TooManyError for a job that is
    not small enough to try everything.
    """
    return _Search(job, catalogue, without).run()


class _Search:
    def __init__(self, job: Job, catalogue: Catalogue, without: frozenset[RuleId]) -> None:
        self.job, self.catalogue, self.without = job, catalogue, without
        self.levels = order_of(job)
        self.named = self.levels[: self.levels.index("part_number")]
        self.shelf = Shelf(job, catalogue)
        self.shared: Counter[str] = Counter()
        self.choices: list[list[Option]] = []
        self.least_alone: dict[str, list[int]] = {}
        self.most_left = 0
        if "rebuilds_left" in job.best:
            self.most_left = min(chain_of(job, catalogue, each).most for each in job.cylinders)
        self.best: tuple[Any, ...] | None = None
        self.plan: tuple[tuple[Option, ...], Purchase, Counter[str]] | None = None

    def run(self) -> BrutePlan | None:
        for stacks in self._shared_stacks():
            self.shared = Counter(gasket.number for stack in stacks.values() for gasket in stack)
            self.choices = [
                sorted(
                    options(self.job, self.catalogue, cylinder, stacks, self.without),
                    key=self._alone,
                )
                for cylinder in self.job.cylinders
            ]
            if prod(map(len, self.choices)) > MOST:
                raise TooManyError
            if all(self.choices):
                self.least_alone = {
                    level: [
                        min(self._value(level, (option,), NOTHING) for option in some)
                        for some in self.choices
                    ]
                    for level in self.named
                }
                self._extend(())
        return self._result()

    def _shared_stacks(self) -> Iterator[dict[str, Stack]]:
        places = [place for place in self.job.gaskets if place.shared]
        each = [stacks_of(self.catalogue, p.place, p.least, p.most) for p in places]
        for stacks in product(*each):
            yield {place.place: stack for place, stack in zip(places, stacks, strict=True)}

    def _alone(self, option: Option) -> tuple[Any, ...]:
        """Promising options first; any order would do."""
        return (*(self._value(level, (option,), NOTHING) for level in self.named), option.key)

    def _extend(self, chosen: tuple[Option, ...]) -> None:
        """Try every option of the next cylinder after those chosen."""
        if not self._together(chosen):
            return
        purchases = self.shelf.purchases(self._short(chosen))
        if not purchases or self._cannot_be_better(chosen, purchases):
            return
        if len(chosen) < len(self.choices):
            for option in self.choices[len(chosen)]:
                self._extend((*chosen, option))
            return
        for purchase in purchases:
            if self._within_terms(chosen, purchase):
                key = self._key(chosen, purchase)
                if self.best is None or key < self.best:
                    self.best, self.plan = key, (chosen, purchase, self.shared)

    def _short(self, chosen: tuple[Option, ...]) -> tuple[int, ...]:
        cylinders = zip(self.job.cylinders, chosen, strict=False)
        return self.shelf.to_buy({c.name: option.demand for c, option in cylinders}, self.shared)

    def _together(self, chosen: tuple[Option, ...]) -> bool:
        """The rules that join cylinders; one that fails for some of them fails for all."""
        pieces = [piece for option in chosen for piece in option.pieces]
        if len(set(pieces)) < len(pieces):
            return False
        by_name = {c.name: o for c, o in zip(self.job.cylinders, chosen, strict=False)}
        return (
            ("same_size" in self.without or self._same_size(by_name))
            and ("mass_match" in self.without or self._mass_match(by_name))
            and ("displacement" in self.without or self._displacement(chosen))
        )

    def _same_size(self, chosen: dict[str, Option]) -> bool:
        return all(
            len({chosen[n].piston.part.oversize for n in rule.cylinders if n in chosen}) <= 1
            for rule in self.job.same_size
        )

    def _mass_match(self, chosen: dict[str, Option]) -> bool:
        for rule in self.job.mass_match:
            pistons = [chosen[name].piston for name in rule.cylinders if name in chosen]
            lightest = [p.lightest for p in pistons if p.lightest is not None]
            heaviest = [p.heaviest for p in pistons if p.heaviest is not None]
            if len(heaviest) < len(pistons):
                return False
            if pistons and max(heaviest) - min(lightest) > rule.limit:
                return False
        return True

    def _displacement(self, chosen: tuple[Option, ...]) -> bool:
        """pi/4 S sum E^2 <= limit, over the cylinders chosen so far and the other bores."""
        engine = self.job.engine
        if engine.displacement_limit is None or engine.stroke is None:
            return True
        bores = [option.finish.size for option in chosen] + list(engine.other_bores)
        return PI * engine.stroke * sum(bore**2 for bore in bores) <= 4 * engine.displacement_limit

    def _within_terms(self, chosen: tuple[Option, ...], purchase: Purchase) -> bool:
        terms = self.job.terms
        price = self._value("price", chosen, purchase)
        days = self._value("days", chosen, purchase)
        return (terms.budget is None or price <= terms.budget) and (
            terms.needed_in_days is None or days <= terms.needed_in_days
        )

    def _value(self, level: str, chosen: tuple[Option, ...], purchase: Purchase) -> int:
        """The value of one level; every level grows, or stays, with every further cylinder."""
        if level in _SUMMED:
            return sum(map(_SUMMED[level], chosen))
        if level == "largest_removal":
            return max((option.finish.removal for option in chosen), default=0)
        if level == "rebuilds_left":
            return max(0, *(self.most_left - option.left for option in chosen), 0)
        if level == "price":
            return purchase.price + sum(option.route.cost for option in chosen)
        work = max((option.route.days for option in chosen), default=0)
        one_after_the_other = self.job.finishing == "piston in hand"
        return purchase.lead + work if one_after_the_other else max(purchase.lead, work)

    def _key(self, chosen: tuple[Option, ...], purchase: Purchase) -> tuple[Any, ...]:
        """What two plans are compared by, up to the part number: it tells any two apart."""
        return (
            *(self._value(level, chosen, purchase) for level in self.named),
            tuple(option.key for option in chosen),
            tuple(option.finish.high for option in chosen),
            purchase.kits,
            purchase.singles,
        )

    def _cannot_be_better(self, chosen: tuple[Option, ...], purchases: list[Purchase]) -> bool:
        """Is the least that the rest can bring, level by level, above the best plan so far?"""
        if self.best is None:
            return False
        cheapest = Purchase(purchases[0].price, min(p.lead for p in purchases), (), ())
        least = tuple(self._least(level, chosen, cheapest) for level in self.named)
        best = self.best[: len(self.named)]
        keys = tuple(option.key for option in chosen)
        return (least, keys) > (best, self.best[len(self.named)][: len(keys)])

    def _least(self, level: str, chosen: tuple[Option, ...], cheapest: Purchase) -> int:
        """A value of the level that no completion goes below."""
        so_far = self._value(level, chosen, cheapest)
        rest = self.least_alone[level][len(chosen) :]
        if level in ("largest_removal", "days", "rebuilds_left"):
            return max(so_far, *rest, 0)
        return so_far + sum(rest)

    def _result(self) -> BrutePlan | None:
        if self.plan is None:
            return None
        chosen, purchase, shared = self.plan
        values = tuple(
            (level, self._value(level, chosen, purchase))
            for level in self.levels
            if level != "part_number"
        )
        return BrutePlan(chosen, purchase, values, self._order(chosen, purchase, shared))

    def _order(
        self, chosen: tuple[Option, ...], purchase: Purchase, shared: Counter[str]
    ) -> dict[tuple[str, str], int]:
        lines: Counter[tuple[str, str]] = Counter()
        lines.update((number, "in hand") for option in chosen for number, _ in option.pieces)
        free = Counter(shared)
        for cylinder, option in zip(self.job.cylinders, chosen, strict=True):
            reserved = option.demand & self.shelf.reserved[cylinder.name]
            free.update(option.demand - reserved)
            for number, count in reserved.items():
                lines[number, "in hand"] += count
        for number, count in (free & self.shelf.in_hand).items():
            lines[number, "in hand"] += count
        for sold, splits in (
            (self.shelf.kits, purchase.kits),
            (self.shelf.articles, purchase.singles),
        ):
            for article, (ordered, stock) in zip(sold, splits, strict=True):
                lines[article.number, "stock"] += stock
                lines[article.number, "order"] += ordered
        return {line: count for line, count in lines.items() if count}
