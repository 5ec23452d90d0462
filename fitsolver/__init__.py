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
    "allot",
    "allot_shop",
    "alternatives",
    "arrived",
    "bore",
    "budget",
    "budget_of",
    "decide",
    "draw_bores",
    "final",
    "final_verdict",
    "firm",
    "forms_of",
    "gauge_study",
    "hone",
    "how_firm",
    "in_stages",
    "ladder",
    "load",
    "machining_plan",
    "new_job",
    "next_plans",
    "pair",
    "pair_measured",
    "part_sets",
    "pick",
    "profile_of",
    "reasons",
    "review_catalogue",
    "screen",
    "sets_for",
    "sheet",
    "sheet_of",
    "sizes_left",
    "when_arrived",
    "why",
]

_HOMES = {
    "Answer": "fitsolver.records.plan",
    "Catalogue": "fitsolver.records.catalogue",
    "CheckError": "fitsolver.base.errors",
    "FitsolverError": "fitsolver.base.errors",
    "InputError": "fitsolver.base.errors",
    "decide": "fitsolver.picking.decide",
    "load": "fitsolver.usecases.loading",
    "Job": "fitsolver.records.job",
    "NewJob": "fitsolver.reading.job_template",
}

if TYPE_CHECKING:
    from fitsolver.base.errors import CheckError, FitsolverError, InputError
    from fitsolver.picking.decide import decide
    from fitsolver.reading.job_template import NewJob
    from fitsolver.records.catalogue import Catalogue
    from fitsolver.records.job import Job
    from fitsolver.records.plan import Answer
    from fitsolver.usecases.files import (
        allot,
        alternatives,
        arrived,
        bore,
        budget,
        draw_bores,
        final,
        firm,
        gauge_study,
        hone,
        ladder,
        machining_plan,
        new_job,
        pair,
        part_sets,
        pick,
        review_catalogue,
        screen,
        sheet,
        why,
    )
    from fitsolver.usecases.loading import load
    from fitsolver.usecases.verbs import (
        allot_shop,
        budget_of,
        final_verdict,
        forms_of,
        how_firm,
        in_stages,
        next_plans,
        pair_measured,
        profile_of,
        reasons,
        sets_for,
        sheet_of,
        sizes_left,
        when_arrived,
    )


_VERBS_ON_RECORDS = (
    "allot_shop",
    "budget_of",
    "final_verdict",
    "forms_of",
    "how_firm",
    "in_stages",
    "next_plans",
    "pair_measured",
    "profile_of",
    "reasons",
    "sets_for",
    "sheet_of",
    "sizes_left",
    "when_arrived",
)
_HOMES |= dict.fromkeys(_VERBS_ON_RECORDS, "fitsolver.usecases.verbs")


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module 'fitsolver' has no attribute '{name}'")
    from importlib import import_module

    return getattr(import_module(_HOMES.get(name, "fitsolver.usecases.files")), name)
