"""A minimal unsatisfiable subset against the definition, on all small systems of sets."""

from __future__ import annotations

from itertools import combinations
from random import Random

from fitsolver.solving.minimal import minimal_unsatisfiable_subset


def test_nothing_of_it_can_be_spared() -> None:
    dice = Random(1)
    for _ in range(300):
        conflicts = [
            frozenset(dice.sample(range(7), dice.randint(1, 4))) for _ in range(dice.randint(1, 5))
        ]

        def feasible(kept: frozenset[int], conflicts: list[frozenset[int]] = conflicts) -> bool:
            return not any(conflict <= kept for conflict in conflicts)

        found = minimal_unsatisfiable_subset(range(7), feasible)
        assert not feasible(found)
        assert all(feasible(found - {item}) for item in found)
        assert found in conflicts


def test_items_that_come_first_are_the_first_to_be_spared() -> None:
    pairs = [frozenset(pair) for pair in combinations("abcd", 2)]
    found = minimal_unsatisfiable_subset("abcd", lambda kept: not any(p <= kept for p in pairs))
    assert found == {"c", "d"}


def test_what_is_infeasible_without_any_item_has_an_empty_subset() -> None:
    assert minimal_unsatisfiable_subset("abc", lambda kept: False) == frozenset()
