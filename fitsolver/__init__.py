"""Picks piston, rings, gaskets and finish size for a worn cylinder, and proves the choice.

    from fitsolver import pick
    answer = pick("job.toml")

The verbs are loaded when they are first used, so that `import fitsolver` is light.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fitsolver.base.version import __version__ as __version__

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
    "at_counter",
    "bore",
    "budget",
    "budget_of",
    "counter",
    "cylinders_frame",
    "decide",
    "draw_bores",
    "final",
    "final_verdict",
    "firm",
    "fits_frame",
    "forms_frame",
    "forms_of",
    "gauge_study",
    "hone",
    "how_firm",
    "in_stages",
    "intake",
    "ladder",
    "load",
    "machining_plan",
    "new_job",
    "next_plans",
    "order_frame",
    "pair",
    "pair_measured",
    "part_sets",
    "pick",
    "profile_of",
    "reasons",
    "review_catalogue",
    "screen",
    "sets_for",
    "sets_frame",
    "sheet",
    "sheet_of",
    "sizes_left",
    "when_arrived",
    "why",
]

#: Public names that are no verbs: where each stands. The verbs are registered in `fitsolver.verbs`.
_HOMES = {
    "Answer": "fitsolver.records.plan",
    "Catalogue": "fitsolver.records.catalogue",
    "CheckError": "fitsolver.base.errors",
    "FitsolverError": "fitsolver.base.errors",
    "InputError": "fitsolver.base.errors",
    "Job": "fitsolver.records.job",
    "NewJob": "fitsolver.reading.job_template",
    "cylinders_frame": "fitsolver.reporting.frames",
    "fits_frame": "fitsolver.reporting.frames",
    "forms_frame": "fitsolver.reporting.frames",
    "load": "fitsolver.usecases.loading",
    "order_frame": "fitsolver.reporting.frames",
    "profile_of": "fitsolver.verbs.profile",
    "sets_frame": "fitsolver.reporting.frames",
}

if TYPE_CHECKING:
    from fitsolver.base.errors import CheckError, FitsolverError, InputError
    from fitsolver.picking.decide import decide
    from fitsolver.planning.stages import in_stages
    from fitsolver.reading.job_template import NewJob
    from fitsolver.records.catalogue import Catalogue
    from fitsolver.records.job import Job
    from fitsolver.records.plan import Answer
    from fitsolver.reporting.frames import (
        cylinders_frame,
        fits_frame,
        forms_frame,
        order_frame,
        sets_frame,
    )
    from fitsolver.usecases.allot import allot_shop
    from fitsolver.usecases.alternatives import next_plans
    from fitsolver.usecases.arrived import when_arrived
    from fitsolver.usecases.at_counter import at_counter
    from fitsolver.usecases.beginning import new_job
    from fitsolver.usecases.bore import forms_of
    from fitsolver.usecases.budget import budget_of
    from fitsolver.usecases.counter_files import counter
    from fitsolver.usecases.files import (
        alternatives,
        arrived,
        bore,
        budget,
        final,
        firm,
        hone,
        ladder,
        machining_plan,
        part_sets,
        pick,
        why,
    )
    from fitsolver.usecases.final import final_verdict
    from fitsolver.usecases.firm import how_firm
    from fitsolver.usecases.fits import sets_for
    from fitsolver.usecases.intake import intake
    from fitsolver.usecases.ladder import sizes_left
    from fitsolver.usecases.loading import load
    from fitsolver.usecases.pair import pair_measured
    from fitsolver.usecases.tables import (
        allot,
        gauge_study,
        pair,
        review_catalogue,
        screen,
    )
    from fitsolver.usecases.why import reasons
    from fitsolver.verbs.profile import draw_bores, profile_of
    from fitsolver.verbs.sheet import sheet, sheet_of


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module 'fitsolver' has no attribute '{name}'")
    from importlib import import_module

    home = _HOMES.get(name)
    if home is None:  # by name: no module below is to see what stands above it
        home = import_module("fitsolver.verbs.registry").LIBRARY[name].partition(":")[0]
    return getattr(import_module(home), name)
