"""The plain model of a shop: one 0/1 variable a cylinder and combination, capacity rows a part.

What anyone would write first, given to solvers at their defaults: the yardstick. It stops after
the first two things that are settled, jobs served and largest removals, as one weighted sum.
"""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Sequence
from typing import Any, NamedTuple

from ortools.linear_solver import pywraplp

from fitsolver.allotment.combinations import Combination, combinations
from fitsolver.allotment.prepared import Prepared

#: A job left out costs more than any removals (ticks).
LEFT_OUT = 10**7


class Ran(NamedTuple):
    """Seconds, the value reached, and whether the solver calls it the best."""

    seconds: float
    value: float
    proven: bool


def listed(jobs: Sequence[Prepared], stock: dict[str, int]) -> list[list[list[Combination]]]:
    """Return the combinations of every cylinder that can be had in time at all."""
    found = []
    for job in jobs:
        due = job.job.terms.needed_in_days
        late = 10**6 if due is None else due
        leads = _leads(job)
        found.append(
            [
                [
                    each
                    for each in combinations(options, rings)
                    if each.days <= late
                    and all(stock.get(n, 0) or leads[n] <= late for n in each.parts)
                ]
                for options, rings in zip(job.options, job.rings, strict=True)
            ]
        )
    return found


def run(
    jobs: Sequence[Prepared],
    told: list[list[list[Combination]]],
    stock: dict[str, int],
    engine: str,
    seconds: float,
) -> Ran:
    """Solve the plain model; `engine` as pywraplp names it, an LP engine gives the relaxation."""
    solver = pywraplp.Solver.CreateSolver(engine)
    relaxed = engine in ("GLOP", "HIGHS_LINEAR_PROGRAMMING", "HIGHS_LP")
    new: Any = (lambda: solver.NumVar(0, 1, "")) if relaxed else (lambda: solver.BoolVar(""))
    taken: dict[str, list[Any]] = defaultdict(list)
    cost = []
    for job, cylinders in zip(jobs, told, strict=True):
        served, largest = new(), solver.NumVar(0, LEFT_OUT, "")
        cost += [largest, LEFT_OUT * (1 - served)]
        leads, late = _leads(job), job.job.terms.needed_in_days
        by_size: dict[int, list[list[Any]]] = defaultdict(list)
        least = solver.NumVar(0, 10**7, "")
        for some in cylinders:
            variables = [new() for _ in some]
            solver.Add(solver.Sum(variables) == served)
            cut = [c.removal * x for c, x in zip(some, variables, strict=True)]
            solver.Add(largest >= solver.Sum(cut))
            if len(cylinders) > 1:
                low = [c.mass[0] * x for c, x in zip(some, variables, strict=True)]
                high = [c.mass[1] * x for c, x in zip(some, variables, strict=True)]
                solver.Add(solver.Sum(high) <= least + job.job.mass_match[0].limit)
                solver.Add(solver.Sum(low) >= least - 10**7 * (1 - served))
            of_size: dict[int, list[Any]] = defaultdict(list)
            for each, x in zip(some, variables, strict=True):
                of_size[each.oversize].append(x)
                for number in each.parts:
                    if (late is not None and leads[number] > late) or leads[number] >= 10**6:
                        taken[number].append(x)
            for size, chosen in of_size.items():
                by_size[size].append(chosen)
        for chosen_of in by_size.values():
            whole = len(chosen_of) == len(cylinders)
            for chosen in chosen_of:
                first = solver.Sum(chosen_of[0]) if whole else 0
                solver.Add(solver.Sum(chosen) == first)
    for number, variables in taken.items():
        solver.Add(solver.Sum(variables) <= stock.get(number, 0))
    solver.Minimize(solver.Sum(cost))
    solver.SetTimeLimit(int(seconds * 1000))
    started = time.monotonic()
    status = solver.Solve()
    gone = time.monotonic() - started
    if status not in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
        return Ran(gone, float("nan"), False)
    return Ran(gone, solver.Objective().Value(), status == pywraplp.Solver.OPTIMAL)


def _leads(job: Prepared) -> dict[str, int]:
    catalogue = job.task.catalogue
    return {
        item.number: 10**6 if item.lead_days is None else item.lead_days
        for item in (*catalogue.pistons, *catalogue.rings)
    }
