"""Whole choices instead of shares: CP-SAT over known choices, or over all within the gap."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Sequence
from math import ceil
from typing import NamedTuple

import numpy as np
from ortools.sat.python import cp_model

from fitsolver.allotment.columns import Demand, columns
from fitsolver.allotment.engine import engine
from fitsolver.allotment.pool import Choice, Ints, Pool, Priced, cost, usage
from fitsolver.solving.running import run
from fitsolver.solving.search import Clock

#: Solver-own time (the same on every machine) for a look among known choices.
_LOOK = 4.0
#: The gap is looked through by these parts, the smallest first.
_PARTS = (64, 16, 4, 1)


class Found(NamedTuple):
    """`choices` None: none better than the one known was found. `bound`: no solution is below."""

    choices: dict[int, Choice] | None
    bound: int


Column = tuple[Choice, int, Demand]


def among(
    pool: Pool,
    level: int,
    known: Collection[Choice],
    best: dict[int, Choice],
    bound: int,
    clock: Clock,
) -> dict[int, Choice] | None:
    """Return the best solution of known choices that was found soon; None: none is better."""
    told = [
        (c, cost(pool, c.items, level), tuple(sorted(usage(pool, c.items).items()))) for c in known
    ]
    value = sum(cost(pool, choice.items, level) for choice in best.values())
    return _solved(pool, told, value, bound, _solver(clock, look=True), clock).choices


def below(
    whole: Priced,
    level: int,
    gap: Callable[[int], int],
    value: int,
    bound: int,
    prices: Ints,
    clock: Clock,
) -> Found:
    """Return the best solution below `value` on a level, or the proof that there is none.

    No choice that is dearer than its taker's cheapest by more than `gap(value)` is in a solution
    that comes to `value`. First those are looked through that are hardly dearer: a better
    solution among them leaves fewer to look through in the end. Rows without a price are looked
    at only once a solution breaks them: what holds without them holds with them.
    """
    pool, best = whole.pool, None
    rows = set(np.flatnonzero((prices != 0) | pool.tight).tolist())
    for part in _PARTS:
        while True:
            told = columns(whole, level, gap(value - 1) // part, rows, clock)
            if told is None:
                return Found(best, bound)
            solver = _solver(clock, look=part > 1)
            found = _solved(pool, told, value, bound, solver, clock)
            broken = set() if found.choices is None else _broken(pool, found.choices)
            if not broken:
                break
            rows |= broken
            bound = max(bound, found.bound) if part == 1 else bound
        if found.choices is not None:
            best = found.choices
            value = sum(cost(pool, choice.items, level) for choice in best.values())
        if part == 1:
            return Found(best, found.bound)
        if value == bound:
            return Found(best, bound)
    return Found(best, bound)


def _broken(pool: Pool, choices: dict[int, Choice]) -> set[int]:
    """Return the rows of which more is taken than there is."""
    taken = usage(pool, [item for choice in choices.values() for item in choice.items])
    return {row for row, much in taken.items() if much > pool.capacity[row]}


def _solved(
    pool: Pool,
    told: Sequence[Column],
    value: int,
    bound: int,
    solver: cp_model.CpSolver,
    clock: Clock,
) -> Found:
    model = cp_model.CpModel()
    taken = [model.new_bool_var("") for _ in told]
    of_taker: dict[int, list[cp_model.IntVar]] = defaultdict(list)
    of_row: dict[int, list[tuple[int, cp_model.IntVar]]] = defaultdict(list)
    for (choice, _, demand), variable in zip(told, taken, strict=True):
        of_taker[choice.taker].append(variable)
        for row, much in demand:
            of_row[row].append((much, variable))
    if len(of_taker) < pool.takers:
        return Found(None, value)
    for variables in of_taker.values():
        model.add_exactly_one(variables)
    _within(model, pool, of_row)
    total = cp_model.LinearExpr.weighted_sum(taken, [each for _, each, _ in told])
    model.add(total >= bound)
    model.add(total <= value - 1)
    model.minimize(total)
    status = run(solver, model, lambda: clock.interrupted)
    if status == cp_model.INFEASIBLE:
        return Found(None, value)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found(None, bound)
    found = {
        choice.taker: choice
        for (choice, _, _), v in zip(told, taken, strict=True)
        if solver.value(v)
    }
    return Found(found, max(bound, ceil(solver.best_objective_bound - 1e-6)))


def _within(
    model: cp_model.CpModel, pool: Pool, of_row: dict[int, list[tuple[int, cp_model.IntVar]]]
) -> None:
    for row, (most, tight) in enumerate(
        zip(pool.capacity.tolist(), pool.tight.tolist(), strict=True)
    ):
        terms = of_row.get(row, [])
        taken = cp_model.LinearExpr.weighted_sum([v for _, v in terms], [m for m, _ in terms])
        if tight:
            model.add(taken == most)
        elif sum(much for much, _ in terms) > most:
            model.add(taken <= most)


def _solver(clock: Clock, *, look: bool = False) -> cp_model.CpSolver:
    solver = engine(clock)
    if look:
        solver.parameters.max_deterministic_time = _LOOK
    return solver
