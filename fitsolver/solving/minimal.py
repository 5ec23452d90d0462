"""A minimal unsatisfiable subset: what cannot be kept together, nothing of which can be spared."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from fitsolver.records.base import RuleId

Item = TypeVar("Item")


def minimal_unsatisfiable_subset(
    items: Iterable[Item], feasible: Callable[[frozenset[Item]], bool]
) -> frozenset[Item]:
    """Return items that cannot be kept together, none of which can be left out.

    All `items` together must not be feasible. By deletion, in the order given: an item without
    which the others still are not feasible is dropped for good. Where fewer items never make
    infeasible what was feasible, one pass is enough.

    Chinneck, J. W. and Dravnieks, E. W. (1991): Locating minimal infeasible constraint sets in
    linear programs. ORSA Journal on Computing 3(2), 157-168 (the deletion filter).
    """
    order = tuple(items)
    kept = frozenset(order)
    for item in order:
        if not feasible(kept - {item}):
            kept -= {item}
    return kept


def minimal_rules(
    rules: Iterable[RuleId], feasible: Callable[[frozenset[RuleId]], bool]
) -> frozenset[RuleId]:
    """Return rules in conflict, none of which can be left out; all of them must be in conflict.

    With the end gap the deletion is gone through until nothing is dropped, for there a rule may
    help as well as hinder: a seat that asks for a larger bore brings a ring into the reach of the
    end gap's arithmetic.
    """
    kept = minimal_unsatisfiable_subset(sorted(rules), feasible)
    before: frozenset[RuleId] | None = None
    while kept != before and "end_gap" in kept:
        before = kept
        kept = minimal_unsatisfiable_subset(sorted(kept), feasible)
    return kept
