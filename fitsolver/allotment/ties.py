"""Tie-breaking: among equally good allotments the least weight wins, in any order of search.

The weight of a job's choice depends only on the job's name, the parts and their sources. The
weights are spread so widely that two allotments hardly ever have the same sum (the isolation lemma
of K. Mulmuley, U. V. Vazirani and V. V. Vazirani, "Matching is as easy as matrix inversion",
Combinatorica 7, 1987). The sum is minimised as an extra last level; it expresses no preference.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from fitsolver.allotment.forms import Brings, Candidate
from fitsolver.allotment.formulation import Formulation
from fitsolver.base.weights import weight
from fitsolver.choices.selection import CylinderSelection, Selection
from fitsolver.mip.fixing import Subinstance
from fitsolver.mip.timed_levels import Ties

_BITS: Final = 24


def ties_of(whole: Formulation, left: Subinstance) -> Ties:
    """Return the weights of the items of a subinstance, and of each piece from the shelf."""
    instance, jobs = left.instance, whole.component.jobs
    items = np.zeros(len(instance.costs), dtype=np.int64)
    done = np.zeros(len(instance.costs), dtype=np.bool_)
    slot_mode = instance.slot_mode
    job = instance.mode_job[slot_mode]
    ends = zip(instance.first.tolist(), instance.last.tolist(), strict=True)
    for slot, (first, last) in enumerate(ends):
        at = slot - int(instance.mode_slots[slot_mode[slot]])
        name = jobs[int(job[slot])].name
        for item in range(first, last):
            told = whole.candidates[int(left.item_of[item])]
            if told is not None and not done[item]:
                items[item] = _weight(name, told, at)
            done[item] = True
    taken = [[weight(f"{j.name}\n{n}", _BITS) for n in whole.component.contested] for j in jobs]
    return Ties(items, np.array(taken, dtype=np.int64))


def _weight(name: str, told: Candidate, at: int) -> int:
    """Return the weight of a candidate of a job: of several pieces, so many times that of one."""
    stands = told.stands
    if not isinstance(stands, Brings):
        return weight(f"{name}\n{_words(told, at)}\n{told.source.hard}", _BITS)
    none = weight(f"{name}\n{stands.number}\n0\n()", _BITS)
    if not stands.pieces:
        return none
    one = weight(f"{name}\n{stands.number}\n1\n{told.source.hard[:1]}", _BITS)
    return none + stands.pieces * (one - none)


def _words(told: Candidate, at: int) -> str:
    """Return words that identify a candidate within its job; equal plans have equal words."""
    stands = told.stands
    assert not isinstance(stands, Brings)
    if isinstance(stands, Selection):
        bought = {**stands.kits, **stands.singles}
        return repr([*map(_in_cylinder, stands.cylinders), sorted(bought.items())])
    return repr((at, stands.key, sorted(stands.rings.items()), told.brought))


def _in_cylinder(each: CylinderSelection) -> object:
    rings = sorted((groove, ring.candidate.key) for groove, ring in each.rings.items())
    stacks = sorted((place, sorted(counts.items())) for place, counts in each.stacks.items())
    return each.option.key, rings, stacks
