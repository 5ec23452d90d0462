"""`compression`: with the squish of the stack taken, the bore keeps the ratio in its window.

At one growth of the piston-to-head distance the lowest ratio is a lower bound on L and the highest
an upper bound on H. Both rise with the growth, nonlinearly, but a stack has few possible
thicknesses. So the model selects one step of thickness; each step carries its bound on L or H.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from ortools.sat.python import cp_model

from fitsolver.choices.types import NO_BOUND, Option, RatioWindow
from fitsolver.solving.stacks import reachable, thickness
from fitsolver.solving.terms import total
from fitsolver.solving.variables import CylinderVars, Model

Taken = list[tuple[Option, cp_model.IntVar]]
#: A bound (ticks), and the thinnest and thickest stack it holds for.
Step = tuple[int, int, int]


def post(model: Model) -> None:
    """Post both edges for all cylinders with a window on their ratio."""
    for cylinder in model.cylinders:
        window = cylinder.state.ratio
        if window is not None:
            _lowest(model, cylinder, window)
            _highest(model, cylinder, window)


def _by_growth(cylinder: CylinderVars, high: bool) -> dict[int, Taken]:
    """Return the options by their growth without gaskets; those without a height are refused."""
    found: dict[int, Taken] = defaultdict(list)
    for option, x in cylinder.options:
        growth = option.piston.stack.growth
        if growth is not None:
            found[growth.high if high else growth.low].append((option, x))
    return found


def _lowest(model: Model, cylinder: CylinderVars, window: RatioWindow) -> None:
    """`L >= smallest bore`, for the most growth that the stack can come to."""
    if window.window.low is None:
        return
    stacks = cylinder.stacks
    stack, thick = thickness(stacks, "high"), reachable(model.job.gaskets, stacks, "high")
    asked = []
    for growth, taken in _by_growth(cylinder, high=True).items():
        start = min(option.floor_low for option, _ in taken)
        limit = max(option.ceiling_low for option, _ in taken)
        bounds = [(window.smallest_bore(growth + each) or 0, each) for each in thick]
        steps = _steps([(0 if b <= start else b, each) for b, each in bounds if b <= limit])
        chosen = _take(model, taken, steps)
        for (least, thinnest, thickest), e in zip(steps, chosen, strict=True):
            model.cp.add(stack >= thinnest).only_enforce_if(e)
            model.cp.add(stack <= thickest).only_enforce_if(e)
            asked.append((least, e))
    if any(least for least, _ in asked):
        cylinder.ask_least(total(asked))


def _highest(model: Model, cylinder: CylinderVars, window: RatioWindow) -> None:
    """`H <= largest bore`, for the least growth that the stack can come to."""
    stacks = cylinder.stacks
    stack, thin = thickness(stacks, "low"), reachable(model.job.gaskets, stacks, "low")
    allowed = []
    for growth, taken in _by_growth(cylinder, high=False).items():
        start = min(option.floor_high for option, _ in taken)
        limit = max(option.ceiling_high for option, _ in taken)
        bounds = [(window.largest_bore(growth + each), each) for each in thin]
        whole = [(NO_BOUND if b is None or b >= limit else b, each) for b, each in bounds]
        steps = _steps([(b, each) for b, each in whole if b >= start])
        chosen = _take(model, taken, steps)
        for (most, thinnest, _), e in zip(steps, chosen, strict=True):
            model.cp.add(stack >= thinnest).only_enforce_if(e)
            allowed.append((most, e))
    if any(most < NO_BOUND for most, _ in allowed):
        model.cp.add(cylinder.high <= total(allowed))


def _steps(bounds: Sequence[tuple[int, int]]) -> list[Step]:
    """Put neighbouring thicknesses (ascending) with one bound together."""
    steps: list[Step] = []
    for value, thick in bounds:
        if steps and steps[-1][0] == value:
            steps[-1] = value, steps[-1][1], thick
        else:
            steps.append((value, thick, thick))
    return steps


def _take(model: Model, taken: Taken, steps: Sequence[Step]) -> list[cp_model.IntVar]:
    """Return a literal for each step: exactly one is true where one of the options is taken."""
    chosen = [model.cp.new_bool_var("") for _ in steps]
    model.cp.add(cp_model.LinearExpr.sum(chosen) == cp_model.LinearExpr.sum([x for _, x in taken]))
    return chosen
