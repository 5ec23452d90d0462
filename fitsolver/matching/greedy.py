"""Maximum matching where every bore takes the pieces within one reach, both sides sorted.

Glover (1967) for a window of constant width, in one walk along both sorted lists.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Counted:
    """Sizes in order, each once, and how many there are of it."""

    sizes: list[int]
    counts: list[int]


def counted(sizes: Sequence[int]) -> Counted:
    """Return sizes with how many there are of each."""
    known, counts = np.unique(np.asarray(sizes, np.int64), return_counts=True)
    return Counted(known.tolist(), counts.tolist())


def most_pairs(bores: Sequence[int], pieces: Sequence[int], reach: int) -> list[int]:
    """Return for every bore its piece (-1: none), as many pairs as there can be.

    Both are sorted; a bore takes the pieces within `reach` of it. The smallest bore gets the
    smallest piece that it takes: no later bore can use that piece better.
    """
    mates = [-1] * len(bores)
    at, end = 0, len(pieces)
    for bore, size in enumerate(bores):
        least = size - reach
        while at < end and pieces[at] < least:
            at += 1
        if at == end:
            break
        if pieces[at] <= size + reach:
            mates[bore] = at
            at += 1
    return mates


def pairs_enough(bores: Counted, pieces: Counted, reach: int, spared: int) -> bool:
    """Tell whether at most `spared` bores need be left over.

    The walk of `most_pairs`, one step for each distinct size; it ends when more than `spared` bores
    are left over.
    """
    at, end = 0, len(pieces.sizes)
    left = pieces.counts[0] if end else 0
    for size, count in zip(bores.sizes, bores.counts, strict=True):
        wanted, least, most = count, size - reach, size + reach
        while at < end and (left == 0 or pieces.sizes[at] < least):
            at += 1
            left = pieces.counts[at] if at < end else 0
        while wanted and at < end and pieces.sizes[at] <= most:
            taken = min(wanted, left)
            wanted -= taken
            left -= taken
            if left == 0:
                at += 1
                left = pieces.counts[at] if at < end else 0
        spared -= wanted
        if spared < 0:
            return False
    return True
