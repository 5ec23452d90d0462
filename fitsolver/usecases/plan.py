"""The verb `plan` on records: the machining plan, stage by stage."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.base.deadline import Progress
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.heading import head_like
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer
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


def in_stages(answer: Answer, catalogue: Catalogue) -> StagesAnswer:
    """Return the machining plan of an answer that `decide` gave with this catalogue."""
    from fitsolver.choices.asked import question_cautions
    from fitsolver.planning.stages import stages
    from fitsolver.records.stages import StagesAnswer

    return StagesAnswer(
        **head_like(answer),
        finishing=answer.finishing,
        status=answer.status,
        cylinders=stages(answer, catalogue),
        no_fit=answer.no_fit,
        cautions=(*question_cautions(answer.question), *answer.cautions),
    )
