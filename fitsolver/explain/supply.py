"""What is left of each article beside the parts that a plan takes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from math import inf

from fitsolver.choices.parts import Candidate
from fitsolver.choices.selection import CylinderSelection
from fitsolver.choices.words import some_of
from fitsolver.fits.availability import for_sale
from fitsolver.planning.order_list import demand
from fitsolver.solving.problem import Problem


class Supply:
    """How many pieces of each number can be had (inf: any number), and which pieces are taken."""

    def __init__(self, task: Problem) -> None:
        catalogue = task.catalogue
        self.task = task
        self.pieces = for_sale(catalogue)
        for number, count in task.shelf.loose.items():
            self._add(number, count)
        for (_, number), count in task.shelf.reserved.items():
            self._add(number, count)
        parts = (*catalogue.pistons, *catalogue.rings, *catalogue.gaskets)
        self.sold = {article.number for article in parts if article.price is not None}
        kits = (kit for kit in catalogue.kits if kit.price is not None)
        self.sold |= {item.number for kit in kits for item in kit.contents}
        self.left = dict(self.pieces)
        self.taken: set[tuple[str, str]] = set()

    def _add(self, number: str, pieces: float) -> None:
        self.pieces[number] = self.pieces.get(number, 0) + pieces

    @property
    def endless(self) -> bool:
        return all(pieces == inf for pieces in self.pieces.values())

    def without(self, others: Sequence[CylinderSelection] | None) -> Supply:
        """Return the supply when other cylinders have taken their parts."""
        taken: Counter[str] = Counter()
        self.taken = set()
        for chosen in others or ():
            taken += demand(self.task.job, chosen, Counter())
            self.taken |= {candidate.key for candidate in candidates(chosen) if candidate.piece}
        self.left = {number: pieces - taken[number] for number, pieces in self.pieces.items()}
        return self

    def has(self, candidate: Candidate) -> bool:
        if candidate.piece:
            return candidate.key not in self.taken
        return self.left[candidate.part.number] > 0

    def words(self, numbers: Iterable[str], needed: int) -> str:
        """Return what there is of some numbers, those alike together."""
        alike: dict[str, list[str]] = {}
        for number in sorted(set(numbers)):
            alike.setdefault(self._state(number, needed), []).append(number)
        return "; ".join(f"{some_of(found)}: {state}" for state, found in alike.items())

    def _state(self, number: str, needed: int) -> str:
        if number not in self.sold and not self.pieces[number]:
            return "not sold"
        if not self.pieces[number]:
            return "none in stock, no lead time given"
        there = f"{self.pieces[number]:g} to be had, no lead time given"
        if self.left[number] < self.pieces[number]:
            return (
                f"{there}, {'all' if self.left[number] <= 0 else 'some'} taken by another cylinder"
            )
        return f"{there}, {needed} needed"


def candidates(chosen: CylinderSelection) -> Iterator[Candidate]:
    """Yield the piston and the rings that a cylinder takes."""
    yield chosen.option.piston.candidate
    yield from (ring.candidate for ring in chosen.rings.values())
