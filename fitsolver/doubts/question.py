"""What a job asks, and which doubts it accepts."""

from __future__ import annotations

from fitsolver.choices.asked import question
from fitsolver.doubts.job import accepted_doubts
from fitsolver.doubts.look import Look
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import Question


def question_of(job: Job, catalogue: Catalogue) -> Question:
    """Return the fits a job asks for, the fits it leaves open, and the doubts it accepts."""
    if not job.accept:
        return question(job, catalogue)
    from fitsolver.doubts.rows import row_doubts

    rows = [doubt for doubt in row_doubts(catalogue) if doubt.id in job.accept]
    return question(job, catalogue, (*accepted_doubts(Look(job, catalogue)), *rows))
