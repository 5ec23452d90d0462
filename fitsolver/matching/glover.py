"""Maximum matching where every bore takes a range of pieces: a convex bipartite graph.

F. Glover, Maximum matching in a convex bipartite graph, Naval Research Logistics Quarterly 14
(1967) 313-316; with a heap, O((n + m) log n).
"""

from __future__ import annotations

from collections.abc import Sequence
from heapq import heappop, heappush


def most_of_ranges(first: Sequence[int], end: Sequence[int], pieces: int) -> list[int]:
    """Return for every bore its piece (-1: none), as many pairs as there can be.

    Bore i takes pieces `first[i]` to `end[i] - 1` of `pieces`. Piece by piece, the bore whose range
    ends first gets it.
    """
    mates = [-1] * len(first)
    order = sorted(range(len(first)), key=lambda bore: first[bore])
    waiting: list[tuple[int, int]] = []
    at = 0
    for piece in range(pieces):
        while at < len(order) and first[order[at]] <= piece:
            bore = order[at]
            heappush(waiting, (end[bore], bore))
            at += 1
        while waiting and waiting[0][0] <= piece:
            heappop(waiting)
        if waiting:
            _, bore = heappop(waiting)
            mates[bore] = piece
    return mates
