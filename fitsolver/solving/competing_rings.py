"""Whether cylinders compete for too few rings, by Hall's condition.

Every groove takes its own ring. Sizes are ignored, so the count of serving rings is an upper bound:
if even that is too small, no plan exists.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from math import inf

from fitsolver.choices.options import options
from fitsolver.choices.parts import RingCandidate
from fitsolver.choices.ring_options import ring_options
from fitsolver.choices.types import CylinderChoices, Option
from fitsolver.fits.availability import for_sale
from fitsolver.matching.general import most_of_sets
from fitsolver.solving.possible import OWN_RULES
from fitsolver.solving.problem import Problem

Key = tuple[str, str]


def too_few_rings(task: Problem) -> bool:
    """Tell whether the rings are too few for the grooves of all cylinders, for any choice."""
    if _all_endless(task):
        return False
    offered = {state.name: options(state, OWN_RULES) for state in task.cylinders}
    return _short(task, offered)


def too_few_rings_of_any_size(task: Problem) -> bool:
    """Tell whether a set of one size has too few rings in every size."""
    if not task.job.same_size or _all_endless(task):
        return False
    offered = {state.name: options(state, OWN_RULES) for state in task.cylinders}
    sizes = {o.piston.candidate.part.oversize for each in offered.values() for o in each}
    return any(
        all(_short(task, _of_size(offered, rule.cylinders, size)) for size in sizes)
        for rule in task.job.same_size
    )


def _of_size(
    offered: Mapping[str, Sequence[Option]], names: Sequence[str], size: int
) -> dict[str, list[Option]]:
    """Return the options of one size of the cylinders named."""
    return {
        name: [o for o in offered[name] if o.piston.candidate.part.oversize == size]
        for name in names
        if name in offered
    }


def _all_endless(task: Problem) -> bool:
    sale = for_sale(task.catalogue)
    return all(sale[ring.part.number] == inf for ring in task.shelf.rings)


def _short(task: Problem, offered: Mapping[str, Sequence[Option]]) -> bool:
    """Tell whether the cylinders with these options cannot all have rings."""
    if not all(offered.values()):
        return True
    sale = for_sale(task.catalogue)
    sets = []
    units: dict[tuple[Key, str, int], int] = {}
    for state in task.cylinders:
        for rings in _grooves(task, state, offered.get(state.name, ())):
            if any(not ring.piece and sale[ring.part.number] == inf for ring in rings):
                continue  # one of them can be ordered: no competition for this groove
            mine = (unit for ring in rings for unit in _units(task, ring, state.name, sale))
            sets.append({units.setdefault(unit, len(units)) for unit in mine})
    return -1 in most_of_sets(sets, len(units))


def _grooves(
    task: Problem, state: CylinderChoices, offered: Sequence[Option]
) -> Iterator[list[RingCandidate]]:
    """Yield the rings that serve a groove, for every groove that all options have."""
    if not offered:
        return
    found: dict[int, dict[Key, RingCandidate]] = defaultdict(dict)
    for ring in ring_options(state, offered, task.shelf.rings, OWN_RULES):
        found[ring.groove][ring.candidate.key] = ring.candidate
    classes = {option.piston.ring_class for option in offered}
    numbers = [{groove.number for groove in each.grooves} for each in classes]
    for number in sorted(set.intersection(*numbers)):
        yield list(found[number].values())


def _units(
    task: Problem, ring: RingCandidate, name: str, sale: Mapping[str, float]
) -> Iterator[tuple[Key, str, int]]:
    """Yield the single rings of a number that a cylinder can have: which, reserved for whom."""
    if ring.piece:
        yield ring.key, "", 0
        return
    number, grooves = ring.part.number, len(ring.part.grooves) * len(task.cylinders)
    for count in range(task.shelf.reserved.get((name, number), 0)):
        yield ring.key, name, count
    for count in range(min(task.shelf.loose.get(number, 0) + int(sale[number]), grooves)):
        yield ring.key, "", count
