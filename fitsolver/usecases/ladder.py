"""The verb `ladder` on records: the larger sizes and the rebuilds that are left."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.base.deadline import Progress
from fitsolver.doubts.set_aside import cautions_of
from fitsolver.picking.decide import decided
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.heading import parts_head
from fitsolver.records.job import Job

if TYPE_CHECKING:
    from fitsolver.records.ladder import LadderAnswer


def sizes_left(
    job: Job,
    catalogue: Catalogue,
    *,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> LadderAnswer:
    """Return the larger sizes and the rebuilds left of a job's cylinders; see `ladder`."""
    from fitsolver.planning.cautions import ladder_cautions
    from fitsolver.planning.larger_sizes import ladders
    from fitsolver.records.ladder import LadderAnswer

    decision = decided(job, catalogue, time_limit=time_limit, progress=progress, rows_back=False)
    found = ladders(decision.ready.job, catalogue, decision.answer.plan)
    return LadderAnswer(
        **parts_head(job, catalogue),
        status=decision.answer.status,
        cylinders=found,
        cautions=(*cautions_of(catalogue), *ladder_cautions(found)),
    )
