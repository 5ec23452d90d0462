"""The verb `pick` on records: the best plan, where no reading that alone decides is doubted."""

from __future__ import annotations

from fitsolver.base.deadline import Progress
from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer


def best_plan(
    job: Job,
    catalogue: Catalogue,
    *,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> Answer:
    """Return the best plan of a job, or why nothing fits; see `pick`."""
    return decide(job, catalogue, time_limit=time_limit, progress=progress, doubting=True)
