"""Cylinders that compete for too few pistons, found by Hall's condition.

Each cylinder has a plan alone. Yet a set of cylinders takes only a smaller set of pistons.
Cylinders and pistons form a bipartite graph; `fitsolver.matching` finds a maximum matching and the
shortage.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from math import inf
from typing import Final

from fitsolver.choices.parts import PistonCandidate
from fitsolver.choices.types import CylinderChoices
from fitsolver.choices.words import some_of
from fitsolver.fits import availability
from fitsolver.matching.general import most_of_sets, shortages_of_sets
from fitsolver.matching.glover import most_of_ranges
from fitsolver.matching.shortage import shortages
from fitsolver.matching.words import CYLINDER, PISTON, Short, called, shortage_words
from fitsolver.records.base import Range
from fitsolver.records.plan import Reason
from fitsolver.solving.by_itself import serving
from fitsolver.solving.problem import Problem

Key = tuple[str, str]
#: From this many cylinders on, proving infeasibility by search takes seconds.
_MANY: Final = 12


@dataclass(frozen=True, slots=True)
class Piece:
    """One piston that can be had: which, and the cylinder it is reserved for."""

    candidate: PistonCandidate
    only_in: str | None


@dataclass(frozen=True, slots=True)
class TooFew:
    """Cylinders, by index in the job, that take only these pistons."""

    cylinders: tuple[int, ...]
    units: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class Competition:
    """The scarce pistons and the cylinders that compete for them.

    `takes`: the pistons that serve each cylinder. `units`: available pistons in limited supply.
    `sets`: the units that each of the `competing` cylinders takes. `mates`: the unit each one gets
    in a maximum matching (-1: none).
    """

    short: tuple[TooFew, ...]
    takes: tuple[frozenset[Key], ...]
    endless: frozenset[Key]
    units: tuple[Piece, ...]
    competing: tuple[int, ...]
    sets: tuple[frozenset[int], ...]
    mates: tuple[int, ...]

    @property
    def without(self) -> tuple[int, ...]:
        """The cylinders, by index in the job, that get no piston."""
        pairs = zip(self.competing, self.mates, strict=True)
        return tuple(at for at, mate in pairs if mate < 0)


def competition(task: Problem) -> Competition | None:
    """Return how cylinders compete for scarce pistons; None where they do not.

    Also None where a cylinder has no choice by itself: that is the reason then. The shortage holds
    regardless of rings, gaskets, money and time: these only remove choices.
    """
    if len(task.cylinders) < 2 or any(state.ratio is not None for state in task.cylinders):
        return None
    endless = _endless(task)
    if len(endless) == len(task.shelf.pistons):
        return None
    takes = []
    for state in task.cylinders:
        found = serving(replace(task, cylinders=(state,)), enough=endless)
        if not found:
            return None
        takes.append(found)
    return _competition(task, takes, endless)


def too_few_of_any_size(task: Problem) -> bool:
    """Tell whether a set of one size has too few pistons in every size.

    Tested as in `competition`, size by size; False where unknown.
    """
    endless = _endless(task)
    asked = bool(task.job.same_size) and len(endless) < len(task.shelf.pistons)
    if not asked or any(state.ratio is not None for state in task.cylinders):
        return False
    takes = {state.name: serving(replace(task, cylinders=(state,))) for state in task.cylinders}
    sizes = {each.key: each.part.oversize for each in task.shelf.pistons}
    return any(
        all(
            _short_of_size(task, _of_size(takes, rule.cylinders, sizes, size), endless)
            for size in set(sizes.values())
        )
        for rule in task.job.same_size
    )


def _of_size(
    takes: Mapping[str, AbstractSet[Key]], names: Sequence[str], sizes: Mapping[Key, int], size: int
) -> dict[str, frozenset[Key]]:
    """Return what each of the cylinders named takes of one size."""
    return {
        name: frozenset(key for key in takes[name] if sizes[key] == size)
        for name in names
        if name in takes
    }


def _short_of_size(
    task: Problem, takes: Mapping[str, frozenset[Key]], endless: AbstractSet[Key]
) -> bool:
    """Tell whether the cylinders named cannot all have one of the pistons that serve each."""
    if not all(takes.values()):
        return True
    members = tuple(state for state in task.cylinders if state.name in takes)
    some = replace(task, cylinders=members)
    return _competition(some, [takes[state.name] for state in members], endless) is not None


def _endless(task: Problem) -> frozenset[Key]:
    """Return the pistons of which any number can be had."""
    sale = availability.for_sale(task.catalogue)
    return frozenset(
        each.key for each in task.shelf.pistons if not each.piece and sale[each.part.number] == inf
    )


def _competition(
    task: Problem, takes: Sequence[frozenset[Key]], endless: AbstractSet[Key]
) -> Competition | None:
    """Return how cylinders compete that take these pistons; each takes some."""
    candidates = {candidate.key: candidate for candidate in task.shelf.pistons}
    sale = availability.for_sale(task.catalogue)
    competing = tuple(at for at, keys in enumerate(takes) if not keys & endless)
    wanted = sorted({key for at in competing for key in takes[at]})
    offered = [candidates[key] for key in wanted]
    units = tuple(sorted(_units(task, sale, offered, len(competing)), key=size_key))
    sets = tuple(_taken(units, takes[at], task.cylinders[at].name) for at in competing)
    mates, short = paired_of(sets, len(units))
    if not short:
        return None
    told = tuple(
        TooFew(tuple(competing[at] for at in takers), tuple(units[number] for number in few))
        for takers, few in short
    )
    return Competition(told, tuple(takes), frozenset(endless), units, competing, sets, tuple(mates))


def pistons_too_few(task: Problem) -> Competition | None:
    """Return the competition where it is the whole reason: the job shares no gasket stack."""
    if any(place.shared for place in task.job.gaskets):
        return None
    return competition(task)


def many_too_few(task: Problem) -> Competition | None:
    """Return the competition among many cylinders, where it is quicker than a search."""
    return pistons_too_few(task) if len(task.cylinders) >= _MANY else None


def _taken(units: Sequence[Piece], keys: AbstractSet[Key], name: str) -> frozenset[int]:
    """Return the units, by number, that a cylinder takes."""
    return frozenset(
        number
        for number, unit in enumerate(units)
        if unit.candidate.key in keys and unit.only_in in (None, name)
    )


def paired_of(
    sets: Sequence[AbstractSet[int]], units: int
) -> tuple[list[int], list[tuple[tuple[int, ...], tuple[int, ...]]]]:
    """Return a maximum matching and its shortages: by ranges of sizes, else for any sets."""
    if all(each and max(each) - min(each) + 1 == len(each) for each in sets):
        first, end = [min(each) for each in sets], [max(each) + 1 for each in sets]
        mates = most_of_ranges(first, end, units)
        short = shortages(first, end, mates, units)
        return mates, [(each.bores, tuple(range(each.first, each.end))) for each in short]
    mates = most_of_sets(sets, units)
    return mates, list(shortages_of_sets(sets, mates))


def size_key(unit: Piece) -> tuple[int, int, Key]:
    skirt = unit.candidate.skirt
    return skirt.low, skirt.high, unit.candidate.key


def _units(
    task: Problem, sale: Mapping[str, float], wanted: Sequence[PistonCandidate], most: int
) -> Iterator[Piece]:
    """Yield every available piston of those wanted, at most `most` of one number.

    None of them can be ordered: `sale` has a count of each.
    """
    for candidate in wanted:
        if candidate.piece:
            yield Piece(candidate, candidate.only_in)
            continue
        number = candidate.part.number
        for (name, reserved), count in task.shelf.reserved.items():
            if reserved == number:
                yield from [Piece(candidate, name)] * count
        loose = task.shelf.loose.get(number, 0) + int(sale[number])
        yield from [Piece(candidate, None)] * min(loose, most)


def shortage_reasons(task: Problem, found: Competition) -> list[Reason]:
    """Return what is short, one sentence each, figures exact.

    One sentence covers all cylinders that have no available piston.
    """
    without = [at for few in found.short if not few.units for at in few.cylinders]
    told = [few for few in found.short if few.units]
    told += [TooFew(tuple(sorted(without)), ())] if without else []
    return [Reason(rule="availability", sentence=_sentence(task, few)) for few in told]


def _sentence(task: Problem, few: TooFew) -> str:
    states = [task.cylinders[at] for at in few.cylinders]
    ranges = [sizes_taken(state) for state in states]
    names = [state.name for state in states]
    had = [unit.candidate.named for unit in few.units]
    known = [taken for taken in ranges if taken is not None]
    if len(known) < len(ranges):
        there = f"{len(had):,} to be had" if had else "none to be had"
        some = f"{len(names):,} needed, {there}"
        pistons = f" but {some_of(sorted(set(had)))}" if had else " that can be had"
        verb = "takes" if len(names) == 1 else "take"
        return f"{some}: {called(names, CYLINDER)} {verb} no piston{pistons}"
    sizes = min(s.smallest for s in states), max(s.largest for s in states)
    takes = min(taken.low for taken in known), max(taken.high for taken in known)
    edges = [e for u in few.units for e in (u.candidate.skirt.low, u.candidate.skirt.high)]
    short = Short(names, sizes, takes, len(had), edges, had)
    return shortage_words(short, CYLINDER, PISTON, task.job.unit)


def sizes_taken(state: CylinderChoices) -> Range | None:
    """Return the measured piston sizes that fit a bore left as it is (ticks).

    None where the bore may be machined, and where the pistons have different windows: no single
    range exists then.
    """
    routes = [route for route in state.routes if not route.refusals]
    windows = {piston.window(machined=False) for piston in state.pistons if not piston.refusals}
    if any(route.route.machined for route in routes) or len(windows) != 1:
        return None
    [limits] = windows
    if limits.low is None or limits.high is None:
        return None
    return Range(low=state.largest - limits.high, high=state.smallest - limits.low)
