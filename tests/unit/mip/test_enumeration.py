"""Enumerated columns and their cuts against all there is: small problems, one by one."""

from __future__ import annotations

from itertools import product
from random import Random

import numpy as np
import pytest
from scipy.sparse import csr_array

from fitsolver.base.deadline import Clock
from fitsolver.mip.cuts import Aggregation, gomory_cuts
from fitsolver.mip.cutting_planes import cut_bound
from fitsolver.mip.dual_bound import DualBound, dual_bound
from fitsolver.mip.enumeration import columns_within
from fitsolver.mip.instance import Column, Instance, Items, coefficients, instance_of, objective
from fitsolver.mip.row_codes import Coefs, Survivors
from fitsolver.mip.set_packing import Relaxation, SetPacking

SEEDS = range(40)


def nested(dice: Random) -> Instance:
    """Jobs whose modes share slots, each reaching a little farther, as sizes of removal do."""
    rows, items, jobs = 4, Items(), []
    for _ in range(dice.randrange(1, 4)):
        mine = []
        for _ in range(dice.randrange(1, 3)):
            starts, ends = [], []
            for _ in range(dice.randrange(1, 4)):
                starts.append(len(items))
                for _ in range(dice.randrange(2, 6)):
                    coefs = tuple(
                        (row, dice.randrange(1, 3)) for row in dice.sample(range(rows), 2)
                    )
                    items.add((dice.randrange(9),), coefs)
                ends.append(len(items))
            last = [start + 1 for start in starts]
            for own in range(dice.randrange(1, 5)):
                at = items.add((own,))
                mine.append([(at, at + 1), *zip(starts, last, strict=True)])
                last = [min(e, x + dice.randrange(3)) for x, e in zip(last, ends, strict=True)]
        jobs.append(mine)
    return instance_of(jobs, items, [dice.randrange(3, 9) for _ in range(rows)], 1)


def columns(instance: Instance) -> list[list[Column]]:
    """Return every column of every job."""
    found: list[list[Column]] = [[] for _ in range(instance.jobs)]
    for mode, job in enumerate(instance.mode_job.tolist()):
        slots = range(int(instance.mode_slots[mode]), int(instance.mode_slots[mode + 1]))
        spans = [range(int(instance.first[slot]), int(instance.last[slot])) for slot in slots]
        found[job] += [Column(job, mode, items) for items in product(*spans)]
    return found


def cheapest(
    instance: Instance, dual: DualBound, gap: int, rows: set[int]
) -> dict[tuple[int, Coefs], int]:
    """Return the least cost by job and coefficients of every column within the gap.

    None with a coefficient above the capacity of a row told apart.
    """
    found: dict[tuple[int, Coefs], int] = {}
    for job, mine in enumerate(columns(instance)):
        for column in mine:
            price = sum(int(dual.priced.item[item]) for item in column.items)
            if price > dual.priced.job[job] + gap:
                continue
            own = tuple(
                sorted((r, m) for r, m in coefficients(instance, column).items() if r in rows)
            )
            if any(much > instance.capacity[row] for row, much in own):
                continue
            cost = objective(instance, {job: column}, 0)
            found[job, own] = min(cost, found.get((job, own), cost))
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_columns_are_the_cheapest_of_equal_coefficients(seed: int) -> None:
    dice = Random(seed)
    instance, clock = nested(dice), Clock(None)
    duals = np.array([dice.randrange(3) for _ in instance.capacity], dtype=np.int64)
    dual, gap = dual_bound(instance, 0, duals, 1), dice.randrange(2, 12)
    few, more = {0, 1}, {0, 1, 2}
    told = columns_within(dual.priced, 0, gap, few, clock)
    assert told is not None
    assert {(c.job, d): cost for c, cost, d in told} == cheapest(instance, dual, gap, few)
    for column, cost, _ in told:
        assert objective(instance, {column.job: column}, 0) == cost

    kept = {(column.job, coefs) for column, _, coefs in told if dice.random() < 0.5}
    again = columns_within(dual.priced, 0, gap, more, clock, Survivors(few, kept))
    assert again is not None
    every = cheapest(instance, dual, gap, more)
    own = {key: cost for key, cost in every.items() if (key[0], _only(key[1], few)) in kept}
    assert {(c.job, d): cost for c, cost, d in again} == own


