"""Pistons to order where cylinders compete for too few, tested by a plan of the whole job."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from typing import NamedTuple

from fitsolver.base.lengths import Unit
from fitsolver.choices.candidates import is_piece
from fitsolver.choices.types import CylinderChoices, PistonChoice
from fitsolver.explain.competing import Competition, Key, paired_of, size_key, sizes_taken
from fitsolver.matching.words import listed, span
from fitsolver.records.base import Range
from fitsolver.records.why import Opening
from fitsolver.solving.possible import possible
from fitsolver.solving.problem import Problem


class _Taker(NamedTuple):
    """The sizes of a measured piston that a cylinder takes, and one of each number that serves."""

    sizes: Range
    likes: dict[str, PistonChoice]


def _taker(state: CylinderChoices, takes: AbstractSet[Key]) -> _Taker | None:
    """Return which further pistons a cylinder would take; None where unknown.

    A cylinder that keeps its own piece gives no pattern either.
    """
    sizes = sizes_taken(state)
    likes: dict[str, PistonChoice] = {}
    for choice in state.pistons:
        if choice.candidate.key in takes and not choice.candidate.kept:
            likes.setdefault(choice.candidate.part.number, choice)
    if sizes is None or not likes or is_piece(state.cylinder):
        return None
    return _Taker(sizes, likes)


class _Wanted(NamedTuple):
    """A piston to ask for: the number it is like, and the sizes it may have."""

    number: str
    sizes: Range


def shortage_opening(task: Problem, found: Competition) -> Opening | None:
    """Return one piston for each cylinder left without; None where unknown.

    The whole job has a plan with the smallest and with the largest sizes named.
    """
    takers = {at: _taker(task.cylinders[at], found.takes[at]) for at in found.competing}
    wanted = []
    for at in found.without:
        taker = takers[at]
        if taker is None:
            return None
        wanted.append(_Wanted(next(iter(taker.likes)), taker.sizes))
    test = _Test(task, found, takers)
    if len(wanted) == 1:  # whichever of them gets it, the others have enough
        several = [takers[at] for at in found.short[0].cylinders]
        known = [each.sizes for each in several if each is not None]
        low, high = min(each.low for each in known), max(each.high for each in known)
        whole = [wanted[0]._replace(sizes=Range(low=low, high=high))]
        if test.opens(whole):
            return _opening(whole, task.job.unit)
    return _opening(wanted, task.job.unit) if test.opens(wanted) else None


def _opening(wanted: Sequence[_Wanted], unit: Unit) -> Opening:
    times = Counter((each.number, each.sizes.low, each.sizes.high) for each in wanted)
    said = [
        f"{count} x {number} of {span(low, high, unit)}"
        for (number, low, high), count in sorted(times.items())
    ]
    pistons = "piston" if len(wanted) == 1 else "pistons"
    sentence = f"{pistons} more in hand: {listed(said)}"
    return Opening(kind="part", by=len(wanted), measure="none", opens_job=True, sentence=sentence)


@dataclass(frozen=True, slots=True)
class _Test:
    """Tests whether the job has a plan with pistons more."""

    task: Problem
    found: Competition
    takers: Mapping[int, _Taker | None]

    def opens(self, wanted: Sequence[_Wanted]) -> bool:
        """Tell whether the job has a plan with all smallest sizes, and with all largest ones."""
        numbers = [each.number for each in wanted]
        lowest = [each.sizes.low for each in wanted]
        highest = [each.sizes.high for each in wanted]
        return self._opens(numbers, lowest) and self._opens(numbers, highest)

    def _opens(self, numbers: Sequence[str], sizes: Sequence[int]) -> bool:
        """The pairing with the new pistons comes first; the solver then tests its result."""
        units, first = self.found.units, len(self.found.units)
        skirts = [size_key(unit)[:2] for unit in units] + [(size, size) for size in sizes]
        order = sorted(range(len(skirts)), key=lambda number: (skirts[number], number))
        place = {number: at for at, number in enumerate(order)}
        sets = []
        for own, at in zip(self.found.sets, self.found.competing, strict=True):
            new = self._new(at, numbers, sizes)
            sets.append({place[number] for number in (*own, *(first + each for each in new))})
        paired, _ = paired_of(sets, len(order))
        if -1 in paired:
            return False
        given = dict(zip(self.found.competing, (order[mate] for mate in paired), strict=True))
        states = []
        for at, state in enumerate(self.task.cylinders):
            number = given.get(at)
            if number is not None and number >= first:
                kept = [self._more(at, numbers[number - first], sizes[number - first], number)]
            else:
                free = self.found.takes[at] & self.found.endless
                keys = free if number is None else {units[number].candidate.key}
                kept = [choice for choice in state.pistons if choice.candidate.key in keys]
            states.append(replace(state, pistons=tuple(kept)))
        return possible(replace(self.task, cylinders=tuple(states)))

    def _new(self, at: int, numbers: Sequence[str], sizes: Sequence[int]) -> list[int]:
        """Return which of the pistons more a cylinder takes."""
        taker = self.takers[at]
        if taker is None:
            return []
        return [
            each
            for each, (number, size) in enumerate(zip(numbers, sizes, strict=True))
            if number in taker.likes and taker.sizes.low <= size <= taker.sizes.high
        ]

    def _more(self, at: int, number: str, size: int, place: int) -> PistonChoice:
        """Return a piston more for a cylinder that takes it."""
        taker = self.takers[at]
        assert taker is not None  # else it would not have got it
        like = taker.likes[number]
        skirt = Range(low=size, high=size)
        candidate = replace(like.candidate, skirt=skirt, piece=f"wanted {place}", only_in=None)
        return like._replace(candidate=candidate)
