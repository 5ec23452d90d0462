"""What the worker processes do for a call at the counter."""

from __future__ import annotations

from fitsolver.records.catalogue import Catalogue
from fitsolver.records.counter import CounterAnswer
from fitsolver.records.job import Job
from fitsolver.usecases.at_counter import at_counter


def counter(job: Job, catalogue: Catalogue, kits_only: bool, in_stock: bool) -> CounterAnswer:
    """Return every size of the shelf for bores of which one size is known."""
    return at_counter(job, catalogue, kits_only=kits_only, in_stock=in_stock)
