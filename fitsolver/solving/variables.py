"""The model's variables: options, rings, gaskets, sizes and purchases."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from ortools.sat.python import cp_model

from fitsolver.base.running import looking
from fitsolver.choices.parts import RingClass, Shelf
from fitsolver.choices.rebuild_steps import Ahead
from fitsolver.choices.types import ALL_RULES, CylinderChoices, Option, RingOption
from fitsolver.fits import availability
from fitsolver.records.base import RuleId
from fitsolver.records.catalogue import Catalogue, Gasket, Sold
from fitsolver.records.job import Job
from fitsolver.solving.terms import Expr, total


@dataclass(slots=True)
class CylinderVars:
    """One cylinder: `low`, `high` are L and H, the smallest and largest local size afterwards.

    Rules add their lower bounds on L and H to `least_low` and `least_high`; `finish` posts them.
    `filing` is by groove, `stacks` by place.
    """

    state: CylinderChoices
    options: list[tuple[Option, cp_model.IntVar]]
    rings: dict[int, list[tuple[RingOption, cp_model.IntVar]]]
    low: cp_model.IntVar
    high: cp_model.IntVar
    stacks: dict[str, list[tuple[Gasket, cp_model.IntVar]]]
    filing: dict[int, cp_model.IntVar] = field(default_factory=dict)
    least_low: list[Expr] = field(default_factory=list)
    least_high: list[Expr] = field(default_factory=list)

    @property
    def spread(self) -> Expr:
        return total([(option.route.spread, x) for option, x in self.options])

    @property
    def removal(self) -> Expr:
        return self.high - total([(option.removal_offset, x) for option, x in self.options])

    @property
    def follows(self) -> bool:
        return any(option.follows for option, _ in self.options)

    def ask_least(self, low: Expr) -> None:
        """Post the lower bound `low` on L; where the bore follows its piston, on every finish."""
        self.least_low.append(low)
        if self.follows:
            self.least_high.append(low + self.spread)


@dataclass(slots=True)
class SupplyVars:
    """Pieces of one kit or article, from stock and on order, each with its upper bound."""

    sold: Sold
    stock: cp_model.IntVar
    most_stock: int
    ordered: cp_model.IntVar
    most_ordered: int


@dataclass(slots=True)
class Model:
    """The CP-SAT model in the making, with what the rules need to know.

    `ahead` returns the later rebuilds of every cylinder, where rebuilds are counted.
    """

    job: Job
    catalogue: Catalogue
    shelf: Shelf
    active: frozenset[RuleId]
    cp: cp_model.CpModel
    cylinders: list[CylinderVars]
    ahead: Callable[[], tuple[Ahead, ...]]
    kits: dict[str, SupplyVars] = field(default_factory=dict)
    singles: dict[str, SupplyVars] = field(default_factory=dict)
    price: Expr = field(default_factory=lambda: total([]))
    days: Expr = field(default_factory=lambda: total([]))

    def choices(self) -> Iterator[cp_model.IntVar]:
        """Yield what decides everything but the purchases."""
        for cylinder in self.cylinders:
            yield from (x for _, x in cylinder.options)
            for rings in cylinder.rings.values():
                yield from (y for _, y in rings)
            for stack in cylinder.stacks.values():
                yield from (count for _, count in stack)
            yield from (cylinder.low, cylinder.high, *cylinder.filing.values())

    def supply(self) -> list[SupplyVars]:
        """Return the purchase variables: kits, then singles, each in number order."""
        return [*self.kits.values(), *self.singles.values()]

    def named(self, names: Sequence[str]) -> list[CylinderVars]:
        """Return the cylinders of those names."""
        return [cylinder for cylinder in self.cylinders if cylinder.state.name in names]


@dataclass(frozen=True, slots=True)
class Choices:
    """The options and ring options one model is built from, per cylinder."""

    state: CylinderChoices
    options: Sequence[Option]
    rings: Sequence[RingOption]


def new_model(
    job: Job,
    catalogue: Catalogue,
    shelf: Shelf,
    choices: Sequence[Choices],
    later: Callable[[], tuple[Ahead, ...]],
    active: frozenset[RuleId] = ALL_RULES,
    cp: cp_model.CpModel | None = None,
) -> Model:
    """Return a model with all variables and the choices tied together, before any rule.

    `later` returns the later rebuilds of every cylinder; `cp` adds the variables to a model that
    holds other jobs.
    """
    cp = cp_model.CpModel() if cp is None else cp
    shared = {
        place.place: _stack(cp, catalogue, place.place, place.most)
        for place in job.gaskets
        if place.shared
    }
    cylinders = [_cylinder(cp, job, catalogue, choice, shared) for choice in looking(choices)]
    for place in job.gaskets:
        for stack in (
            [shared[place.place]]
            if place.shared
            else [cylinder.stacks[place.place] for cylinder in cylinders]
        ):
            count = total([(1, variable) for _, variable in stack])
            cp.add_linear_constraint(count, place.least, place.most)
    model = Model(job, catalogue, shelf, active, cp, cylinders, later)
    _supply(model)
    return model


def _cylinder(
    cp: cp_model.CpModel,
    job: Job,
    catalogue: Catalogue,
    choice: Choices,
    shared: dict[str, list[tuple[Gasket, cp_model.IntVar]]],
) -> CylinderVars:
    options = [(option, cp.new_bool_var("")) for option in choice.options]
    cp.add_exactly_one(variable for _, variable in options)
    rings: dict[int, list[tuple[RingOption, cp_model.IntVar]]] = defaultdict(list)
    by_class: dict[tuple[RingClass, int], list[cp_model.IntVar]] = defaultdict(list)
    for ring in choice.rings:
        variable = cp.new_bool_var("")
        rings[ring.groove].append((ring, variable))
        by_class[ring.ring_class, ring.groove].append(variable)
    with_class: dict[RingClass, list[cp_model.IntVar]] = defaultdict(list)
    for option, variable in options:
        with_class[option.piston.ring_class].append(variable)
    for ring_class, pistons in with_class.items():
        for groove in ring_class.grooves:
            taken = by_class[ring_class, groove.number]
            cp.add(cp_model.LinearExpr.sum(taken) == cp_model.LinearExpr.sum(pistons))
    _pieces_once(cp, rings)
    low, high = _sizes(cp, choice.options)
    stacks = {
        place.place: shared[place.place]
        if place.shared
        else _stack(cp, catalogue, place.place, place.most)
        for place in job.gaskets
    }
    return CylinderVars(choice.state, options, dict(rings), low, high, stacks)


def _pieces_once(
    cp: cp_model.CpModel, rings: Mapping[int, Sequence[tuple[RingOption, cp_model.IntVar]]]
) -> None:
    """A measured or kept ring serves one groove of its cylinder, even with rules relaxed.

    `availability` ensures that it serves only one cylinder.
    """
    takers: dict[tuple[str, str], dict[int, list[cp_model.IntVar]]] = defaultdict(dict)
    for groove, offered in rings.items():
        for ring, variable in offered:
            if ring.candidate.piece:
                takers[ring.candidate.key].setdefault(groove, []).append(variable)
    for by_groove in takers.values():
        if len(by_groove) > 1:
            cp.add_at_most_one(each for taken in by_groove.values() for each in taken)


def _sizes(
    cp: cp_model.CpModel, options: Sequence[Option]
) -> tuple[cp_model.IntVar, cp_model.IntVar]:
    """Return L and H with the narrowest range that the options' own bounds leave."""
    low_from = min((option.floor_low for option in options), default=0)
    high_from = min((option.floor_high for option in options), default=0)
    low_to = max((option.ceiling_low for option in options), default=0)
    high_to = max((option.ceiling_high for option in options), default=0)
    return (
        cp.new_int_var(low_from, max(low_from, low_to), ""),
        cp.new_int_var(high_from, max(high_from, high_to), ""),
    )


