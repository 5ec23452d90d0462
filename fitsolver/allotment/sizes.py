"""Parts of one kind by size: a job takes several pieces of one size together."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import accumulate

from fitsolver.allotment.component import Component
from fitsolver.records.catalogue import Catalogue

#: The indices of numbers, by sort key.
Sorted = dict[int, frozenset[int]]


def groups_by_size(component: Component) -> list[list[int]]:
    """Return groups of contested numbers (as indices in their order) for the rounding cuts.

    The groups are every run of sizes of a kind, and within a size the smallest grades.
    """
    at = {number: index for index, number in enumerate(component.contested)}
    kinds: dict[object, dict[int, Sorted]] = {}
    for catalogue in {id(j.task.catalogue): j.task.catalogue for j in component.jobs}.values():
        for number, kind, size, grade in _sorted(catalogue):
            if number in at:
                grades = kinds.setdefault(kind, {}).setdefault(size, {})
                grades[grade] = grades.get(grade, frozenset()) | {at[number]}
    found: list[frozenset[int]] = []
    for sizes in kinds.values():
        whole = {size: frozenset().union(*grades.values()) for size, grades in sizes.items()}
        order = [whole[size] for size in sorted(whole)]
        for first in range(len(order)):
            found += accumulate(order[first:], _both)
        for grades in sizes.values():
            found += accumulate((grades[grade] for grade in sorted(grades)), _both)
    return [sorted(group) for group in dict.fromkeys(found)]


def _both(one: frozenset[int], other: frozenset[int]) -> frozenset[int]:
    return one | other


def _sorted(catalogue: Catalogue) -> Iterator[tuple[str, object, int, int]]:
    """Yield number, kind, size and the sort key of grades within the size."""
    for piston in catalogue.pistons:
        yield piston.number, "piston", piston.nominal_bore, piston.skirt.low
    for ring in catalogue.rings:
        yield ring.number, ring.grooves, ring.gauge_diameter, ring.gap.low
