"""The verb `plan` on records: the machining plan, stage by stage."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.base.deadline import Progress
from fitsolver.planning.stages import in_stages
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.usecases.pick import best_plan

if TYPE_CHECKING:
    from fitsolver.records.stages import StagesAnswer


def planned(
    job: Job,
    catalogue: Catalogue,
    *,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> StagesAnswer:
    """Return the machining plan of a job's best plan; see `machining_plan`."""
    return in_stages(best_plan(job, catalogue, time_limit=time_limit, progress=progress), catalogue)
