"""Cuts by mixed-integer rounding, in whole numbers: on the modes of an instance, and Gomory's.

A job takes several units of one group of rows together, or none (the pistons of one size). The sum
of a group's rows, divided by that number of units and rounded, cuts off fractional solutions but no
integer one: H. Marchand and L. A. Wolsey, "Aggregation and mixed integer rounding to solve MIPs",
Operations Research 49 (2001).

With multipliers from the basis inverse the same rounding gives Gomory's mixed-integer cuts (R. E.
Gomory, "An algorithm for the mixed integer problem", RAND report RM-2597, 1960). Any integer
multipliers make a valid cut: floating point only proposes them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitsolver.mip.dual_bound import common_denominator, least_of_ranges
from fitsolver.mip.instance import Column, Instance, Ints
from fitsolver.mip.set_packing import SetPacking

#: Most cuts added in one round; the most violated come first.
_MODE_CUTS: Final = 30
#: Largest divisor tried; divisors run from 2 to twice the largest coefficient at most.
_MODE_DIVISORS: Final = 12
#: Least violation, for a largest coefficient of 1.
_VIOLATED: Final = 1e-4
#: The largest divisor looked for.
_DENOMINATORS: Final = 240
#: Scale of multipliers without a common denominator, applied before they are rounded.
_FINE: Final = 1 << 24
#: Most cuts added in one round; the deepest come first.
_GOMORY_CUTS: Final = 40
#: Least depth: violation over the Euclidean norm of the coefficients at columns above 0.
_DEEP: Final = 1e-5
#: Largest coefficient of a cut after scaling, so that floating point stays accurate.
_LARGEST: Final = 10**6
#: Upper limit of every sum.
_ROOM: Final = float(1 << 61)


class ModeRow(NamedTuple):
    """A row on the modes alone: `coefs` (modes) and capacity.

    Each coefficient is the least total use of a group of rows by any column of the mode.
    """

    coefs: Ints
    capacity: int


def aggregated(instance: Instance, groups: Sequence[Sequence[int]]) -> list[ModeRow]:
    """Return the sum of each group of rows, relaxed to the modes; sums without a coefficient are
    left out.
    """
    found = []
    for rows in groups:
        member = np.zeros(len(instance.capacity) + 1, dtype=np.bool_)
        member[list(rows)] = True
        item = (instance.coefs * member[instance.rows]).sum(axis=1)
        slot = least_of_ranges(item, instance.first, instance.last)
        coefs = np.add.reduceat(slot, instance.mode_slots[:-1])
        if coefs.any():
            found.append(ModeRow(coefs, int(instance.capacity[list(rows)].sum())))
    return found


def separated(
    instance: Instance, groups: Sequence[ModeRow], weights: Mapping[Column, float]
) -> list[ModeRow]:
    """Return the rounding cuts that a fractional solution violates most (separation)."""
    modes = np.array([column.mode for column in weights], dtype=np.int64)
    weight = np.array(list(weights.values()))
    found: dict[bytes, tuple[float, ModeRow]] = {}
    for group in groups:
        for row in _cuts(instance, group, modes, weight):
            violation = float(row.coefs[modes] @ weight) - row.capacity
            scale = float(row.coefs.max())
            if violation > _VIOLATED * scale:
                found.setdefault(row.coefs.tobytes(), (violation / scale, row))
    best = sorted(found.values(), key=lambda some: -some[0])
    return [row for _, row in best[:_MODE_CUTS]]


def _cuts(
    instance: Instance, group: ModeRow, modes: Ints, weight: NDArray[np.float64]
) -> Iterator[ModeRow]:
    """Yield rounding cuts whose base is each job's use in the fractional solution."""
    coefs = group.coefs[modes]
    if float(coefs @ weight) < group.capacity - int(coefs.max(initial=0)):
        return
    job = instance.mode_job[modes]
    least = np.full(instance.jobs, np.iinfo(np.int64).max)
    np.minimum.at(least, job, coefs)
    most = np.zeros(instance.jobs, dtype=np.int64)
    np.maximum.at(most, job, coefs)
    mean = np.bincount(job, weights=coefs * weight, minlength=instance.jobs)
    near = np.where(mean - least < most - mean, least, most)
    for base in {some.tobytes(): some for some in (least, most, near)}.values():
        for divisor in range(2, min(_MODE_DIVISORS, 2 * int(coefs.max(initial=0))) + 1):
            row = rounded(instance, group, base, divisor)
            if row is not None:
                yield row


