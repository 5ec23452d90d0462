"""Cautions of an answer on its question: fits not asked, and doubts accepted."""

from __future__ import annotations

from fitsolver.doubts.question import question_of
from fitsolver.doubts.set_aside import cautions_of
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job


def asked_cautions(job: Job, catalogue: Catalogue) -> tuple[str, ...]:
    """Return the cautions about fits that a job does not ask for, and doubts that it accepts."""
    from fitsolver.choices.asked import question_cautions

    return (*question_cautions(question_of(job, catalogue)), *cautions_of(catalogue))
