"""Whole choices instead of shares: CP-SAT over known choices, or over all that is left."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from typing import NamedTuple

import numpy as np
from ortools.sat.python import cp_model

from fitsolver.allotment.pool import Choice, Pool, cost, usage
from fitsolver.solving.running import run
from fitsolver.solving.search import Clock

#: Solver-own time (the same on every machine) for a look among known choices.
_LOOK = 4.0


class Found(NamedTuple):
    """`choices` None: none better than the one known was found. `bound`: no solution is below."""

    choices: dict[int, Choice] | None
    bound: int


def among(
    pool: Pool,
    level: int,
    known: Collection[Choice],
    best: dict[int, Choice],
    bound: int,
    clock: Clock,
) -> dict[int, Choice] | None:
    """Return the best solution of known choices that was found soon; None: none is better."""
    model = cp_model.CpModel()
    taken = {choice: model.new_bool_var("") for choice in known}
    of_taker: dict[int, list[cp_model.IntVar]] = defaultdict(list)
    of_row: dict[int, list[tuple[int, cp_model.IntVar]]] = defaultdict(list)
    for choice, variable in taken.items():
        of_taker[choice.taker].append(variable)
        for row, much in usage(pool, choice.items).items():
            of_row[row].append((much, variable))
    for variables in of_taker.values():
        model.add_exactly_one(variables)
    _within(model, pool, of_row)
    costs = [cost(pool, choice.items, level) for choice in taken]
    total = cp_model.LinearExpr.weighted_sum(list(taken.values()), costs)
    value = sum(cost(pool, choice.items, level) for choice in best.values())
    model.add(total >= bound)
    model.add(total <= value - 1)
    model.minimize(total)
    solver = _solver(clock)
    solver.parameters.max_deterministic_time = _LOOK
    status = run(solver, model, lambda: clock.interrupted)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return {choice.taker: choice for choice, v in taken.items() if solver.value(v)}


def below(pool: Pool, level: int, value: int, bound: int, clock: Clock) -> Found:
    """Return a solution below `value` on a level, or the proof that there is none.

    The pool holds every choice that may be in such a solution.
    """
    model = cp_model.CpModel()
    ways = [model.new_bool_var("") for _ in range(len(pool.way_taker))]
    of_taker: dict[int, list[cp_model.IntVar]] = defaultdict(list)
    of_row: dict[int, list[tuple[int, cp_model.IntVar]]] = defaultdict(list)
    places: list[list[tuple[int, cp_model.IntVar]]] = []
    for way, variable in enumerate(ways):
        of_taker[int(pool.way_taker[way])].append(variable)
        for place in range(int(pool.way_places[way]), int(pool.way_places[way + 1])):
            span = range(int(pool.first[place]), int(pool.last[place]))
            # A place with one item needs no choice of its own.
            chosen = (
                [(span[0], variable)]
                if len(span) == 1
                else [(item, model.new_bool_var("")) for item in span]
            )
            if len(span) > 1:
                model.add(sum(v for _, v in chosen) == variable)
            places.append(chosen)
    if len(of_taker) < pool.takers:
        return Found(None, value)
    for variables in of_taker.values():
        model.add_exactly_one(variables)
    terms = [pair for chosen in places for pair in chosen]
    for item, variable in terms:
        for row, much in usage(pool, [item]).items():
            of_row[row].append((much, variable))
    _within(model, pool, of_row)
    costs = pool.costs[[item for item, _ in terms], level].tolist()
    total = cp_model.LinearExpr.weighted_sum([v for _, v in terms], costs)
    model.add(total >= bound)
    model.add(total <= value - 1)
    model.minimize(total)
    solver = _solver(clock)
    solver.parameters.linearization_level = 2
    status = run(solver, model, lambda: clock.interrupted)
    if status == cp_model.INFEASIBLE:
        return Found(None, value)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found(None, bound)
    found = {}
    for way, variable in enumerate(ways):
        if solver.value(variable):
            mine = places[int(pool.way_places[way]) : int(pool.way_places[way + 1])]
            items = tuple(next(item for item, v in place if solver.value(v)) for place in mine)
            found[int(pool.way_taker[way])] = Choice(int(pool.way_taker[way]), way, items)
    reached = int(np.ceil(solver.best_objective_bound - 1e-6))
    return Found(found, max(bound, reached))


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


def _solver(clock: Clock) -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    if clock.left is not None:
        solver.parameters.max_time_in_seconds = clock.left
    return solver
