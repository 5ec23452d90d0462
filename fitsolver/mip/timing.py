"""Time demands of items: a job that waits for ordered pieces spares the capacity of their row.

An item always uses its coefficients in the rows. It may also want pieces of a row: they come from
its capacity or, if the job waits for the order, from elsewhere. A job is done when its parts are
there and its work is done: one after the other (`added`), or both at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from fitsolver.mip.instance import Flags, Instance, Ints


class Wanted(NamedTuple):
    """A demand for some pieces of a row, or a wait of some days instead."""

    row: int
    pieces: int
    days: int


@dataclass(frozen=True, slots=True)
class Timing:
    """`lead`, `work` (items): days that an item's parts and work take at least.

    `wanted`: the pieces of each item that can be ordered instead. `added` (jobs): lead and work add
    up, else the longer of both counts.
    """

    lead: Ints
    work: Ints
    wanted: Mapping[int, Sequence[Wanted]]
    added: Flags


def most_wanted(instance: Instance, timing: Timing) -> Ints:
    """Return (jobs, rows) the largest coefficient plus wanted pieces of any column of a job."""
    rows = len(instance.capacity)
    item = np.zeros((len(instance.costs), rows + 1), dtype=np.int64)
    every = np.arange(len(instance.costs))[:, np.newaxis]
    np.add.at(item, (every, instance.rows), instance.coefs)
    for at, some in timing.wanted.items():
        for each in some:
            item[at, each.row] += each.pieces
    found = np.zeros((instance.jobs, rows), dtype=np.int64)
    first, last = instance.first.tolist(), instance.last.tolist()
    for mode, job in enumerate(instance.mode_job.tolist()):
        whole = np.zeros(rows + 1, dtype=np.int64)
        for slot in range(int(instance.mode_slots[mode]), int(instance.mode_slots[mode + 1])):
            whole += item[first[slot] : last[slot]].max(axis=0)
        np.add.at(whole, instance.mode_rows, instance.mode_coefs[mode])
        np.maximum(found[job], whole[:-1], out=found[job])
    return found


def binding(instance: Instance, most: Ints) -> Flags:
    """Tell (rows) which rows all jobs together could violate; `most` comes from `most_wanted`."""
    found: Flags = instance.equality | (most.sum(axis=0) > instance.capacity)
    return found


def independent(most: Ints, binds: Flags) -> list[list[int]]:
    """Return the jobs in groups that no binding row joins."""
    job, row = np.nonzero(most * binds)
    jobs, rows = most.shape
    graph = coo_array((np.ones(len(job)), (job, jobs + row)), shape=(jobs + rows, jobs + rows))
    _, group = connected_components(graph, directed=False)
    return [np.flatnonzero(group[:jobs] == at).tolist() for at in dict.fromkeys(group[:jobs])]
