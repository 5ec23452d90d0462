"""The verb `final` on records: pass or fail for every fit of finished cylinders."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.picking.ready import made_ready, of_measuring
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.heading import parts_head
from fitsolver.records.job import Job
from fitsolver.usecases.asked import asked_cautions

if TYPE_CHECKING:
    from fitsolver.records.final import FinalAnswer


def final_verdict(job: Job, catalogue: Catalogue) -> FinalAnswer:
    """Return the verdict on every fit of a job's finished cylinders; see `final`."""
    from fitsolver.records.final import FinalAnswer
    from fitsolver.usecases.final_check import final_check, verdict_of

    ready = made_ready(job, catalogue)
    found = final_check(ready.job, catalogue)
    failed = any(item.verdict == "fail" for item in found.cylinders)
    failed = failed or not all(item.holds for item in found.together)
    judged = all(item.judged for item in found.cylinders)
    return FinalAnswer(
        **parts_head(job, catalogue),
        cylinders=found.cylinders,
        together=found.together,
        passes=judged and not failed,
        verdict=verdict_of(failed=failed, judged=judged),
        judged=judged,
        probability=found.probability,
        odds_of=found.odds_of,
        corrections=ready.corrections,
        cautions=(*asked_cautions(job, catalogue), *of_measuring(ready), *found.cautions),
    )
