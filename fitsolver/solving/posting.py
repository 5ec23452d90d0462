"""The few ways in which rules bind choices and sizes."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from fitsolver.choices.types import NO_BOUND, Bound, Refusal
from fitsolver.records.base import RuleId
from fitsolver.solving.terms import total
from fitsolver.solving.variables import Model


class Carried(NamedTuple):
    """The rules that bound options, refuse options, bound rings and refuse rings in a model."""

    bounds: frozenset[RuleId]
    refusals: frozenset[RuleId]
    ring_bounds: frozenset[RuleId]
    ring_refusals: frozenset[RuleId]


def carried_by(model: Model) -> Carried:
    """Return which rules the choices of a model carry demands of."""
    options = [option for cylinder in model.cylinders for option, _ in cylinder.options]
    rings = [
        ring for cylinder in model.cylinders for each in cylinder.rings.values() for ring, _ in each
    ]
    bounds: set[RuleId] = set()
    for option in options:
        for asked in (option.least_low, option.most_low, option.least_high, option.most_high):
            bounds.update([rule for rule, _ in asked])
    return Carried(
        frozenset(bounds),
        frozenset(rule for option in options for rule, _ in option.refusals),
        frozenset(rule for ring in rings for rule, _ in (*ring.least, *ring.most)),
        frozenset(rule for ring in rings for rule, _ in ring.refusals),
    )


def bind(model: Model, rule: RuleId, carried: Carried) -> None:
    """Post all that a rule demands of single choices."""
    if rule in carried.bounds:
        sizes_at_least(model, rule)
        sizes_at_most(model, rule)
    if rule in carried.refusals:
        refuse(model, rule)
    if rule in carried.ring_bounds:
        ring_bounds(model, rule)
    if rule in carried.ring_refusals:
        refuse_rings(model, rule)


def sizes_at_least(model: Model, rule: RuleId) -> None:
    """Post a rule's lower bounds on L and H, option by option."""
    for cylinder in model.cylinders:
        for bounds_name, asked in (
            ("least_low", cylinder.least_low),
            ("least_high", cylinder.least_high),
        ):
            terms = [
                (max(_of(getattr(option, bounds_name), rule), default=0), x)
                for option, x in cylinder.options
            ]
            if any(weight for weight, _ in terms):
                asked.append(total(terms))


def sizes_at_most(model: Model, rule: RuleId) -> None:
    """Post a rule's upper bounds on L and H, option by option."""
    for cylinder in model.cylinders:
        for bounds_name, size in (("most_low", cylinder.low), ("most_high", cylinder.high)):
            terms = [
                (min(_of(getattr(option, bounds_name), rule), default=NO_BOUND), x)
                for option, x in cylinder.options
            ]
            if any(weight < NO_BOUND for weight, _ in terms):
                model.cp.add(size <= total(terms))


def ring_bounds(model: Model, rule: RuleId) -> None:
    """Post a rule's bounds on L and H, ring by ring in every groove.

    A piston without the groove has no ring there, and no bound.
    """
    for cylinder in model.cylinders:
        for groove, rings in cylinder.rings.items():
            none = [
                x
                for option, x in cylinder.options
                if all(g.number != groove for g in option.piston.candidate.part.grooves)
            ]
            least = [(max(_of(ring.least, rule), default=0), y) for ring, y in rings]
            if any(weight for weight, _ in least):
                cylinder.ask_least(total(least))
            most = [(min(_of(ring.most, rule), default=NO_BOUND), y) for ring, y in rings]
            if any(weight < NO_BOUND for weight, _ in most):
                model.cp.add(cylinder.high <= total(most + [(NO_BOUND, x) for x in none]))


def refuse(model: Model, rule: RuleId) -> None:
    """Forbid the options that a rule refuses at any size."""
    for cylinder in model.cylinders:
        for option, x in cylinder.options:
            if _refused(option.refusals, rule):
                model.cp.add(x == 0)


def refuse_rings(model: Model, rule: RuleId) -> None:
    """Forbid the rings that a rule refuses in any bore."""
    for cylinder in model.cylinders:
        for rings in cylinder.rings.values():
            for ring, y in rings:
                if _refused(ring.refusals, rule):
                    model.cp.add(y == 0)


def _refused(refusals: Iterable[Refusal], rule: RuleId) -> bool:
    return any(refusal.rule == rule for refusal in refusals)


def _of(bounds: Iterable[Bound], rule: RuleId) -> list[int]:
    return [bound.value for bound in bounds if bound.rule == rule]
