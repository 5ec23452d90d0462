"""Uncertainty budgets of a job, fit by fit, before any part is chosen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.metrology.measured import Measured
from fitsolver.metrology.measuring import cylinder_errors, error_key
from fitsolver.records.base import FitName
from fitsolver.records.budget import Budget
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, Job

if TYPE_CHECKING:
    from fitsolver.metrology.sources import Sources


def budgets(job: Measured, catalogue: Catalogue | None = None) -> tuple[Budget, ...]:
    """Return the budget of every fit of every cylinder that depends on a measurement.

    Fits with a window have one, with its guard; the clearance always has one. `catalogue` is the
    one with which `job` was made ready.
    """
    from fitsolver.metrology.sources import Sources

    sources = Sources()
    return tuple(
        budget
        for cylinder in job.job.cylinders
        for budget in _of_cylinder(job.job, cylinder, sources, catalogue)
    )


def _of_cylinder(
    job: Job, cylinder: Cylinder, sources: Sources, catalogue: Catalogue | None
) -> list[Budget]:
    from fitsolver.metrology.uncertainty import budget

    errors = cylinder_errors(job, cylinder, sources, catalogue)
    # The first window for a fit and groove is the one that holds.
    guards: dict[tuple[FitName, int | None], int] = {}
    for window in job.windows_for(cylinder):
        guards.setdefault(error_key(window), window.guard)
    wanted = [key for key in errors if key in guards or key == ("clearance", None)]
    return [
        budget(
            errors[fit, groove],
            cylinder=cylinder.name,
            fit=fit,
            groove=groove or None,
            guard=guards.get((fit, groove), 0),
            sources=sources,
        )
        for fit, groove in sorted(wanted, key=lambda key: (key[0], key[1] or 0))
    ]
