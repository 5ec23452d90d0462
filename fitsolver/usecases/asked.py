"""What an answer says of its question: what is not asked, and what is accepted against a doubt."""

from __future__ import annotations

from fitsolver.doubts.question import question_of
from fitsolver.doubts.set_aside import cautions_of
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job


def asked_cautions(job: Job, catalogue: Catalogue) -> tuple[str, ...]:
    """Return the cautions about what a job does not ask, and what it accepts against a doubt."""
    from fitsolver.choices.asked import question_cautions

    return (*question_cautions(question_of(job, catalogue)), *cautions_of(catalogue))
