"""Engines of any number of cylinders: the bores of a demo job, over and over."""

from __future__ import annotations

from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.usecases.loading import load
from tests.unit.plots.drawn import path

_PLENTY = {"stock": 200}


def engine(demo: str, count: int) -> tuple[Job, Catalogue]:
    """A demo job with so many cylinders and parts enough, without a limit on money or on volume."""
    job, parts = load(path(demo))
    own = job.cylinders
    cylinders = tuple(
        own[place % len(own)].model_copy(update={"name": str(place + 1)}) for place in range(count)
    )
    names = {"cylinders": tuple(cylinder.name for cylinder in cylinders)}
    changed = {
        "cylinders": cylinders,
        "terms": job.terms.model_copy(update={"budget": None}),
        "engine": job.engine.model_copy(update={"displacement_limit": None}),
        "same_size": tuple(item.model_copy(update=names) for item in job.same_size),
        "mass_match": tuple(item.model_copy(update=names) for item in job.mass_match),
    }
    plenty = {
        kind: tuple(part.model_copy(update=_PLENTY) for part in getattr(parts, kind))
        for kind in ("pistons", "rings", "gaskets", "kits")
    }
    return job.model_copy(update=changed), parts.model_copy(update=plenty)
