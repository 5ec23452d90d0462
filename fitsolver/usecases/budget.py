"""The verb `budget` on records: what makes each fit uncertain."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.base.errors import InputError
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.heading import job_head
from fitsolver.records.job import Job

if TYPE_CHECKING:
    from fitsolver.records.budget import Batch, BudgetAnswer


def budget_of(job: Job, catalogue: Catalogue | None, batch: Batch | None = None) -> BudgetAnswer:
    """Return the uncertainty budget of every fit of a job; see `budget`."""
    from fitsolver.metrology.batches import batch_risks
    from fitsolver.metrology.budgets import budgets
    from fitsolver.metrology.measuring import measured
    from fitsolver.planning.measuring_cautions import budget_cautions
    from fitsolver.records.budget import BudgetAnswer

    check_measured(job)
    ready = measured(job, catalogue)
    found = budgets(ready, catalogue)
    return BudgetAnswer(
        **job_head(job),
        budgets=found,
        batch=() if batch is None else batch_risks(ready, found, batch),
        corrections=ready.corrections,
        cautions=budget_cautions(ready.job, found),
    )


def is_measured(job: Job) -> bool:
    """Tell whether a job says which instruments it was measured with."""
    return job.measuring is not None and bool(job.measuring.instruments or job.measuring.set_name)


def check_measured(job: Job, file: str = "") -> None:
    """Raise InputError for a job that does not say which instruments it was measured with."""
    if not is_measured(job):
        raise InputError(
            "the job does not say which instruments it was measured with",
            file=file,
            field="measuring",
            allowed="a [measuring] table with instruments",
        )
