"""Of equally good allotments the one of least weight, whatever order the search finds them in.

Every choice of a job has a weight that only its name, its parts and what of them comes from the
shelf tell, spread so widely that two allotments hardly ever come to one sum (the isolation lemma of
K. Mulmuley, U. V. Vazirani and V. V. Vazirani, "Matching is as easy as matrix inversion",
Combinatorica 7, 1987). The least sum is looked for as one level more; it says nothing about what is
best.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from fitsolver.allotment.component import Component
from fitsolver.allotment.days import Timed
from fitsolver.allotment.forms import Brings, Candidate
from fitsolver.base.deadline import Clock
from fitsolver.base.weights import weight
from fitsolver.choices.selection import CylinderSelection, Selection
from fitsolver.mip.fixing import lifted
from fitsolver.mip.instance import Column, Ints
from fitsolver.mip.lexicographic import Minimum, minimum

#: With more jobs than this any of equally good allotments is shown.
_MOST_JOBS: Final = 100
#: Seconds that are spent on it: so many, by the jobs.
_SHORTEST, _A_JOB, _LONGEST = 1.0, 0.06, 3.0
_BITS: Final = 24


def untied(
    component: Component,
    later: Timed,
    least: Minimum,
    groups: Sequence[Sequence[int]],
    clock: Clock,
) -> tuple[Column, ...]:
    """Return the columns of least weight, of all that are as good.

    Those of `least`, where there are too many jobs or the time does not do.
    """
    if clock.left == 0 or not 1 < len(component.jobs) <= _MOST_JOBS:
        return least.columns
    instance = least.face.instance
    weights = _weights(component, later, least)
    limit = clock.limit
    clock.limit = clock.gone + clock.at_most(
        min(_LONGEST, max(_SHORTEST, _A_JOB * len(component.jobs)))
    )
    start = {column.job: column for column in least.kept}
    found = minimum(
        replace(instance, costs=weights[:, None]),
        start,
        clock,
        ("ties",),
        (),
        groups,
        narrow_last=False,
    )
    if not clock.interrupted:
        clock.limit = limit
    chosen = {column.job: column for column in (found.columns if found.proven else least.kept)}
    return tuple(lifted(chosen, least.face).values())


def _weights(component: Component, later: Timed, least: Minimum) -> Ints:
    """Return (items) what each item left weighs."""
    instance = least.face.instance
    weights = np.zeros(len(instance.costs), dtype=np.int64)
    done = np.zeros(len(instance.costs), dtype=np.bool_)
    slot_mode = instance.slot_mode
    job = instance.mode_job[slot_mode]
    ends = zip(instance.first.tolist(), instance.last.tolist(), strict=True)
    for slot, (first, last) in enumerate(ends):
        at = slot - int(instance.mode_slots[slot_mode[slot]])
        name = component.jobs[int(job[slot])].name
        for item in range(first, last):
            if not done[item]:
                done[item] = True
                old = int(least.face.item_of[item])
                told = later.candidates[old]
                if told is not None:
                    weights[item] = weight(f"{name}\n{_words(told, at)}\n{later.taken[old]}", _BITS)
    return weights


def _words(told: Candidate, at: int) -> str:
    """Return what tells a candidate from others of its job; equal plans have equal words."""
    stands = told.stands
    if isinstance(stands, Brings):
        return f"{stands.number}\n{stands.pieces}"
    if isinstance(stands, Selection):
        bought = {**stands.kits, **stands.singles}
        return repr([*map(_in_cylinder, stands.cylinders), sorted(bought.items())])
    return repr((at, stands.key, sorted(stands.rings.items()), told.brought))


def _in_cylinder(each: CylinderSelection) -> object:
    rings = sorted((groove, ring.candidate.key) for groove, ring in each.rings.items())
    stacks = sorted((place, sorted(counts.items())) for place, counts in each.stacks.items())
    return each.option.key, rings, stacks
