"""Build the model: choices, every active rule, and the finish size they leave."""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from typing import Final

from ortools.sat.python import cp_model

from fitsolver.choices.candidates import Shelf
from fitsolver.choices.options import ALL_RULES, NO_BOUND
from fitsolver.records.base import RULES, RuleId
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.solving.variables import Choices, CylinderVars, Expr, Model, new_model, total

#: One module a rule in `solving/rules`, found by its id.
POSTS: Final = {rule: import_module(f"fitsolver.solving.rules.{rule}").post for rule in RULES}


def build(
    job: Job,
    catalogue: Catalogue,
    shelf: Shelf,
    choices: Sequence[Choices],
    active: frozenset[RuleId] = ALL_RULES,
    cp: cp_model.CpModel | None = None,
) -> Model:
    """Return the whole model of a job with the rules in `active`; `cp` as in `new_model`."""
    model = new_model(job, catalogue, shelf, choices, active, cp)
    for rule in RULES:
        if rule in active:
            POSTS[rule](model)
    for cylinder in model.cylinders:
        _finish(model, cylinder)
    return model


def _finish(model: Model, cylinder: CylinderVars) -> None:
    """Tie L and H: what is measured, one size for all, or the least the piston asks for."""
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
    """Tie a size to the largest of what is asked, each through a variable of its own.

    Expressions of several variables inside a maximum are presolved wrongly by the solver's
    release 9.15; tests/oracle has the case.
    """
    upper = size.proto.domain[len(size.proto.domain) - 1]
    each = []
    for expression in asked:
        variable = model.cp.new_int_var(-NO_BOUND, upper, "")
        model.cp.add(variable == expression)
        each.append(variable)
    model.cp.add_max_equality(size, each)
