"""`same_size`: pistons of a set have one oversize."""

from __future__ import annotations

from collections import defaultdict

from ortools.sat.python import cp_model

from fitsolver.solving.variables import CylinderVars, Model


def post(model: Model) -> None:
    """Post, oversize by oversize, that either all cylinders of a set take it or none does."""
    for rule in model.job.same_size:
        first, *others = [_by_oversize(c) for c in model.named(rule.cylinders)] or [{}]
        for other in others:
            for oversize in sorted({*first, *other}):
                these, those = first.get(oversize, []), other.get(oversize, [])
                model.cp.add(_sum(these) == _sum(those))


def _sum(variables: list[cp_model.IntVar]) -> cp_model.LinearExpr:
    return cp_model.LinearExpr.sum(variables)


def _by_oversize(cylinder: CylinderVars) -> dict[int, list[cp_model.IntVar]]:
    found: dict[int, list[cp_model.IntVar]] = defaultdict(list)
    for option, x in cylinder.options:
        found[option.piston.candidate.part.oversize].append(x)
    return found
