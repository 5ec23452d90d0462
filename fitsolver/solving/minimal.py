"""A minimal unsatisfiable subset: items in conflict, each of them necessary to it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from fitsolver.records.base import RuleId

Item = TypeVar("Item")


def minimal_unsatisfiable_subset(
    items: Iterable[Item], feasible: Callable[[frozenset[Item]], bool]
) -> frozenset[Item]:
    """Return a minimal unsatisfiable subset of the items.

    All `items` together must not be feasible. The deletion filter drops, in the given order, each
    item whose removal leaves the others infeasible. One pass suffices where removing items never
    makes a feasible set infeasible.

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
    """Return a minimal set of rules in conflict; all `rules` together must be in conflict.

    With the end gap, passes repeat until none drops a rule, for feasibility is not monotone there:
    a seat that needs a larger bore can bring a ring into the range of the end gap's arithmetic.
    """
    kept = minimal_unsatisfiable_subset(sorted(rules), feasible)
    before: frozenset[RuleId] | None = None
    while kept != before and "end_gap" in kept:
        before = kept
        kept = minimal_unsatisfiable_subset(sorted(kept), feasible)
    return kept
