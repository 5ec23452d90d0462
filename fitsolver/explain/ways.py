"""Ways out when nothing fits: each is tested before it is named."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitsolver.explain.joined import Joined
from fitsolver.fits.route_cut import takes_material
from fitsolver.matching.words import listed
from fitsolver.metrology.materials import is_plated
from fitsolver.records.job import Job
from fitsolver.records.plan import Reason
from fitsolver.records.windows import Window
from fitsolver.solving.joint_model import TERMS
from fitsolver.solving.possible import JOINING
from fitsolver.solving.problem import Problem, problem


def ways_left(
    joined: Joined, reasons: Sequence[Reason], *, height_unknown: bool = False
) -> tuple[str, ...]:
    """Return what would make a plan possible, one sentence a way.

    Restoring is named as the last resort where too much metal is gone, whether this shop
    restores or another has to. `height_unknown`: a reason is that the compression height of a
    piston is not known.
    """
    task = joined.task
    found = list(_ways(joined))
    large = any(reason.rule in ("clean_up", "bore_limit", "clearance") for reason in reasons)
    if (
        not found
        and large
        and cuts(task)
        and not any(r.kind == "restore" for r in task.catalogue.routes)
    ):
        found.append(
            "sleeving or re-plating the bore is the way left; the catalogue has no work for it"
        )
    if not found and height_unknown:
        found += _without_heights(task)
    if not found:
        found += _for_the_material(task)
    if not found and not cuts(task):
        found.append("work that takes metal, listed in routes.csv; what fits then was not tried")
    return tuple(found)


def _without_heights(task: Problem) -> Iterator[str]:
    """A plan with squish left open, where no piston's compression height is known."""

    def opened(windows: tuple[Window, ...]) -> tuple[Window, ...]:
        return tuple(window for window in windows if window.fit != "squish")

    job = task.job
    cylinders = tuple(
        cylinder.model_copy(update={"windows": opened(cylinder.windows)})
        for cylinder in job.cylinders
    )
    update = {"windows": opened(job.windows), "cylinders": cylinders}
    if _may(job.model_copy(update=update), task):
        yield (
            "with the compression height of the piston in the catalogue, or squish left open by "
            "name (no_window), there is a plan"
        )


def _for_the_material(task: Problem) -> Iterator[str]:
    """Work for a material that no route which cuts is for; a plating is never cut."""
    routes = [route for route in task.catalogue.routes if route.machined]
    lacking = dict.fromkeys(
        cylinder.material
        for cylinder in task.job.cylinders
        if not any(takes_material(route, cylinder.material) for route in routes)
    )
    if not routes or not lacking or any(map(is_plated, lacking)):
        return
    open_to_all = tuple(r.model_copy(update={"materials": ()}) for r in task.catalogue.routes)
    catalogue = task.catalogue.model_copy(update={"routes": open_to_all})
    if Joined(problem(task.job, catalogue)).possible():
        wanted = listed(list(lacking))
        known = listed(list(dict.fromkeys(word for r in routes for word in r.materials)))
        yield (
            f"with work for {wanted} there is a plan: list it in routes.csv, or put the material "
            f"right (work here is for {known})"
        )


def cuts(task: Problem) -> bool:
    """Tell whether the catalogue has a cutting route, or the job needs none."""
    routes = task.catalogue.routes
    return task.job.finishing == "already finished" or any(route.machined for route in routes)


def _may(job: Job, task: Problem) -> bool:
    """Tell whether a changed job has a plan."""
    return Joined(problem(job, task.catalogue)).possible()


def _ways(joined: Joined) -> Iterator[str]:
    task, job = joined.task, joined.task.job
    yield from _routes(task)
    pinned = tuple(cylinder.without_parts() for cylinder in job.cylinders)
    if pinned != job.cylinders and _may(job.model_copy(update={"cylinders": pinned}), task):
        yield "with other parts than those the job pins there is a plan"
    if job.same_size and joined.possible(JOINING - {"same_size"}):
        yield "without one size for all there is a plan"
    if job.mass_match and joined.possible(JOINING - {"mass_match"}):
        yield "without matched masses there is a plan"
    if job.terms.budget is not None and joined.possible(JOINING, TERMS - {"budget"}):
        yield "with a larger budget there is a plan"
    if job.terms.needed_in_days is not None and joined.possible(
        JOINING, TERMS - {"needed_in_days"}
    ):
        yield "with more time there is a plan"


def _routes(task: Problem) -> Iterator[str]:
    """Other routes of this shop: first without restoring, then restoring."""
    job = task.job
    if job.finishing == "already finished":
        if _may(job.model_copy(update={"finishing": "piston in hand"}), task):
            yield "if the bore may be machined after all there is a plan"
        return
    if not _limits_routes(job):
        return
    cutting = tuple(r.name for r in task.catalogue.shop_routes if r.kind != "restore")
    restoring = tuple(r.name for r in task.catalogue.routes if r.kind == "restore")
    if _may(_with_routes(job, cutting), task):
        yield "with other routes of this shop there is a plan"
    elif restoring and _may(_with_routes(job, (*cutting, *restoring)), task):
        named = " or ".join(f"'{name}'" for name in restoring)
        yield f"sleeving or re-plating the bore ({named}) is the way left"


def _limits_routes(job: Job) -> bool:
    return bool(job.routes) or any(c.routes or c.route for c in job.cylinders)


def _with_routes(job: Job, routes: tuple[str, ...]) -> Job:
    cylinders = tuple(c.model_copy(update={"routes": (), "route": None}) for c in job.cylinders)
    return job.model_copy(update={"routes": routes, "cylinders": cylinders})
