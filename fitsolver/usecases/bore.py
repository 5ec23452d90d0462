"""The verb `bore` on records: the form of every measured bore."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.records.heading import job_head
from fitsolver.records.job import Job

if TYPE_CHECKING:
    from fitsolver.records.forms_answer import FormsAnswer


def forms_of(job: Job) -> FormsAnswer:
    """Return the form of every measured bore of a job; see `bore`."""
    from fitsolver.metrology.correct import corrected
    from fitsolver.metrology.form import bore_form
    from fitsolver.metrology.next_reading import next_reading
    from fitsolver.planning.cautions import form_cautions
    from fitsolver.records.forms_answer import FormsAnswer

    job, corrections = corrected(job, pistons=False)
    forms = tuple(
        bore_form(c, job.convention).model_copy(update={"next_reading": next_reading(job, c)})
        for c in job.cylinders
        if c.readings
    )
    return FormsAnswer(
        **job_head(job),
        forms=forms,
        corrections=corrections,
        cautions=form_cautions(job, forms),
    )
