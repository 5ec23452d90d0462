"""The steps of later rebuilds of a job's cylinders, from its choices."""

from __future__ import annotations

from collections.abc import Sequence

from fitsolver.base.errors import InputError
from fitsolver.choices.candidates import shelf
from fitsolver.choices.demands import BESIDE_THE_BORE
from fitsolver.choices.options import choices, make_option
from fitsolver.choices.rebuild_steps import (
    Ahead,
    Step,
    cuts,
    endless,
    merged,
    rebuilds,
)
from fitsolver.choices.types import CylinderChoices
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job


def ahead(job: Job, catalogue: Catalogue) -> tuple[Ahead, ...]:
    """Return the later rebuilds of every cylinder of a job.

    The job's lengths are at 20 °C and its guards taken. Raises InputError where the wear of a
    cylinder is unknown, where its rebuilds have no end, and as `choices` does.
    """
    for cylinder in job.cylinders:
        if job.wear_for(cylinder) is None:
            raise InputError(
                "rebuilds are not counted without the wear before each",
                file=job.name,
                field=f"wear_per_rebuild, cylinder {cylinder.name}",
                allowed="a length, in the job or in the cylinder; or earlier records of it",
            )
    restored = [r.restored_bore for r in catalogue.routes if r.restored_bore is not None]
    return tuple(_ahead(job, state, restored) for state in states(job, catalogue, "later"))


def _ahead(job: Job, state: CylinderChoices, restored: Sequence[int]) -> Ahead:
    wear, steps = job.wear_for(state.cylinder), steps_of(state)
    assert wear is not None
    if endless(steps):
        raise InputError(
            "rebuilds have no end: no bore is too large",
            file=job.name,
            field=f"bore_limit, cylinder {state.name}",
            allowed="a bore limit, or an upper edge of the clearance",
        )
    # The work before the first rebuild leaves H no smaller than this.
    smallest = min([state.largest, *restored])
    uncut = [Step(s.route.model_copy(update={"max_cut": None}), s.fitting) for s in steps]
    return Ahead(steps, wear, rebuilds(uncut, smallest, smallest, wear))


def counted(job: Job, catalogue: Catalogue) -> bool:
    """Tell whether rebuilds can be counted: every wear is known and the count is finite."""
    try:
        ahead(job, catalogue)
    except InputError:
        return False
    return True


def steps_of(state: CylinderChoices, nominal_bore: int | None = None) -> tuple[Step, ...]:
    """Return the routes of later rebuilds with the finishes that fit; of one size where given."""
    pistons = {
        (piston.candidate.skirt.low, piston.candidate.skirt.high, piston.clearance): piston
        for piston in state.pistons
        if not piston.refusals and nominal_bore in (None, piston.candidate.part.nominal_bore)
    }.values()
    found = []
    for route in state.routes:
        if not cuts(route.route) or route.refusals:
            continue
        half = route.route.half_width
        # Each rebuild bounds today's bore itself, so no bound is set here.
        bare = route._replace(base=0)
        options = (make_option(state, piston, bare, BESIDE_THE_BORE) for piston in pistons)
        spans = [(o.floor_high - half, o.ceiling_high - half) for o in options if o.has_size]
        found.append(Step(route.route, tuple(merged(spans))))
    return tuple(found)


def states(job: Job, catalogue: Catalogue, when: str) -> tuple[CylinderChoices, ...]:
    """Return the choices of every cylinder with the whole catalogue and nothing pinned.

    Later pistons are not measured yet, so later bores are machined to a set size. A finished bore
    is treated the same way, to show the removal of another size.
    """
    finishing = "set size" if when == "later" else job.finishing
    if finishing == "already finished":
        finishing = "set size"
    cylinders = tuple(
        cylinder.without_parts().model_copy(update={"route": None}) for cylinder in job.cylinders
    )
    free = job.model_copy(update={"finishing": finishing, "in_hand": (), "cylinders": cylinders})
    return choices(free, catalogue, shelf(free, catalogue))
