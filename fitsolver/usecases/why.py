"""The verb `why` on records: the reasons of a plan, or of there being none."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.base.deadline import Progress, seconds
from fitsolver.picking.ready import made_ready, of_measuring
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.heading import parts_head
from fitsolver.records.job import Job
from fitsolver.usecases.asked import asked_cautions

if TYPE_CHECKING:
    from fitsolver.records.why import WhyAnswer


def reasons(
    job: Job,
    catalogue: Catalogue,
    *,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> WhyAnswer:
    """Return the reasons of a job's plan, or of there being none; see `why`."""
    from fitsolver.base.deadline import Clock
    from fitsolver.base.running import in_time
    from fitsolver.explain.binding import choice_reasons
    from fitsolver.explain.competing import many_too_few
    from fitsolver.explain.joined import Joined
    from fitsolver.explain.why import nothing_fits
    from fitsolver.picking.checked_plan import checked_plan
    from fitsolver.planning.cautions import cautions
    from fitsolver.records.why import WhyAnswer
    from fitsolver.solving.problem import problem
    from fitsolver.solving.solve import Solution, best, status_of

    clock = Clock(seconds(time_limit), progress)
    ready = made_ready(job, catalogue)
    task = problem(ready.job, catalogue)
    few, none = many_too_few(task) is not None, Solution(None, (), settled=True)
    found = none if few else best(task, clock, hopeless=Joined(task).denied)
    answer = WhyAnswer(
        **parts_head(job, catalogue),
        currency=catalogue.currency,
        status=status_of(found),
        complete=False,
    )
    asked = asked_cautions(job, catalogue)
    if answer.status == "nothing fits":
        told = nothing_fits(task, ready, clock)
        update: dict[str, object] = {
            "conflicts": told.conflicts,
            "near_misses": told.near_misses,
            "openings": told.openings,
            "complete": told.complete,
            "cautions": (
                *asked,
                *of_measuring(ready),
                *cautions(ready.job, catalogue, None, ()),
            ),
        }
        return answer.model_copy(update=update)
    answer = answer.model_copy(update={"cautions": asked})
    if found.selection is None or not found.proven:
        return answer
    plan = checked_plan(task, found)
    clock.tell("choices")
    choices, complete = in_time(choice_reasons(task, found.selection, plan), clock)
    return answer.model_copy(update={"choices": choices, "complete": complete})
