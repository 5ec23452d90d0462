"""Why bores are left over: ranges of pieces with more bores than pieces.

Alternating paths lead from every bore left over to the pieces it takes, from each of these to its
bore, and so on. In a maximum matching every piece reached is paired. So the bores reached take only
these pieces and outnumber them: Hall's condition fails by exactly the bores left over.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Shortage:
    """Bores, by number, that take only the pieces `first` to `end - 1`."""

    bores: tuple[int, ...]
    first: int
    end: int

    @property
    def lacking(self) -> int:
        """How many pieces are missing: at least that many bores are left over in any pairing."""
        return len(self.bores) - (self.end - self.first)


def neighbours(
    bores: Sequence[int], pieces: Sequence[int], reach: int
) -> tuple[list[int], list[int]]:
    """Return the first piece within reach of every bore, and the one after the last."""
    sizes, offered = np.asarray(bores, np.int64), np.asarray(pieces, np.int64)
    first = np.searchsorted(offered, sizes - reach, "left")
    end = np.searchsorted(offered, sizes + reach, "right")
    return first.tolist(), end.tolist()


def turned(mates: Sequence[int], pieces: int) -> list[int]:
    """Return for every piece its bore (-1: none)."""
    owners = [-1] * pieces
    for bore, piece in enumerate(mates):
        if piece >= 0:
            owners[piece] = bore
    return owners


def met(
    first: Sequence[int], end: Sequence[int], mates: Sequence[int], owners: Sequence[int]
) -> tuple[list[bool], list[bool]]:
    """Return the bores and pieces on alternating paths from the bores left over.

    Each piece is visited once: `skip` jumps past visited ones, so the time is near linear.
    """
    seen_bores = [mate < 0 for mate in mates]
    seen_pieces = [False] * len(owners)
    skip = list(range(len(owners) + 1))
    waiting = [bore for bore, mate in enumerate(mates) if mate < 0]
    while waiting:
        bore = waiting.pop()
        piece = _next(skip, first[bore])
        while piece < end[bore]:
            seen_pieces[piece] = True
            skip[piece] = piece + 1
            owner = owners[piece]
            if owner >= 0 and not seen_bores[owner]:
                seen_bores[owner] = True
                waiting.append(owner)
            piece = _next(skip, piece + 1)
    return seen_bores, seen_pieces


def _next(skip: list[int], piece: int) -> int:
    """Return the first piece from this one that was not met."""
    root = piece
    while skip[root] != root:
        root = skip[root]
    while skip[piece] != root:
        skip[piece], piece = root, skip[piece]
    return root


def shortages(
    first: Sequence[int], end: Sequence[int], mates: Sequence[int], pieces: int
) -> Iterator[Shortage]:
    """Yield every range of pieces that is short, with the bores that need it, in order of size.

    `mates` is a maximum matching. Each bore left over is in exactly one shortage.
    """
    seen, _ = met(first, end, mates, turned(mates, pieces))
    members = sorted((first[bore], end[bore], bore) for bore, is_met in enumerate(seen) if is_met)
    group: list[int] = []
    low = high = -1
    for begins, ends, bore in members:
        if group and begins >= high:
            yield Shortage(tuple(sorted(group)), low, high)
            group = []
        if not group:
            low, high = begins, ends
        group.append(bore)
        high = max(high, ends)
    if group:
        yield Shortage(tuple(sorted(group)), low, high)
