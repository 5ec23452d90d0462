"""The ways left when nothing fits: each is tried before it is named."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fitsolver.explain.competing import competition
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import Reason
from fitsolver.solving.possible import possible
from fitsolver.solving.problem import Problem, problem


def ways_left(task: Problem, reasons: Iterable[Reason]) -> tuple[str, ...]:
    """Return what would make a plan possible, one sentence a way.

    Restoring is named as the last resort where too much metal is gone, whether this shop
    restores or another has to.
    """
    found = [sentence for job, sentence in _changes(task) if _may(problem(job, task.catalogue))]
    large = any(reason.rule in ("clean_up", "bore_limit", "clearance") for reason in reasons)
    if (
        not found
        and large
        and cuts(task)
        and not any(r.kind == "restore" for r in task.catalogue.routes)
    ):
        found.append(
            "restoring the bore (a sleeve, or new plating) is the way left; the catalogue has no "
            "route for it"
        )
    return tuple(found)


def cuts(task: Problem) -> bool:
    """Tell whether the catalogue has a route that cuts, or the job has none to do."""
    routes = task.catalogue.routes
    return task.job.finishing == "already finished" or any(route.machined for route in routes)


def _may(task: Problem) -> bool:
    """Tell whether there is a plan; where pistons are too few no search is needed."""
    return competition(task) is None and possible(task)


def _changes(task: Problem) -> Iterator[tuple[Job, str]]:
    job = task.job
    yield from _routes(task)
    pinned = [_unpinned(cylinder) for cylinder in job.cylinders]
    if pinned != list(job.cylinders):
        free = job.model_copy(update={"cylinders": tuple(pinned)})
        yield free, "with other parts than those the job pins there is a plan"
    if job.same_size:
        yield job.model_copy(update={"same_size": ()}), "without one size for all there is a plan"
    if job.mass_match:
        yield job.model_copy(update={"mass_match": ()}), "without matched masses there is a plan"
    if job.terms.budget is not None:
        terms = job.terms.model_copy(update={"budget": None})
        yield job.model_copy(update={"terms": terms}), "with a larger budget there is a plan"
    if job.terms.needed_in_days is not None:
        terms = job.terms.model_copy(update={"needed_in_days": None})
        yield job.model_copy(update={"terms": terms}), "with more time there is a plan"


def _routes(task: Problem) -> Iterator[tuple[Job, str]]:
    """Other routes of this shop: first without restoring, then restoring."""
    job = task.job
    if job.finishing == "already finished":
        machined = job.model_copy(update={"finishing": "piston in hand"})
        yield machined, "if the bore may be machined after all there is a plan"
        return
    cutting = tuple(r.name for r in task.catalogue.shop_routes if r.kind != "restore")
    restoring = tuple(r.name for r in task.catalogue.routes if r.kind == "restore")
    if _limits_routes(job):
        other = _with_routes(job, cutting)
        yield other, "with other routes of this shop there is a plan"
        if restoring and not possible(problem(other, task.catalogue)):
            named = " or ".join(f"'{name}'" for name in restoring)
            yield (
                _with_routes(job, (*cutting, *restoring)),
                f"restoring the bore ({named}) is the way left",
            )


def _limits_routes(job: Job) -> bool:
    return bool(job.routes) or any(c.routes or c.route for c in job.cylinders)


def _with_routes(job: Job, routes: tuple[str, ...]) -> Job:
    cylinders = tuple(c.model_copy(update={"routes": (), "route": None}) for c in job.cylinders)
    return job.model_copy(update={"routes": routes, "cylinders": cylinders})


def _unpinned(cylinder: Cylinder) -> Cylinder:
    return cylinder.model_copy(
        update={
            "piston": None,
            "piston_size": None,
            "piston_mass": None,
            "piston_kept": False,
            "rings": (),
        }
    )
