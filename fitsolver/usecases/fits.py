"""The verb `fits` on records: the part sets for the bores as they are."""

from __future__ import annotations

from fitsolver.picking.ready import made_ready
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.heading import parts_head
from fitsolver.records.job import Job
from fitsolver.records.verdicts import FitsAnswer
from fitsolver.usecases.asked import asked_cautions


def sets_for(job: Job, catalogue: Catalogue) -> FitsAnswer:
    """Return every part set for a job's bores as they are; see `part_sets`."""
    from fitsolver.planning.cautions import cautions
    from fitsolver.usecases.counter import sets_of

    return FitsAnswer(
        **parts_head(job, catalogue),
        currency=catalogue.currency,
        sets=sets_of(made_ready(job, catalogue).job, catalogue),
        cautions=(*asked_cautions(job, catalogue), *cautions(job, catalogue, None, ())),
    )