@pytest.mark.parametrize("seed", SEEDS)
def test_with_too_many_columns_none_are_told_never_some(seed: int) -> None:
    dice = Random(seed)
    instance, clock = nested(dice), Clock(None)
    duals = np.array([dice.randrange(3) for _ in instance.capacity], dtype=np.int64)
    dual, gap, rows = dual_bound(instance, 0, duals, 1), dice.randrange(2, 12), {0, 1, 2}
    every = cheapest(instance, dual, gap, rows)
    for most in range(len(every) + 2):
        told = columns_within(dual.priced, 0, gap, rows, clock, most=most)
        assert told is None or {(c.job, d): cost for c, cost, d in told} == every
    assert columns_within(dual.priced, 0, gap, rows, clock) is not None


def _only(told: Coefs, rows: set[int]) -> Coefs:
    return tuple(pair for pair in told if pair[0] in rows)


def drawn(dice: Random) -> SetPacking:
    jobs, rows = dice.randrange(3, 7), dice.randrange(2, 5)
    job = [t for t in range(jobs) for _ in range(dice.randrange(2, 6))]
    coefs = [[dice.choice((0, 0, 1, 2, 3)) for _ in job] for _ in range(rows)]
    return SetPacking(
        jobs=jobs,
        columns=[(Column(t, at, ()), 0, ()) for at, t in enumerate(job)],
        rows=range(rows),
        units=np.ones(rows, dtype=np.int64),
        job=np.array(job, dtype=np.int64),
        cost=np.array([dice.randrange(1, 60) for _ in job], dtype=np.int64),
        coefs=csr_array(np.array(coefs, dtype=np.int64)),
        capacity=np.array([dice.randrange(2, 2 * jobs) for _ in range(rows)], dtype=np.int64),
        equality=np.array([dice.random() < 0.2 for _ in range(rows)], dtype=np.bool_),
    )


def solutions(problem: SetPacking) -> list[tuple[int, ...]]:
    """Return every integer solution within the rows, as columns."""
    each = [np.flatnonzero(problem.job == job).tolist() for job in range(problem.jobs)]
    coefs = problem.coefs.toarray()
    found = []
    for chosen in product(*each):
        used = coefs[:, list(chosen)].sum(axis=1)
        held = np.where(problem.equality, used == problem.capacity, used <= problem.capacity)
        if held.all():
            found.append(chosen)
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_whatever_the_multipliers_no_integer_solution_is_cut_off(seed: int) -> None:
    dice = Random(seed)
    problem = drawn(dice)
    known, aggregation = solutions(problem), Aggregation(problem)
    for _ in range(40):
        size = problem.jobs + len(problem.capacity)
        multipliers = np.array([dice.randrange(-9, 10) for _ in range(size)], dtype=np.int64)
        row = aggregation.rounded(multipliers, dice.randrange(2, 9))
        if row is not None:
            assert row[0].min() >= 0
            assert all(int(row[0][list(chosen)].sum()) <= row[1] for chosen in known)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_raised_bound_is_one(seed: int) -> None:
    problem = drawn(Random(seed))
    found = [(int(problem.cost[list(chosen)].sum()), chosen) for chosen in solutions(problem)]
    best = min((cost for cost, _ in found), default=None)
    for most in (90, 200) if best is None else (best - 1, best, best + 20):
        cut = cut_bound(problem, 0, most, Clock(None))
        assert best is None or cut.bound <= best or best > most
        for cost, chosen in found:
            if cost <= most:
                assert cut.unfixed(most)[list(chosen)].all()
                assert (cut.problem.coefs @ _one(problem, chosen) <= cut.problem.capacity).all()
        near = cut.nearest(most, 3)
        assert min(most, cut.bound) <= near <= most


def _one(
    problem: SetPacking, chosen: tuple[int, ...]
) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    return np.bincount(chosen, minlength=len(problem.job)).astype(np.int64)


def test_fractional_optima_are_cut_off() -> None:
    """Over many problems the cuts close most of what the relaxation leaves open."""
    opened = closed = rows = 0
    for seed in range(120):
        problem = drawn(Random(seed))
        best = min((int(problem.cost[list(c)].sum()) for c in solutions(problem)), default=None)
        if best is None:
            continue
        relaxation = Relaxation(problem, best)
        assert relaxation.solve(20.0)
        opened += relaxation.value < best - 1e-6
        coefs, _ = gomory_cuts(problem, relaxation.values(), relaxation.inverse_rows())
        rows += len(coefs)
        closed += relaxation.value < best - 1e-6 and (
            cut_bound(problem, 0, best, Clock(None)).bound == best
        )
    assert opened > 30
    assert rows > opened
    assert closed > 0.8 * opened
