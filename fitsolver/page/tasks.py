"""What the worker processes do: one verb of the library on records."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from fitsolver import verbs
from fitsolver.deciding import decide
from fitsolver.honing import Hone
from fitsolver.records.base import Record
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.hone import HoneAnswer
from fitsolver.records.job import Job
from fitsolver.records.plan import Plan

Verb = Callable[[Job, Catalogue, float], Record]

#: The verbs that need no more than a job and a catalogue; the last figure is the seconds allowed.
VERBS: Final[dict[str, Verb]] = {
    "pick": lambda job, parts, most: decide(job, parts, time_limit=most),
    "why": lambda job, parts, most: verbs.reasons(job, parts),
    "alternatives": lambda job, parts, most: verbs.next_plans(job, parts, time_limit=most),
    "ladder": lambda job, parts, most: verbs.sizes_left(job, parts, time_limit=most),
    "plan": lambda job, parts, most: verbs.in_stages(decide(job, parts, time_limit=most), parts),
    "firm": lambda job, parts, most: verbs.how_firm(job, parts),
    "fits": lambda job, parts, most: verbs.sets_for(job, parts),
    "budget": lambda job, parts, most: verbs.budget_of(job, parts),
    "final": lambda job, parts, most: verbs.final_verdict(job, parts),
    "bore": lambda job, parts, most: verbs.forms_of(job),
}


def answer(verb: str, job: Job, catalogue: Catalogue, seconds: float) -> Record:
    """Return what a verb answers; raises what it raises."""
    return VERBS[verb](job, catalogue, seconds)


def at_the_hone(job: Job, catalogue: Catalogue, plan: Plan, log: Path, risk: float) -> HoneAnswer:
    """Return where the bores stand by a log of passes; picks anew where one came out too large."""
    return Hone(job, plan, log, risk, lambda changed: decide(changed, catalogue)).answer()
