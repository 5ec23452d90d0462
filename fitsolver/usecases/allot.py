"""The verb `allot` on records: allotment of a shop's shelf to its jobs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.base.deadline import Progress

if TYPE_CHECKING:
    from fitsolver.records.allotment import AllotmentAnswer, Shop


def allot_shop(
    shop: Shop,
    *,
    time_limit: float | None = None,
    progress: Progress | None = None,
    last: AllotmentAnswer | None = None,
    scheduler: str | None = None,
    workers: int | None = None,
) -> AllotmentAnswer:
    """Return the proven best allotment of a shop's shelf, every plan checked without the solver.

    `time_limit` (seconds) bounds the search; without one it ends with the proof. After it, or on
    Ctrl-C, the best allotment found is returned with its gap. `last` is an answer to start from.
    Jobs without a common scarce part are decided separately: in `workers` processes (None: one for
    each core), or on the cluster of a Dask scheduler.
    """
    from fitsolver.allotment.allot import allot
    from fitsolver.allotment.spread import Spread

    where = Spread(scheduler, workers)
    return allot(shop, time_limit=time_limit, progress=progress, last=last, where=where)
