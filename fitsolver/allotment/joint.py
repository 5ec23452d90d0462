"""All jobs of a component in one exact model, for any rules; components must be small."""

from __future__ import annotations

from collections.abc import Mapping

from fitsolver.allotment.component import Component
from fitsolver.allotment.result import Result
from fitsolver.allotment.start import First
from fitsolver.base.deadline import Clock
from fitsolver.choices.selection import Selection
from fitsolver.solving.together import Candidate, ServingLevel, serve_together


def solve_joint(
    component: Component, first: First, clock: Clock, last: Mapping[str, Selection]
) -> Result:
    """Return the best result, proven as far as the clock allows.

    `first` is a feasible result, and names the jobs that can never be served. `last` holds the
    selections of an earlier answer: the search starts there, otherwise from `first`.
    """
    jobs = [
        Candidate(job.name, job.task, job.options)
        for job in component.jobs
        if job.name not in first.never
    ]
    serving = [
        ServingLevel(
            level.words, frozenset(job.name for job in component.jobs if level.counts(job.entry))
        )
        for level in component.serving
    ]
    known = last or first.chosen
    found = serve_together(jobs, component.contested, serving, component.order, known, clock)
    if found is None:
        return Result(first.chosen, (), (None,) * (len(serving) + len(component.order)))
    return Result(*found)
