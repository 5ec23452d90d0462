"""The profile of a job's bores, from its records or its file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from fitsolver.base.lengths import Unit
from fitsolver.metrology.correct import corrected
from fitsolver.plots.bore import bore_profile
from fitsolver.plots.drawing import Drawing
from fitsolver.records.job import Job
from fitsolver.usecases.bore import forms_of
from fitsolver.usecases.loading import load_job


def draw_bores(
    job_file: str | Path,
    *,
    unit: Unit | None = None,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
) -> Drawing | None:
    """Return the profile of every measured bore of a job file; None where none was measured.

    In `unit` or the job's own. Raises as `bore` does.
    """
    job = load_job(job_file, accept=accept, accept_outliers=accept_outliers, windows_needed=False)
    return profile_of(job, unit)


def profile_of(job: Job, unit: Unit | None = None) -> Drawing | None:
    """Return the drawing of every measured bore of a job; None where none was measured."""
    forms = forms_of(job).forms
    return bore_profile(corrected(job, pistons=False)[0], forms, unit=unit) if forms else None
