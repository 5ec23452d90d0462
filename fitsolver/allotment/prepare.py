"""The preparation of a job for the allotment of its shop."""

from __future__ import annotations

from fitsolver.allotment.prepared import Prepared
from fitsolver.choices.options import options
from fitsolver.choices.ring_options import ring_options
from fitsolver.choices.types import Option, RingOption
from fitsolver.fits import availability
from fitsolver.picking.ready import made_ready
from fitsolver.records.allotment import ShopJob
from fitsolver.records.base import Level
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.solving.problem import Problem, problem


def prepare(
    entry: ShopJob,
    catalogue: Catalogue,
    order: tuple[Level, ...],
    parts: str = "",
) -> Prepared:
    """Return a job made ready with the shop's order of levels.

    `catalogue` has the whole shelf in stock. Raises InputError as `decide` does.
    """
    job = in_shop(entry.job, order)
    ready = made_ready(job, catalogue)
    task = problem(ready.job, catalogue)
    found = tuple(options(state) for state in task.cylinders)
    rings = tuple(
        ring_options(state, offered, task.shelf.rings)
        for state, offered in zip(task.cylinders, found, strict=True)
    )
    return Prepared(entry, job, task, found, rings, _most(task, found, rings), parts, ready)


def in_shop(job: Job, order: tuple[Level, ...]) -> Job:
    """Return a job with the shop's order of levels; the same object if it has it already."""
    from fitsolver.solving.levels import level_order

    return job if level_order(job) == order else job.model_copy(update={"best": order})


def _most(
    task: Problem,
    found: tuple[tuple[Option, ...], ...],
    rings: tuple[tuple[RingOption, ...], ...],
) -> dict[str, int]:
    """Return the most pieces of each number that the job could take, over all its places."""
    most: dict[str, int] = {}
    for offered, ringed in zip(found, rings, strict=True):
        places = {(o.piston.candidate.part.number, 0) for o in offered if not _piece(o)}
        places |= {(r.candidate.part.number, r.groove) for r in ringed if not r.candidate.piece}
        for number, _ in places:
            most[number] = most.get(number, 0) + 1
    for place in task.job.gaskets:
        for gasket in task.catalogue.gaskets:
            if gasket.place == place.place:
                times = 1 if place.shared else len(task.cylinders)
                most[gasket.number] = most.get(gasket.number, 0) + times * place.most
    for kit in task.catalogue.kits:
        useful = max(-(-most.get(item.number, 0) // item.count) for item in kit.contents)
        if useful and availability.from_stock(kit):
            most[kit.number] = useful
    return {number: count for number, count in most.items() if count}


def _piece(option: Option) -> bool:
    return bool(option.piston.candidate.piece)
