"""States of the bore: checks without honing between them form one state, read repeatedly."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from fitsolver.honing.advice import Checks
from fitsolver.honing.checks import Check, Place, Places, larger
from fitsolver.records.job import Cylinder


def states(checks: list[Check]) -> list[Check]:
    """Return the states of the bore, each as one check: nothing was honed between its readings.

    Repeated readings of a place are averaged. Of contradicting readings the later prevail, and
    those of the cooled bore prevail over those of the warm one.
    """
    groups: list[list[Check]] = []
    for check in checks:
        same = groups and check.count == groups[-1][-1].count
        if same and (check.replaces or not check.cut):
            groups[-1].append(check)
        else:
            groups.append([check])
    return [group[0] if len(group) == 1 else _pooled(group) for group in groups]


def _pooled(group: list[Check]) -> Check:
    """Return one state's checks as one, each place the mean of what was read there."""
    last = group[-1]
    read: dict[Place, list[int]] = {}
    cooled = {group[0].number: False}
    cooled |= {now.number: now.cool and not then.cool for then, now in pairwise(group)}
    for check in group:
        for place in check.own & check.places.keys():
            size, known = check.places[place], read.get(place, [])
            differs = known and abs(size - sum(known) / len(known)) > check.apart
            read[place] = [size] if differs or cooled[check.number] else [*known, size]
    by = {p: round(sum(read[p]) / len(read[p])) - size for p, size in last.places.items()}
    return replace(
        last,
        read=_moved(last.read, by),
        bore=_moved(last.bore, by),
        cut=group[0].cut,
        own=frozenset(by),
        replaces=False,
        learned=all(check.learned for check in group),
        often={place: len(read[place]) for place in by},
    )


def _moved(cylinder: Cylinder, by: Places) -> Cylinder:
    """Return a cylinder whose readings are so much larger."""
    readings = tuple(
        larger(reading, by.get((reading.depth, reading.angle), 0)) for reading in cylinder.readings
    )
    return cylinder.model_copy(update={"readings": readings})


def under_present_stones(checks: list[Check]) -> tuple[list[Check], list[Place]]:
    """Return the states connected by the stones now in use, and the places read in all of them."""
    kept = [checks[-1]]
    common = set(kept[0].places)
    for earlier in reversed(checks[:-1]):
        later = kept[0]
        if (
            later.stones is None
            or later.stones != checks[-1].stones
            or not later.honed
            or not common & set(earlier.places)
        ):
            break
        common &= set(earlier.places)
        kept.insert(0, earlier)
    return kept, sorted(common)


def as_numbers(checks: list[Check], places: list[tuple[int, int]]) -> Checks:
    """Return the figures of states for a pace; the last state has the extremes of all its
    places."""
    sizes = [[check.places[place] for place in places] for check in checks]
    ends = [(min(row), max(row)) for row in sizes]
    now, allowance = checks[-1].places.values(), checks[-1].bore.form_allowance
    ends[-1] = min(now), max(now)
    return Checks(
        [check.count for check in checks],
        [low - allowance for low, _ in ends],
        [high + allowance for _, high in ends],
        [sum(row) / len(row) for row in sizes],
        [check.times for check in checks],
    )
