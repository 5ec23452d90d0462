"""Whole-number expressions of a model."""

from __future__ import annotations

from collections.abc import Sequence

from ortools.sat.python import cp_model

Expr = cp_model.LinearExpr


def total(terms: Sequence[tuple[int, cp_model.IntVar]]) -> Expr:
    """Return the weighted sum of variables; terms of weight 0 are left out."""
    kept = [(weight, variable) for weight, variable in terms if weight]
    if not kept:
        return cp_model.LinearExpr.constant(0)
    return cp_model.LinearExpr.weighted_sum(
        [variable for _, variable in kept], [weight for weight, _ in kept]
    )
