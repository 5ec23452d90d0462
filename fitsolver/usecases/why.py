"""The verb `why` on records: the reasons of a plan, or of there being none."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.picking.ready import made_ready, of_measuring
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.heading import parts_head
from fitsolver.records.job import Job
from fitsolver.usecases.asked import asked_cautions

if TYPE_CHECKING:
    from fitsolver.records.why import WhyAnswer


def reasons(job: Job, catalogue: Catalogue) -> WhyAnswer:
    """Return the reasons of a job's plan, or of there being none; see `why`."""
    from fitsolver.explain.binding import choice_reasons
    from fitsolver.explain.competing import many_too_few
    from fitsolver.explain.why import nothing_fits
    from fitsolver.picking.checked_plan import checked_plan
    from fitsolver.planning.cautions import cautions
    from fitsolver.records.why import WhyAnswer
    from fitsolver.solving.problem import problem
    from fitsolver.solving.solve import Solution, best

    ready = made_ready(job, catalogue)
    task = problem(ready.job, catalogue)
    few = many_too_few(task) is not None
    found = Solution(None, (), settled=True) if few else best(task)
    answer = WhyAnswer(
        **parts_head(job, catalogue),
        currency=catalogue.currency,
        status="nothing fits" if found.selection is None else "proven best",
    )
    if found.selection is None:
        told = nothing_fits(task, ready)
        update: dict[str, object] = {
            "conflicts": told.conflicts,
            "near_misses": told.near_misses,
            "openings": told.openings,
            "cautions": (
                *asked_cautions(job, catalogue),
                *of_measuring(ready),
                *cautions(ready.job, catalogue, None, ()),
            ),
        }
        return answer.model_copy(update=update)
    plan = checked_plan(task, found)
    told_of = tuple(choice_reasons(task, found.selection, plan))
    asked = asked_cautions(job, catalogue)
    return answer.model_copy(update={"choices": told_of, "cautions": asked})
