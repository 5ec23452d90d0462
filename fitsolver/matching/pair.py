"""The best pairing of measured bores and measured pieces: three levels, each proven.

The most pairs; then the smallest largest deviation of a clearance from the middle of the window;
then the smallest sum of deviations. Deviations are counted in halves of a tick, so that the middle
of a window of an odd number of ticks is a whole number too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from fitsolver.matching.greedy import counted, most_pairs, pairs_enough
from fitsolver.matching.least_sum import OutOfTimeError, least_sum
from fitsolver.matching.shortage import Shortage, met, neighbours, shortages, turned

Expired = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class Pairing:
    """For every bore its piece (-1: none), the deviations and the shortages.

    `largest` and `total` are deviations in half ticks; `largest_bound` and `total_bound` are
    proven: no pairing with as many pairs comes to less (the total: with so small a largest one).
    `short_of_pieces` lists bores that compete for pieces, `short_of_bores` pieces that compete for
    bores (there `bores` are numbers of pieces, and `first`, `end` count bores).
    """

    mates: list[int]
    largest: int
    total: int
    largest_bound: int
    total_bound: int
    short_of_pieces: tuple[Shortage, ...]
    short_of_bores: tuple[Shortage, ...]

    @property
    def proven(self) -> bool:
        """Whether nothing better is possible on any level."""
        return self.largest == self.largest_bound and self.total == self.total_bound


def centred(
    bores: Sequence[int], pieces: Sequence[int], low: int, high: int
) -> tuple[list[int], list[int], int]:
    """Return positions on a line (half ticks) and the reach, for a window on bore minus piece.

    The distance of two positions is twice the deviation of their clearance from the middle.
    """
    middle = low + high
    return [2 * size for size in bores], [2 * size + middle for size in pieces], high - low


def best_pairing(
    bores: Sequence[int], pieces: Sequence[int], reach: int, expired: Expired = lambda: False
) -> Pairing:
    """Return the best pairing of places on a line, both sorted; see `centred`.

    When `expired` returns True, the result is the best found, with the bounds proven so far. The
    number of pairs is always the maximum.
    """
    mates = most_pairs(bores, pieces, reach)
    spared = mates.count(-1)
    low, high = _narrowest(bores, pieces, reach, spared, expired)
    total_bound = 0
    mates = most_pairs(bores, pieces, high)
    if low == high:
        try:
            mates = _least_total(bores, pieces, high, mates, expired)
            total_bound = _total(bores, pieces, mates)
        except OutOfTimeError:
            pass
    owners = turned(mates, len(pieces))
    return Pairing(
        mates=mates,
        largest=max(_deviations(bores, pieces, mates), default=0),
        total=_total(bores, pieces, mates),
        largest_bound=low,
        total_bound=total_bound,
        short_of_pieces=tuple(_short(bores, pieces, reach, mates)),
        short_of_bores=tuple(_short(pieces, bores, reach, owners)),
    )


def _short(
    takers: Sequence[int], taken: Sequence[int], reach: int, mates: list[int]
) -> Iterator[Shortage]:
    """Yield the shortages; takers without any piece share one while their reaches overlap."""
    empty: list[int] = []
    at = 0
    for short in shortages(*neighbours(takers, taken, reach), mates, len(taken)):
        nothing = short.first == short.end
        joins = nothing and empty and short.first == at
        if empty and not (joins and takers[short.bores[0]] - takers[empty[-1]] <= 2 * reach):
            yield Shortage(tuple(empty), at, at)
            empty = []
        if nothing:
            empty += short.bores
            at = short.first
        else:
            yield short
    if empty:
        yield Shortage(tuple(empty), at, at)


def _narrowest(
    bores: Sequence[int], pieces: Sequence[int], reach: int, spared: int, expired: Expired
) -> tuple[int, int]:
    """Return bounds on the smallest reach with the most pairs: equal unless the time ended."""
    if spared == len(bores):
        return 0, 0
    sizes, offered = counted(bores), counted(pieces)
    low, high = 0, reach
    while low < high and not expired():
        middle = (low + high) // 2
        if pairs_enough(sizes, offered, middle, spared):
            high = middle
        else:
            low = middle + 1
    return low, high


def _least_total(
    bores: Sequence[int], pieces: Sequence[int], reach: int, mates: list[int], expired: Expired
) -> list[int]:
    """Return the pairing of least total among the maximum pairings within a reach.

    Alternating paths from unpaired pieces reach two sets: the bores that every such pairing
    includes, and the pieces that only these bores take. Every piece outside is paired in all of
    them (Dulmage and Mendelsohn).
    """
    owners = turned(mates, len(pieces))
    spare_pieces, sure_bores = met(*neighbours(pieces, bores, reach), owners, mates)
    sure = [bore for bore, is_sure in enumerate(sure_bores) if is_sure]
    spare = [piece for piece, is_spare in enumerate(spare_pieces) if is_spare]
    other_bores = [bore for bore, is_sure in enumerate(sure_bores) if not is_sure]
    wanted = [piece for piece, is_spare in enumerate(spare_pieces) if not is_spare]
    found = [-1] * len(bores)
    for bore, piece in _matched(bores, sure, pieces, spare, reach, expired):
        found[bore] = piece
    for piece, bore in _matched(pieces, wanted, bores, other_bores, reach, expired):
        found[bore] = piece
    return found


def _matched(
    places: Sequence[int],
    all_of: Sequence[int],
    others: Sequence[int],
    any_of: Sequence[int],
    reach: int,
    expired: Expired,
) -> list[tuple[int, int]]:
    """Return pairs of numbers: each of `all_of` with one of `any_of`, at the least total."""
    taken = least_sum(
        [places[number] for number in all_of], [others[number] for number in any_of], reach, expired
    )
    chosen = (number for number, is_taken in zip(any_of, taken, strict=True) if is_taken)
    return list(zip(all_of, chosen, strict=True))


def _deviations(bores: Sequence[int], pieces: Sequence[int], mates: Sequence[int]) -> list[int]:
    return [abs(bores[bore] - pieces[piece]) for bore, piece in enumerate(mates) if piece >= 0]


def _total(bores: Sequence[int], pieces: Sequence[int], mates: Sequence[int]) -> int:
    return sum(_deviations(bores, pieces, mates))
