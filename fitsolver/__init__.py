"""Picks piston, rings, gaskets and finish size for a worn cylinder, and proves the choice.

    from fitsolver import pick
    answer = pick("job.toml")

The verbs are loaded when they are first used, so that `import fitsolver` is light.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

__all__ = [
    "Answer",
    "Catalogue",
    "CheckError",
    "FitsolverError",
    "InputError",
    "Job",
    "NewJob",
    "alternatives",
    "arrived",
    "bore",
    "budget",
    "decide",
    "final",
    "firm",
    "gauge_study",
    "hone",
    "in_stages",
    "ladder",
    "load",
    "machining_plan",
    "new_job",
    "part_sets",
    "pick",
    "reasons",
    "review_catalogue",
    "sets_for",
    "why",
]

_HOMES = {
    "Answer": "fitsolver.records.plan",
    "Catalogue": "fitsolver.records.catalogue",
    "CheckError": "fitsolver.errors",
    "FitsolverError": "fitsolver.errors",
    "InputError": "fitsolver.errors",
    "decide": "fitsolver.deciding",
    "load": "fitsolver.loading",
    "Job": "fitsolver.records.job",
    "NewJob": "fitsolver.reading.job_template",
}

if TYPE_CHECKING:
    from fitsolver.deciding import decide
    from fitsolver.errors import CheckError, FitsolverError, InputError
    from fitsolver.loading import load
    from fitsolver.reading.job_template import NewJob
    from fitsolver.records.catalogue import Catalogue
    from fitsolver.records.job import Job
    from fitsolver.records.plan import Answer
    from fitsolver.service import (
        alternatives,
        arrived,
        bore,
        budget,
        final,
        firm,
        gauge_study,
        hone,
        in_stages,
        ladder,
        machining_plan,
        new_job,
        part_sets,
        pick,
        reasons,
        review_catalogue,
        sets_for,
        why,
    )


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module 'fitsolver' has no attribute '{name}'")
    from importlib import import_module

    return getattr(import_module(_HOMES.get(name, "fitsolver.service")), name)
