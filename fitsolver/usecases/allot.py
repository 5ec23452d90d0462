"""The verb `allot` on records: who of a shop gets what of its shelf."""

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
    """Return who of a shop gets what, proven best and every plan checked without the solver.

    `time_limit` is in seconds for the search, without one it ends when all is proven; after
    it, or Ctrl-C, the best found is returned with its gap. `last` is an answer to start from.
    Jobs that no scarce part joins are decided apart: in so many processes as `workers` says
    (None: as this machine has cores), or on the cluster of a Dask scheduler.
    """
    from fitsolver.allotment.allot import allot
    from fitsolver.allotment.spread import Spread

    where = Spread(scheduler, workers)
    return allot(shop, time_limit=time_limit, progress=progress, last=last, where=where)
