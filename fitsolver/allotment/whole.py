"""Whole choices instead of shares: CP-SAT over choices that are listed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from math import ceil
from typing import Final, NamedTuple

import numpy as np
from ortools.sat.python import cp_model

from fitsolver.allotment.columns import Column
from fitsolver.allotment.engine import engine
from fitsolver.allotment.highs import Sparse, search
from fitsolver.allotment.pool import Choice, Ints, Pool, demand, usage, value_of, within
from fitsolver.solving.running import run
from fitsolver.solving.search import Clock

#: With more choices than these CP-SAT looks in several ways at once: which of them proves it
#: first cannot be told before.
_MANY: Final = 2_000
_WORKERS: Final = 8
#: Seconds for a look that needs no end.
_LOOK: Final = 10.0


class Found(NamedTuple):
    """`choices` None: none better than the one known was found. `bound`: no solution is below."""

    choices: dict[int, Choice] | None
    bound: int


def broken_by(pool: Pool, choices: Mapping[int, Choice]) -> set[int]:
    """Return the rows of which more is taken than there is."""
    return set(np.flatnonzero(usage(pool, choices.values()) > pool.capacity).tolist())


def listed(
    pool: Pool,
    told: Sequence[Column],
    value: int,
    bound: int,
    clock: Clock,
    patience: float | None = None,
) -> Found:
    """Return the best solution below `value` of listed choices, or the proof that there is none.

    Of rows that the choices do not tell, more may be taken than there is. `patience` is in
    seconds, beside the clock's.
    """
    model = _Model(pool, told)
    if model.lacking:
        return Found(None, value)
    model.cp.add(model.total >= bound)
    model.cp.add(model.total <= value - 1)
    model.cp.minimize(model.total)
    solver = engine(clock)
    if patience is not None:
        most = patience if clock.left is None else min(patience, clock.left)
        solver.parameters.max_time_in_seconds = most
    if len(told) > _MANY:
        solver.parameters.num_workers = _WORKERS
    status = run(solver, model.cp, lambda: clock.interrupted)
    if status == cp_model.INFEASIBLE:
        return Found(None, value)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found(None, bound)
    return Found(model.chosen(solver), max(bound, ceil(solver.best_objective_bound - 1e-6)))


def found_among(
    pool: Pool,
    told: Sequence[Column],
    most: int,
    rows: Collection[int],
    level: int,
    clock: Clock,
) -> dict[int, Choice] | None:
    """Return a good solution of at most so much among listed choices, found soon; else None."""
    costs = np.array([spent for _, spent, _ in told], dtype=np.int64)
    chosen = search(_sparse(pool, told, most, rows, costs), _LOOK, clock)
    if chosen is None:
        return None
    taken = [told[at][0] for at in np.flatnonzero(chosen).tolist()]
    found = {choice.taker: choice for choice in taken}
    held = len(taken) == len(found) == pool.takers and value_of(pool, found, level) <= most
    return found if held and within(pool, found)[sorted(rows)].all() else None


def nearest(
    pool: Pool,
    told: Sequence[Column],
    near: Mapping[int, Choice],
    rows: Collection[int],
    found: Mapping[int, Choice],
    level: int,
    clock: Clock,
) -> dict[int, Choice]:
    """Return those of the choices near that take, of the rows told, what a solution as good does.

    Of solutions as good as the one found the one that keeps most of them is looked for.
    """
    wanted = {t: {r: m for r, m in demand(pool, c).items() if r in rows} for t, c in near.items()}
    same = np.array([dict(takes) == wanted.get(c.taker) for c, _, takes in told], dtype=np.bool_)
    most = value_of(pool, found, level)
    chosen = search(_sparse(pool, told, most, rows, -same.astype(np.int64)), _LOOK, clock)
    if chosen is None:
        held = {(choice.way, choice.items) for choice in found.values()}
        chosen = np.array([(c.way, c.items) in held for c, _, _ in told], dtype=np.bool_)
    takers = {told[at][0].taker for at in np.flatnonzero(chosen & same).tolist()}
    return {taker: choice for taker, choice in near.items() if taker in takers}


def _sparse(
    pool: Pool, told: Sequence[Column], most: int, rows: Collection[int], costs: Ints
) -> Sparse:
    """Return the model of listed choices that come to `most` at most, with other costs."""
    order = sorted(rows)
    row_of = {row: pool.takers + at for at, row in enumerate(order)}
    last = pool.takers + len(order)
    entries = [(choice.taker, at, 1) for at, (choice, _, _) in enumerate(told)]
    entries += [(last, at, spent) for at, (_, spent, _) in enumerate(told)]
    entries += [(row_of[r], at, m) for at, (_, _, takes) in enumerate(told) for r, m in takes]
    at_row, at_column, value = np.array(entries, dtype=np.int64).T
    one, limits = np.ones(pool.takers), pool.capacity[order].astype(np.float64)
    return Sparse(
        costs,
        np.ones(len(told), dtype=np.int64),
        at_row,
        at_column,
        value,
        np.concatenate([one, np.where(pool.tight[order], limits, -np.inf), [-np.inf]]),
        np.concatenate([one, limits, [float(most)]]),
    )


class _Model:
    """A 0/1 variable a listed choice, one a taker, within the capacity of the rows told."""

    def __init__(self, pool: Pool, told: Sequence[Column]) -> None:
        self.told, self.cp = told, cp_model.CpModel()
        self.taken = [self.cp.new_bool_var("") for _ in told]
        of_taker: dict[int, list[cp_model.IntVar]] = defaultdict(list)
        of_row: dict[int, list[tuple[int, cp_model.IntVar]]] = defaultdict(list)
        for (choice, _, takes), variable in zip(told, self.taken, strict=True):
            of_taker[choice.taker].append(variable)
            for row, much in takes:
                of_row[row].append((much, variable))
        self.lacking = len(of_taker) < pool.takers
        for variables in of_taker.values():
            self.cp.add_exactly_one(variables)
        _within(self.cp, pool, of_row)
        self.total = cp_model.LinearExpr.weighted_sum(self.taken, [each for _, each, _ in told])

    def chosen(self, solver: cp_model.CpSolver) -> dict[int, Choice]:
        return {
            choice.taker: choice
            for (choice, _, _), v in zip(self.told, self.taken, strict=True)
            if solver.value(v)
        }


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