def _stack(
    cp: cp_model.CpModel, catalogue: Catalogue, place: str, most: int
) -> list[tuple[Gasket, cp_model.IntVar]]:
    gaskets = sorted(
        (gasket for gasket in catalogue.gaskets if gasket.place == place),
        key=lambda gasket: gasket.number,
    )
    return [(gasket, cp.new_int_var(0, most, "")) for gasket in gaskets]


class Taker(NamedTuple):
    """A variable that takes up to `most` pieces of an unmeasured part.

    Of the takers of one `place` in one cylinder at most `most` pieces are taken together. A shared
    stack has the cylinder name "", so that it counts once.
    """

    cylinder: str
    place: str
    most: int
    variable: cp_model.IntVar


def demand(model: Model) -> dict[str, list[Taker]]:
    """Return who takes an unmeasured part, by part number."""
    found: dict[str, list[Taker]] = defaultdict(list)
    for cylinder in model.cylinders:
        name = cylinder.state.name
        for option, x in cylinder.options:
            if not option.piston.candidate.piece:
                found[option.piston.candidate.part.number].append(Taker(name, "piston", 1, x))
        for groove, rings in cylinder.rings.items():
            for ring, y in rings:
                if not ring.candidate.piece:
                    taker = Taker(name, f"groove {groove}", 1, y)
                    found[ring.candidate.part.number].append(taker)
    for place in model.job.gaskets:
        for cylinder in model.cylinders[:1] if place.shared else model.cylinders:
            name = "" if place.shared else cylinder.state.name
            for gasket, count in cylinder.stacks[place.place]:
                found[gasket.number].append(Taker(name, place.place, place.most, count))
    return found


def _supply(model: Model) -> None:
    """Add the purchase variables: singles of every demandable part, and kits that contain one."""
    most = {
        number: sum({(taker.cylinder, taker.place): taker.most for taker in takers}.values())
        for number, takers in demand(model).items()
    }
    catalogue = model.catalogue
    for article in sorted(
        (*catalogue.pistons, *catalogue.rings, *catalogue.gaskets), key=lambda a: a.number
    ):
        if article.number in most:
            supply = _supply_vars(model.cp, article, most[article.number])
            model.singles[article.number] = supply
    for kit in sorted(catalogue.kits, key=lambda kit: kit.number):
        useful = max(-(-most.get(item.number, 0) // item.count) for item in kit.contents)
        if useful:
            model.kits[kit.number] = _supply_vars(model.cp, kit, useful)


def _supply_vars(cp: cp_model.CpModel, sold: Sold, most: int) -> SupplyVars:
    stock = min(availability.from_stock(sold), most)
    ordered = most if availability.can_order(sold) else 0
    return SupplyVars(
        sold, cp.new_int_var(0, stock, ""), stock, cp.new_int_var(0, ordered, ""), ordered
    )
