"""Cylinders that compete for pistons of which there are too few, told by Hall's condition.

Each cylinder could be done alone, but some of them take no pistons except these, and are more.
Who could have which is a graph; `fitsolver.pairing` finds the most pairs and what is short.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from typing import Final

from fitsolver.candidates import PistonCandidate
from fitsolver.fits import availability
from fitsolver.lengths import Unit
from fitsolver.options import CylinderChoices, PistonChoice
from fitsolver.pairing.general import most_of_sets, shortages_of_sets
from fitsolver.pairing.glover import most_of_ranges
from fitsolver.pairing.shortage import shortages
from fitsolver.pairing.words import CYLINDER, PISTON, Short, called, listed, shortage_words, span
from fitsolver.records.base import Range
from fitsolver.records.plan import Reason
from fitsolver.records.why import Opening
from fitsolver.solving.by_itself import serving
from fitsolver.solving.possible import possible
from fitsolver.solving.problem import Problem

_Key = tuple[str, str]
#: With so many cylinders a search for a plan that is none takes seconds.
_MANY: Final = 12


@dataclass(frozen=True, slots=True)
class Piece:
    """One piston that can be had: which, and the cylinder it is reserved for."""

    candidate: PistonCandidate
    only_in: str | None


@dataclass(frozen=True, slots=True)
class TooFew:
    """Cylinders, by their place in the job, that take these pistons and no others."""

    cylinders: tuple[int, ...]
    units: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class Competition:
    """What is short, and who takes what.

    `takes` are the pistons that serve every cylinder; `units` those that can be had and are not
    endless, `sets` which of them each of the `competing` cylinders takes, `mates` which it gets in
    a pairing that leaves as few as can be without (-1).
    """

    short: tuple[TooFew, ...]
    takes: tuple[frozenset[_Key], ...]
    endless: frozenset[_Key]
    units: tuple[Piece, ...]
    competing: tuple[int, ...]
    sets: tuple[frozenset[int], ...]
    mates: tuple[int, ...]

    @property
    def without(self) -> tuple[int, ...]:
        """The cylinders, by their place in the job, that are left without a piston."""
        pairs = zip(self.competing, self.mates, strict=True)
        return tuple(at for at, mate in pairs if mate < 0)


def competition(task: Problem) -> Competition | None:
    """Return how cylinders compete for pistons that are too few; None where they do not.

    Also None where a cylinder has no choice by itself: then that is the reason. What is told is
    short whatever rings, gaskets, money and time allow, for these only ever take away.
    """
    candidates = {candidate.key: candidate for candidate in task.shelf.pistons}
    endless = frozenset(key for key, each in candidates.items() if _endless(task, each))
    if len(task.cylinders) < 2 or any(state.ratio is not None for state in task.cylinders):
        return None
    takes = []
    for state in task.cylinders:
        found = serving(replace(task, cylinders=(state,)), enough=endless)
        if not found:
            return None
        takes.append(found)
    competing = tuple(at for at, keys in enumerate(takes) if not keys & endless)
    wanted = sorted({key for at in competing for key in takes[at]})
    offered = [candidates[key] for key in wanted]
    units = tuple(sorted(_units(task, offered, len(competing)), key=_size))
    sets = tuple(_taken(units, takes[at], task.cylinders[at].name) for at in competing)
    mates, short = _paired(sets, len(units))
    if not short:
        return None
    told = tuple(
        TooFew(tuple(competing[at] for at in takers), tuple(units[number] for number in few))
        for takers, few in short
    )
    return Competition(told, tuple(takes), endless, units, competing, sets, tuple(mates))


def pistons_too_few(task: Problem) -> Competition | None:
    """Return the same where it is all that need be told: no stack of gaskets joins cylinders."""
    if any(place.shared for place in task.job.gaskets):
        return None
    return competition(task)


def many_too_few(task: Problem) -> Competition | None:
    """Return the same where there are so many cylinders that it is quicker than a search."""
    return pistons_too_few(task) if len(task.cylinders) >= _MANY else None


def _taken(units: Sequence[Piece], keys: AbstractSet[_Key], name: str) -> frozenset[int]:
    """Return the units, by number, that a cylinder takes."""
    return frozenset(
        number
        for number, unit in enumerate(units)
        if unit.candidate.key in keys and unit.only_in in (None, name)
    )


def _paired(
    sets: Sequence[AbstractSet[int]], units: int
) -> tuple[list[int], list[tuple[tuple[int, ...], tuple[int, ...]]]]:
    """Return the most pairs and what is short: by ranges of sizes, else for any sets."""
    if all(each and max(each) - min(each) + 1 == len(each) for each in sets):
        first, end = [min(each) for each in sets], [max(each) + 1 for each in sets]
        mates = most_of_ranges(first, end, units)
        short = shortages(first, end, mates, units)
        return mates, [(each.bores, tuple(range(each.first, each.end))) for each in short]
    mates = most_of_sets(sets, units)
    return mates, list(shortages_of_sets(sets, mates, units))


def _size(unit: Piece) -> tuple[int, int, _Key]:
    skirt = unit.candidate.skirt
    return skirt.low, skirt.high, unit.candidate.key


def _endless(task: Problem, candidate: PistonCandidate) -> bool:
    """Tell whether a piston can be ordered, by itself or in a kit."""
    if candidate.piece:
        return False
    number = candidate.part.number
    return availability.can_order(candidate.part) or any(
        availability.can_order(kit)
        for kit in task.catalogue.kits
        for item in kit.contents
        if item.number == number
    )


def _units(task: Problem, wanted: Sequence[PistonCandidate], most: int) -> Iterator[Piece]:
    """Yield every piston that can be had of those wanted, at most so many of one number."""
    for candidate in wanted:
        if candidate.piece:
            yield Piece(candidate, candidate.only_in)
            continue
        number = candidate.part.number
        for (name, reserved), count in task.shelf.reserved.items():
            if reserved == number:
                yield from [Piece(candidate, name)] * count
        loose = task.shelf.loose.get(number, 0) + availability.from_stock(candidate.part)
        loose += sum(
            item.count * availability.from_stock(kit)
            for kit in task.catalogue.kits
            for item in kit.contents
            if item.number == number
        )
        yield from [Piece(candidate, None)] * min(loose, most)


def shortage_reasons(task: Problem, found: Competition) -> list[Reason]:
    """Return what is short, one sentence each, figures exact."""
    return [Reason(rule="availability", sentence=_sentence(task, few)) for few in found.short]


def _sentence(task: Problem, few: TooFew) -> str:
    states = [task.cylinders[at] for at in few.cylinders]
    ranges = [sizes_taken(state) for state in states]
    names = [state.name for state in states]
    had = [_name(unit.candidate) for unit in few.units]
    known = [taken for taken in ranges if taken is not None]
    if len(known) < len(ranges):
        verb = "takes" if len(names) == 1 else "take"
        pistons = listed(sorted(set(had))) if had else "that cannot be had"
        there = "there is none" if not had else f"{len(had):,} can be had"
        return f"{called(names, CYLINDER)} {verb} no pistons but {pistons}; {there}"
    sizes = min(s.smallest for s in states), max(s.largest for s in states)
    takes = min(taken.low for taken in known), max(taken.high for taken in known)
    edges = [e for u in few.units for e in (u.candidate.skirt.low, u.candidate.skirt.high)]
    short = Short(names, sizes, takes, len(had), edges, had)
    return shortage_words(short, CYLINDER, PISTON, task.job.unit)


def _name(candidate: PistonCandidate) -> str:
    number = candidate.part.number
    return f"{number} ({candidate.piece})" if candidate.piece else number


def sizes_taken(state: CylinderChoices) -> Range | None:
    """Return the sizes of a measured piston that a bore takes that is left as it is (ticks).

    None where it may be machined, and where pistons are held to different windows: then there is
    no one range.
    """
    routes = [route for route in state.routes if not route.refusals]
    windows = {piston.clearance for piston in state.pistons if not piston.refusals}
    if any(route.route.machined for route in routes) or len(windows) != 1:
        return None
    [limits] = windows
    if limits.low is None or limits.high is None:
        return None
    return Range(low=state.largest - limits.high, high=state.smallest - limits.low)


def shortage_opening(task: Problem, found: Competition) -> Opening | None:
    """Return the pistons that would serve those left without, one each; None: not known.

    Tested with the smallest and with the largest sizes that are named: the whole job has a plan.
    """
    ranges = {at: sizes_taken(task.cylinders[at]) for at in found.competing}
    known = {at: taken for at, taken in ranges.items() if taken is not None}
    if len(known) < len(ranges):
        return None
    wanted = [known[at] for at in found.without]
    if len(wanted) == 1:  # whichever of them gets it, the others have enough
        several = [known[at] for at in found.short[0].cylinders]
        low, high = min(each.low for each in several), max(each.high for each in several)
        wanted = [Range(low=low, high=high)]
    for sizes in ([each.low for each in wanted], [each.high for each in wanted]):
        if not _opens(task, found, known, sizes):
            return None
    count = len(wanted)
    return Opening(
        kind="part",
        by=count,
        measure="none",
        opens_job=True,
        sentence=_opening_words(wanted, task.job.unit),
    )


def _opening_words(wanted: Sequence[Range], unit: Unit) -> str:
    if len(wanted) == 1:
        return f"one piston more in hand, of {span(wanted[0].low, wanted[0].high, unit)}"
    times = Counter((each.low, each.high) for each in wanted)
    said = [f"{count} of {span(*edges, unit)}" for edges, count in sorted(times.items())]
    return f"{len(wanted)} pistons more in hand: {listed(said)}"


def _opens(
    task: Problem, found: Competition, ranges: Mapping[int, Range], sizes: Sequence[int]
) -> bool:
    """Tell whether the job has a plan with pistons of these sizes more, one cylinder each.

    The pairing with them is made first; then the solver is asked about the pistons it gives.
    """
    first = len(found.units)
    skirts = [(_size(unit)[:2]) for unit in found.units] + [(size, size) for size in sizes]
    order = sorted(range(len(skirts)), key=lambda number: (skirts[number], number))
    place = {number: at for at, number in enumerate(order)}
    sets = []
    for own, at in zip(found.sets, found.competing, strict=True):
        taken = ranges[at]
        more = {first + n for n, size in enumerate(sizes) if taken.low <= size <= taken.high}
        sets.append({place[number] for number in own | more})
    paired, _ = _paired(sets, len(order))
    mates = {
        at: order[mate] if mate >= 0 else -1
        for at, mate in zip(found.competing, paired, strict=True)
    }
    states = []
    for at, state in enumerate(task.cylinders):
        mate = mates.get(at)
        if mate is None:
            kept = [c for c in state.pistons if c.candidate.key in found.takes[at] & found.endless]
        elif mate < 0:
            return False
        elif mate < first:
            kept = [c for c in state.pistons if c.candidate is found.units[mate].candidate]
        else:
            kept = [_more(state, found.takes[at], sizes[mate - first], mate)]
        states.append(replace(state, pistons=tuple(kept)))
    return possible(replace(task, cylinders=tuple(states)))


def _more(state: CylinderChoices, takes: AbstractSet[_Key], size: int, number: int) -> PistonChoice:
    """Return a piston of another size, like the first of those that serve."""
    like = next(choice for choice in state.pistons if choice.candidate.key in takes)
    skirt = Range(low=size, high=size)
    candidate = replace(like.candidate, skirt=skirt, piece=f"wanted {number}", only_in=None)
    return like._replace(candidate=candidate)
