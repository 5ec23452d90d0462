"""Maximum matching where a bore takes any set of pieces, and why some are left over."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet


def most_of_sets(takes: Sequence[AbstractSet[int]], pieces: int) -> list[int]:
    """Return for every bore its piece (-1: none), as many pairs as there can be.

    By Hopcroft and Karp's method of scipy.
    """
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import maximum_bipartite_matching

    if not takes or not pieces:
        return [-1] * len(takes)
    rows = [bore for bore, taken in enumerate(takes) for _ in taken]
    columns = [piece for taken in takes for piece in sorted(taken)]
    graph = csr_array(([1] * len(rows), (rows, columns)), shape=(len(takes), pieces))
    return [int(piece) for piece in maximum_bipartite_matching(graph, perm_type="column")]


def shortages_of_sets(
    takes: Sequence[AbstractSet[int]], mates: Sequence[int]
) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Yield sets of bores that together take fewer pieces than bores; see `shortage`.

    Each bore left over is in exactly one set; alternating paths visit each node once.
    """
    owners = {piece: bore for bore, piece in enumerate(mates) if piece >= 0}
    group_of: dict[int, int] = {}
    groups: list[tuple[set[int], set[int]]] = []
    for start in (bore for bore, piece in enumerate(mates) if piece < 0):
        bores, met, waiting = {start}, set[int](), [start]
        joined: set[int] = set()
        while waiting:
            for piece in sorted(takes[waiting.pop()] - met):
                if piece in group_of:
                    joined.add(group_of[piece])
                    continue
                met.add(piece)
                owner = owners[piece]
                if owner not in bores:
                    bores.add(owner)
                    waiting.append(owner)
        for number in joined:
            bores |= groups[number][0]
            met |= groups[number][1]
            groups[number] = (set(), set())
        groups.append((bores, met))
        group_of |= dict.fromkeys(met, len(groups) - 1)
    for bores, met in groups:
        if bores:
            yield tuple(sorted(bores)), tuple(sorted(met))
