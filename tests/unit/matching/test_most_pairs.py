"""The most pairs against scipy's matching; every shortage by counting who takes what."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_bipartite_matching

from fitsolver.matching.general import most_of_sets, shortages_of_sets
from fitsolver.matching.glover import most_of_ranges
from fitsolver.matching.greedy import counted, most_pairs, pairs_enough
from fitsolver.matching.shortage import neighbours, shortages


def most(sets: list[set[int]], pieces: int) -> int:
    """Return the number of pairs by scipy (Hopcroft and Karp)."""
    graph = np.zeros((len(sets), pieces), np.int8)
    for row, taken in enumerate(sets):
        graph[row, list(taken)] = 1
    return int((maximum_bipartite_matching(csr_array(graph), perm_type="column") >= 0).sum())


def is_pairing(mates: list[int], sets: list[set[int]]) -> bool:
    taken = [piece for piece in mates if piece >= 0]
    right = all(piece in sets[bore] for bore, piece in enumerate(mates) if piece >= 0)
    return right and len(set(taken)) == len(taken)


@pytest.mark.parametrize("seed", range(300))
def test_one_reach_for_all(seed: int) -> None:
    dice = Random(seed)
    spread, reach = dice.choice([20, 100]), dice.randrange(12)
    bores = sorted(dice.randrange(spread) for _ in range(dice.randrange(1, 40)))
    pieces = sorted(dice.randrange(spread) for _ in range(dice.randrange(1, 40)))
    sets = [{at for at, p in enumerate(pieces) if abs(b - p) <= reach} for b in bores]
    mates = most_pairs(bores, pieces, reach)
    found = len(bores) - mates.count(-1)
    assert is_pairing(mates, sets)
    assert found == most(sets, len(pieces))
    spared = len(bores) - found
    assert pairs_enough(counted(bores), counted(pieces), reach, spared)
    assert not pairs_enough(counted(bores), counted(pieces), reach, spared - 1)
    check_shortages(*neighbours(bores, pieces, reach), mates, sets, len(pieces))


@pytest.mark.parametrize("seed", range(300))
def test_ranges_of_any_width(seed: int) -> None:
    """Windows that differ: ranges may lie within each other, the graph is convex on one side."""
    dice = Random(seed)
    pieces, bores = dice.randrange(1, 25), dice.randrange(1, 30)
    first = [dice.randrange(pieces) for _ in range(bores)]
    end = [min(pieces, at + dice.choice([0, 1, 2, 8])) for at in first]
    sets = [set(range(a, b)) for a, b in zip(first, end, strict=True)]
    mates = most_of_ranges(first, end, pieces)
    assert is_pairing(mates, sets)
    assert bores - mates.count(-1) == most(sets, pieces)
    check_shortages(first, end, mates, sets, pieces)


def check_shortages(
    first: list[int], end: list[int], mates: list[int], sets: list[set[int]], pieces: int
) -> None:
    found = list(shortages(first, end, mates, pieces))
    left = [bore for bore, piece in enumerate(mates) if piece < 0]
    for short in found:
        assert set().union(*(sets[bore] for bore in short.bores)) == set(
            range(short.first, short.end)
        )
        assert short.lacking == sum(bore in left for bore in short.bores) > 0
    assert sorted(bore for short in found for bore in short.bores if bore in left) == left


@pytest.mark.parametrize("seed", range(300))
def test_any_sets(seed: int) -> None:
    dice = Random(seed)
    pieces = dice.randrange(0, 12)
    sets = [
        {piece for piece in range(pieces) if dice.random() < dice.choice([0.1, 0.4])}
        for _ in range(dice.randrange(1, 15))
    ]
    mates = most_of_sets(sets, pieces)
    left = [bore for bore, piece in enumerate(mates) if piece < 0]
    assert is_pairing(mates, sets)
    found = list(shortages_of_sets(sets, mates))
    for bores, few in found:
        assert set().union(*(sets[bore] for bore in bores)) == set(few)
        assert len(bores) - len(few) == sum(bore in left for bore in bores) > 0
    assert sorted(bore for bores, _ in found for bore in bores if bore in left) == left
