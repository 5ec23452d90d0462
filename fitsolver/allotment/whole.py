"""Whole choices instead of shares: CP-SAT over choices that are listed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from math import ceil
from typing import Final, NamedTuple

import numpy as np
from ortools.sat.python import cp_model
from scipy.sparse import coo_array, csr_array, vstack

from fitsolver.allotment.engine import engine
from fitsolver.allotment.highs import Sparse, search
from fitsolver.allotment.listing import Listing
from fitsolver.allotment.pool import Choice, Ints, Pool, demand, usage, value_of, within
from fitsolver.allotment.tableau import equations
from fitsolver.base.deadline import Clock
from fitsolver.base.running import run

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
    listing: Listing, value: int, bound: int, clock: Clock, patience: float | None = None
) -> Found:
    """Return the best solution below `value` of listed choices, or the proof that there is none.

    Of rows that the choices do not tell, more may be taken than there is. `patience` is in
    seconds, beside the clock's.
    """
    if listing.lacking:
        return Found(None, value)
    model = _Model(listing)
    model.cp.add(model.total >= bound)
    model.cp.add(model.total <= value - 1)
    model.cp.minimize(model.total)
    solver = engine(clock)
    if patience is not None:
        solver.parameters.max_time_in_seconds = clock.at_most(patience)
    if len(listing.columns) > _MANY:
        solver.parameters.num_workers = _WORKERS
    status = run(solver, model.cp, lambda: clock.interrupted)
    if status == cp_model.INFEASIBLE:
        return Found(None, value)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found(None, bound)
    return Found(model.chosen(solver), max(bound, ceil(solver.best_objective_bound - 1e-6)))


def found_among(
    pool: Pool, listing: Listing, most: int, level: int, clock: Clock
) -> dict[int, Choice] | None:
    """Return a good solution of at most so much among listed choices, found soon; else None."""
    chosen = search(_sparse(listing, most, listing.cost), _LOOK, clock)
    if chosen is None:
        return None
    taken = [listing.columns[at][0] for at in np.flatnonzero(chosen).tolist()]
    found = {choice.taker: choice for choice in taken}
    held = len(taken) == len(found) == pool.takers and value_of(pool, found, level) <= most
    return found if held and within(pool, found)[listing.rows].all() else None


def nearest(
    pool: Pool,
    listing: Listing,
    near: Mapping[int, Choice],
    found: Mapping[int, Choice],
    level: int,
    clock: Clock,
) -> dict[int, Choice]:
    """Return those of the choices near that take, of the rows told, what a solution as good does.

    Of solutions as good as the one found the one that keeps most of them is looked for.
    """
    rows = set(listing.rows)
    wanted = {t: {r: m for r, m in demand(pool, c).items() if r in rows} for t, c in near.items()}
    same = np.array([dict(takes) == wanted.get(c.taker) for c, _, takes in listing.columns])
    most = value_of(pool, found, level)
    chosen = search(_sparse(listing, most, -same.astype(np.int64)), _LOOK, clock)
    if chosen is None:
        held = {(choice.way, choice.items) for choice in found.values()}
        chosen = np.array([(c.way, c.items) in held for c, _, _ in listing.columns])
    takers = {listing.columns[at][0].taker for at in np.flatnonzero(chosen & same).tolist()}
    return {taker: choice for taker, choice in near.items() if taker in takers}


def _sparse(listing: Listing, most: int, costs: Ints) -> Sparse:
    """Return the model of listed choices that come to `most` at most, with other costs.

    Only with the rows told: with long rows of large figures HiGHS does not heed its time.
    """
    listing = listing.told
    whole = coo_array(vstack([equations(listing), csr_array(listing.cost[np.newaxis, :])]))
    one, limits = np.ones(listing.takers), listing.capacity.astype(np.float64)
    return Sparse(
        costs,
        np.ones(len(listing.columns), dtype=np.int64),
        whole.coords[0],
        whole.coords[1],
        whole.data,
        np.concatenate([one, np.where(listing.tight, limits, -np.inf), [-np.inf]]),
        np.concatenate([one, limits, [float(most)]]),
    )


class _Model:
    """A 0/1 variable a listed choice, one a taker, within the capacity of the rows."""

    def __init__(self, listing: Listing) -> None:
        self.listing, self.cp = listing, cp_model.CpModel()
        self.taken = [self.cp.new_bool_var("") for _ in listing.columns]
        of_taker: dict[int, list[cp_model.IntVar]] = defaultdict(list)
        for taker, variable in zip(listing.taker.tolist(), self.taken, strict=True):
            of_taker[taker].append(variable)
        for variables in of_taker.values():
            self.cp.add_exactly_one(variables)
        self._within()
        self.total = cp_model.LinearExpr.weighted_sum(self.taken, listing.cost.tolist())

    def _within(self) -> None:
        takes = csr_array(self.listing.takes)
        limits = zip(self.listing.capacity.tolist(), self.listing.tight.tolist(), strict=True)
        for row, (most, tight) in enumerate(limits):
            begin, end = int(takes.indptr[row]), int(takes.indptr[row + 1])
            much = takes.data[begin:end].tolist()
            taken = cp_model.LinearExpr.weighted_sum(
                [self.taken[at] for at in takes.indices[begin:end].tolist()], much
            )
            if tight:
                self.cp.add(taken == most)
            elif sum(much) > most:
                self.cp.add(taken <= most)

    def chosen(self, solver: cp_model.CpSolver) -> dict[int, Choice]:
        return {
            choice.taker: choice
            for (choice, _, _), v in zip(self.listing.columns, self.taken, strict=True)
            if solver.value(v)
        }
