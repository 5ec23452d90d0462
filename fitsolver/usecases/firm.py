"""The verb `firm` on records: how far figures may go before the pick changes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.base.deadline import Progress
from fitsolver.picking.decide import decided
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

if TYPE_CHECKING:
    from fitsolver.records.firm import FirmAnswer


def how_firm(job: Job, catalogue: Catalogue, *, progress: Progress | None = None) -> FirmAnswer:
    """Return how far the figures of a job may go before its pick changes; see `firm`."""
    from fitsolver.explain.firmness import firmness

    found = decided(job, catalogue, progress=progress, rows_back=False)
    return firmness(found.ready, catalogue, found.answer, progress)
