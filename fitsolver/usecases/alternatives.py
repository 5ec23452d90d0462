"""The verb `alternatives` on records: the plans that come after the best one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.base.deadline import Progress, seconds
from fitsolver.base.errors import InputError
from fitsolver.picking.ready import made_ready, of_measuring
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.usecases.asked import asked_cautions

if TYPE_CHECKING:
    from fitsolver.records.alternatives import AlternativesAnswer


def next_plans(
    job: Job,
    catalogue: Catalogue,
    *,
    count: int = 5,
    front: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> AlternativesAnswer:
    """Return the best plans of a job that differ in parts or routes; see `alternatives`."""
    if count < 1:
        raise InputError("no plan is asked for", field="count", found=count, allowed="1 or more")
    from fitsolver.base.deadline import Clock
    from fitsolver.picking.next_best import next_best

    clock = Clock(seconds(time_limit), progress)
    ready = made_ready(job, catalogue)
    answer = next_best(ready, catalogue, count, clock, with_front=front)
    extra = (*asked_cautions(job, catalogue), *of_measuring(ready))
    return answer.model_copy(update={"cautions": (*extra, *answer.cautions)})
