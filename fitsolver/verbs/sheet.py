"""The sheet of a job, from its records or its files."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from fitsolver.base.deadline import Progress
from fitsolver.base.lengths import Unit
from fitsolver.paper.page import Paper, WorkSheet, work_sheet
from fitsolver.picking.decide import decided
from fitsolver.planning.stages import in_stages
from fitsolver.plots import inline_profiles
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.usecases.loading import in_file, load


def sheet(  # noqa: PLR0913
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    paper: Paper = "a4",
    made_on: date | None = None,
    unit: Unit | None = None,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> WorkSheet:
    """Return the sheet of a job file: HTML to print and pin at the machine, and its status.

    It carries `made_on` (None = today). Without a plan it says why. Raises as `pick` does.
    """
    job, parts = load(job_file, catalogue, accept=accept, accept_outliers=accept_outliers)
    with in_file(job_file):
        return sheet_of(
            job,
            parts,
            made_on=made_on or date.today(),
            paper=paper,
            unit=unit,
            time_limit=time_limit,
            progress=progress,
        )


def sheet_of(
    job: Job,
    catalogue: Catalogue,
    *,
    made_on: date,
    paper: Paper = "a4",
    unit: Unit | None = None,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> WorkSheet:
    """Return the sheet of a job, to print; see `sheet`."""
    ready, answer = decided(job, catalogue, time_limit=time_limit, progress=progress, doubting=True)
    stages = in_stages(answer, catalogue)
    profiles = inline_profiles(ready.job, unit)
    return work_sheet(ready.job, answer, stages, profiles, made_on=made_on, paper=paper, unit=unit)
