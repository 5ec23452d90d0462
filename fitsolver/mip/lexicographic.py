"""Lexicographic minimisation: each level is proven before the next begins.

On each level column generation gives an exact lower bound. An incumbent that reaches it is optimal;
otherwise the gap is closed. Reduced-cost fixing at the optimum then leaves the next level only
solutions that are as good.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from fitsolver.base.deadline import Clock
from fitsolver.mip.column_generation import relaxed
from fitsolver.mip.dual_bound import cheapest_columns, dual_bound
from fitsolver.mip.fixing import Subinstance, fixed, lifted, projected
from fitsolver.mip.gap import Gap
from fitsolver.mip.heuristics import improved
from fitsolver.mip.instance import (
    Column,
    Instance,
    Solution,
    feasible,
    objective,
    small_ints,
)


@dataclass(frozen=True, slots=True)
class Minimum:
    """A column of every job, the objective value of every level, with the proven bound.

    Levels after the first that is not proven have no bound (None). `face` is the subinstance of
    all solutions that are as good (with rows that hold the levels where fixing alone does not);
    `kept` are the columns in terms of it.
    """

    columns: tuple[Column, ...]
    kept: tuple[Column, ...]
    values: tuple[int, ...]
    bounds: tuple[int | None, ...]
    face: Subinstance

    @property
    def proven(self) -> bool:
        return self.values == self.bounds


class _Level(NamedTuple):
    incumbent: Solution
    bound: int
    face: Subinstance | None
    columns: Collection[Column]


def minimum(
    instance: Instance,
    incumbent: Solution,
    clock: Clock,
    names: Sequence[str],
    seeds: Collection[Column] = (),
    groups: Sequence[Sequence[int]] = (),
) -> Minimum:
    """Return the lexicographic minimum of an instance; `incumbent` is any solution.

    `names` are those of the levels, the first of the instance's; `seeds` are columns worth a look,
    `groups` the groups of rows that cuts are made of. Ends early when the clock does; then the
    bounds say how far the levels are proven.
    """
    whole, columns = instance, seeds
    item_of = np.arange(len(instance.costs))
    mode_of = np.arange(len(instance.mode_job))
    bounds: list[int | None] = []
    for level, name in enumerate(names):
        clock.tell(name)
        if not instance.costs[:, level].any():  # nothing left makes a difference to it
            bounds.append(0)
            continue
        incumbent = improved(instance, incumbent, level)
        found = _minimise(instance, level, incumbent, columns, groups, clock)
        incumbent, value = found.incumbent, objective(instance, found.incumbent, level)
        bounds.append(found.bound)
        if found.face is None:
            break
        face = found.face
        incumbent = {column.job: column for column in projected(incumbent.values(), face)}
        assert len(incumbent) == instance.jobs, "what is best is never fixed"
        columns = projected(found.columns, face)
        instance = face.instance if face.exact else _with_level_row(face, level, value)
        item_of, mode_of = item_of[face.item_of], mode_of[face.mode_of]
    best = Subinstance(instance, True, item_of, mode_of)
    incumbent = dict(sorted(incumbent.items()))
    mine = lifted(incumbent, best)
    values = tuple(objective(whole, mine, level) for level in range(len(names)))
    bounds += [None] * (len(values) - len(bounds))
    return Minimum(tuple(mine.values()), tuple(incumbent.values()), values, tuple(bounds), best)


def _with_level_row(face: Subinstance, level: int, value: int) -> Instance:
    """Return the instance with one more row, which holds a level at its optimum."""
    row, costs = len(face.instance.capacity), face.instance.costs[:, level]
    instance = face.instance.with_rows([value])
    return replace(
        instance,
        rows=np.column_stack([instance.rows, np.where(costs > 0, row, row + 1)]),
        coefs=small_ints(np.column_stack([instance.coefs, costs])),
    )


def _minimise(
    instance: Instance,
    level: int,
    incumbent: Solution,
    columns: Collection[Column],
    groups: Sequence[Sequence[int]],
    clock: Clock,
) -> _Level:
    value = objective(instance, incumbent, level)
    dual = dual_bound(instance, level, np.zeros(len(instance.capacity), dtype=np.int64), 1)
    if dual.bound < value:
        free = {column.job: column for column in cheapest_columns(dual.priced)}
        if feasible(instance, free):
            incumbent, value = free, dual.bound
    if dual.bound == value or clock.left == 0:
        face = fixed(dual, value) if dual.bound == value else None
        return _Level(incumbent, dual.bound, face, columns)
    root = relaxed(instance, level, incumbent, columns, groups, clock)
    dual = max(dual, root.dual, key=lambda some: some.bound)
    gap = Gap(level, root._replace(dual=dual), clock)
    if gap.open:
        gap.close()
    face = gap.face() if gap.bound == gap.value else None
    return _Level(gap.incumbent, gap.bound, face, list(root.weights))
