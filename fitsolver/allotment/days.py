"""The days of separable jobs: which job takes orderable parts from the shelf, to be done sooner."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np

from fitsolver.allotment.combinations import sizes_of
from fitsolver.allotment.component import Component
from fitsolver.allotment.forms import Brings, Candidate
from fitsolver.allotment.formulation import Formulation
from fitsolver.choices.selection import Bought, CylinderSelection, Selection
from fitsolver.mip.fixing import Subinstance
from fitsolver.mip.instance import Column
from fitsolver.mip.timing import Timing, Wanted


def timing_of(whole: Formulation, left: Subinstance) -> Timing:
    """Return the time demands of the items of a subinstance."""
    row = {number: at for at, number in enumerate(whole.component.contested)}
    told = [whole.candidates[at] for at in left.item_of.tolist()]
    wanted = {
        item: [
            Wanted(row[number], pieces, lead)
            for (lead, number), pieces in Counter(each.source.soft).items()
        ]
        for item, each in enumerate(told)
        if each is not None and each.source.soft
    }
    return Timing(
        np.array([0 if each is None else each.source.lead for each in told], dtype=np.int64),
        np.array([0 if each is None else each.work for each in told], dtype=np.int64),
        wanted,
        np.array(
            [j.job.finishing == "piston in hand" for j in whole.component.jobs], dtype=np.bool_
        ),
    )


def selections(
    whole: Formulation,
    columns: Mapping[int, Column],
    taken: Mapping[int, Mapping[int, int]],
) -> dict[str, Selection]:
    """Return the selection of every served job.

    `taken`: by job, the pieces of contested numbers (by their places) that it takes from the shelf
    though they could be ordered.
    """
    numbers = list(whole.component.contested)
    found: dict[str, Selection] = {}
    for index, column in columns.items():
        job = whole.component.jobs[index]
        chosen = [c for item in column.items if (c := whole.candidates[item])]
        if not chosen:
            continue
        if isinstance(chosen[0].stands, Selection):
            found[job.name] = chosen[0].stands
            continue
        shelf = Counter({numbers[row]: count for row, count in taken.get(index, {}).items()})
        for candidate in chosen:
            shelf.update(candidate.source.hard)
        found[job.name] = _selection(whole.component, chosen, shelf)
    return found


def _selection(
    component: Component, chosen: Sequence[Candidate], taken: Mapping[str, int]
) -> Selection:
    """Return candidates with the source of every piece, given the number taken from the shelf."""
    kits: Counter[str] = Counter()
    brought: Counter[str] = Counter()
    used: Counter[str] = Counter()
    cylinders = []
    for candidate in chosen:
        if isinstance(candidate.stands, Brings):
            if candidate.stands.is_kit:
                kits[candidate.stands.number] += candidate.stands.pieces
                for number, count in candidate.stands.contents:
                    brought[number] += count * candidate.stands.pieces
            continue
        each = candidate.own
        low, high = sizes_of(each)
        rings = {ring.groove: ring for ring in sorted(each.chosen, key=lambda ring: ring.groove)}
        cylinders.append(CylinderSelection(each.option, low, high, rings, {}))
        used.update(each.parts)

    def bought(counts: Mapping[str, int]) -> dict[str, Bought]:
        found = {}
        for number, count in sorted(counts.items()):
            stock = count if number in component.ample else min(count, taken.get(number, 0))
            found[number] = Bought(stock, count - stock)
        return {number: each for number, each in found.items() if each != Bought()}

    return Selection(tuple(cylinders), bought(kits), bought(used - brought))
