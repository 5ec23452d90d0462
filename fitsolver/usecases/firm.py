"""The verb `firm` on records: how far figures may go before the pick changes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.base.deadline import Clock, Progress, seconds
from fitsolver.picking.decide import decided
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

if TYPE_CHECKING:
    from fitsolver.records.firm import FirmAnswer


def how_firm(
    job: Job,
    catalogue: Catalogue,
    *,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> FirmAnswer:
    """Return how far the figures of a job may go before its pick changes; see `firm`.

    After `time_limit` (seconds; None = until it is done) the margins found by then are returned,
    with a caution that says so. Raises InputError for a limit that is no time.
    """
    from fitsolver.explain.firmness import firmness

    clock = Clock(seconds(time_limit), progress)
    found = decided(job, catalogue, time_limit=time_limit, progress=progress, rows_back=False)
    return firmness(found.ready, catalogue, found.answer, clock)