def rounded(instance: Instance, group: ModeRow, base: Ints, divisor: int) -> ModeRow | None:
    """Return the rounding cut of a row and a divisor; None where the remainder is 0.

    `base` (jobs) is subtracted from each job's coefficients. With g the coefficient of a mode above
    its base, C the capacity less all bases, r = C mod d and F as in `rounding`, every integer
    solution x has sum F(g) x <= F(C).
    """
    above = group.coefs - base[instance.mode_job]
    capacity = group.capacity - int(base.sum())
    remainder = capacity % divisor
    if remainder == 0:
        return None
    coefs = rounding(above, divisor, remainder)
    # Less the least of its job, no coefficient is below 0.
    least: Ints = np.asarray(instance.least_of_modes(coefs), dtype=np.int64)
    return ModeRow(
        coefs - least[instance.mode_job],
        (divisor - remainder) * (capacity // divisor) - int(least.sum()),
    )


def rounding(figures: Ints, divisor: int, remainder: int) -> Ints:
    """Return F(v) = (d - r) floor(v / d) + max(0, v mod d - r): d - r times the MIR function."""
    whole: Ints = (divisor - remainder) * (figures // divisor)
    return whole + np.maximum(0, figures % divisor - remainder)


def with_cuts(instance: Instance, cuts: Sequence[ModeRow]) -> Instance:
    """Return the instance with cuts as more rows."""
    if not cuts:
        return instance
    known = len(instance.capacity)
    return replace(
        instance.with_rows([row.capacity for row in cuts]),
        mode_rows=np.append(instance.mode_rows, np.arange(known, known + len(cuts))),
        mode_coefs=np.column_stack([instance.mode_coefs, *(row.coefs for row in cuts)]),
    )


def gomory_cuts(
    problem: SetPacking,
    values: NDArray[np.float64],
    inverse: Iterable[NDArray[np.float64]],
) -> tuple[NDArray[np.int64], Ints]:
    """Return the deepest cuts of fractional values (columns): coefficients (cuts, columns) and
    capacity (cuts).

    `inverse` yields rows of the basis inverse (jobs + rows).
    """
    aggregation = Aggregation(problem)
    found: dict[bytes, tuple[float, Ints, int]] = {}
    for row in inverse:
        divisor = common_denominator(row, _DENOMINATORS) or _FINE
        cut = aggregation.rounded(np.rint(row * divisor).astype(np.int64), divisor)
        if cut is None:
            continue
        coefs, capacity = cut
        norm = float(np.linalg.norm(coefs[values > 0]))
        depth = float(coefs @ values - capacity) / max(1.0, norm)
        if depth > _DEEP:
            found.setdefault(coefs.tobytes(), (depth, coefs, capacity))
    best = sorted(found.values(), key=lambda some: -some[0])[:_GOMORY_CUTS]
    columns = len(problem.job)
    return (
        np.array([coefs for _, coefs, _ in best], dtype=np.int64).reshape(-1, columns),
        np.array([capacity for _, _, capacity in best], dtype=np.int64),
    )


class Aggregation:
    """Sums of the rows of a problem, the convexity rows first."""

    def __init__(self, problem: SetPacking) -> None:
        self.problem = problem
        self.coefs = problem.matrix.tocsr()
        ones = np.ones(problem.jobs, dtype=np.int64)
        self.capacity = np.concatenate([ones, problem.capacity])
        self.equality = np.concatenate([ones.astype(np.bool_), problem.equality])
        largest = self.coefs.max(axis=1).toarray()
        self.reach = np.maximum(self.capacity, largest).astype(np.float64)

    def rounded(self, multipliers: Ints, divisor: int) -> tuple[Ints, int] | None:
        """Return the rounding cut of a sum of rows; None where its remainder is 0.

        The slack s of an inequality row is integer and not below 0. With the sum of the rows as
        a x + u s = b, r = b mod d and F as in `rounding`, every integer solution has
        F(a) x + F(u) s <= F(b); s is substituted out.
        """
        at = np.flatnonzero(multipliers)
        if np.abs(multipliers[at]).astype(np.float64) @ self.reach[at] > _ROOM:
            return None
        total = int(multipliers @ self.capacity)
        remainder = total % divisor
        if remainder == 0:
            return None
        coefs = rounding(multipliers[at] @ self.coefs[at, :], divisor, remainder)
        capacity = (divisor - remainder) * (total // divisor)
        inequality = at[~self.equality[at]]
        slack = rounding(multipliers[inequality], divisor, remainder)
        coefs = coefs - slack @ self.coefs[inequality, :]
        capacity -= int(slack @ self.capacity[inequality])
        least = self.problem.least_of_jobs(coefs)  # counted from there no coefficient is below 0
        coefs = coefs - least[self.problem.job]
        common = max(1, int(np.gcd.reduce(coefs)), -(-int(coefs.max(initial=0)) // _LARGEST))
        return coefs // common, (capacity - int(least.sum())) // common  # x is not below 0
