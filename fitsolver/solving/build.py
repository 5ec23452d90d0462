"""Build the model: choices, active rules and the finish size."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from ortools.sat.python import cp_model

from fitsolver.base.running import looking
from fitsolver.choices.types import NO_BOUND
from fitsolver.records.base import RULES, RuleId
from fitsolver.solving.posting import Carried, bind, carried_by
from fitsolver.solving.rules import (
    availability,
    compression,
    displacement,
    end_gap,
    mass_match,
    port_timing,
    same_size,
    squish,
)
from fitsolver.solving.terms import Expr, total
from fitsolver.solving.variables import CylinderVars, Model

#: The constraints between choices that a rule posts beside its demands on single choices.
POSTS: Final[dict[RuleId, Callable[[Model], None]]] = {
    "end_gap": end_gap.post,
    "squish": squish.post,
    "port_timing": port_timing.post,
    "compression": compression.post,
    "displacement": displacement.post,
    "same_size": same_size.post,
    "mass_match": mass_match.post,
    "availability": availability.post,
}


def build(model: Model) -> Model:
    """Return a new model with its active rules posted, and L and H tied to their bounds."""
    carried = carried_by(model)
    for rule in looking(RULES):
        if rule in model.active:
            post(model, rule, carried)
    for cylinder in looking(model.cylinders):
        _finish(model, cylinder)
    return model


def post(model: Model, rule: RuleId, carried: Carried) -> None:
    """Post one rule: its demands on single choices and its constraints between choices."""
    bind(model, rule, carried)
    if rule in POSTS:
        POSTS[rule](model)


def _finish(model: Model, cylinder: CylinderVars) -> None:
    """Tie L and H: to measured sizes, to one set size, or to the least size the piston needs."""
    as_is = [
        (option.route.smallest, option.route.largest, x)
        for option, x in cylinder.options
        if not option.machined
    ]
    start = [
        (option.route.base if option.machined else option.route.smallest, x)
        for option, x in cylinder.options
    ]
    for smallest, largest, x in as_is:
        model.cp.add(cylinder.low == smallest).only_enforce_if(x)
        model.cp.add(cylinder.high == largest).only_enforce_if(x)
    cylinder.least_low.append(total(start))
    if not cylinder.follows:
        for least in cylinder.least_low:
            model.cp.add(cylinder.low >= least)
        model.cp.add(cylinder.high == cylinder.low + cylinder.spread)
        return
    cylinder.least_high.append(total(start) + cylinder.spread)
    _largest(model, cylinder.low, cylinder.least_low)
    _largest(model, cylinder.high, cylinder.least_high)


def _largest(model: Model, size: cp_model.IntVar, asked: Sequence[Expr]) -> None:
    """Tie a size to the maximum of its lower bounds, each through its own variable.

    Release 9.15 of the solver presolves a maximum over multi-variable expressions wrongly;
    tests/oracle has the case.
    """
    upper = size.proto.domain[len(size.proto.domain) - 1]
    each = []
    for expression in asked:
        variable = model.cp.new_int_var(-NO_BOUND, upper, "")
        model.cp.add(variable == expression)
        each.append(variable)
    model.cp.add_max_equality(size, each)
