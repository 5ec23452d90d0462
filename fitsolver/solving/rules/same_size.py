"""`same_size`: pistons of a set have one oversize."""

from __future__ import annotations

from collections import defaultdict

from fitsolver.solving.variables import CylinderVars, Model


def post(model: Model) -> None:
    """Post, oversize by oversize, that either all cylinders of a set take it or none does."""
    for rule in model.job.same_size:
        first, *others = [_by_oversize(c) for c in model.named(rule.cylinders)] or [{}]
        for other in others:
            for oversize in sorted({*first, *other}):
                model.cp.add(sum(first.get(oversize, [])) == sum(other.get(oversize, [])))


def _by_oversize(cylinder: CylinderVars):
    found = defaultdict(list)
    for option, x in cylinder.options:
        found[option.piston.candidate.part.oversize].append(x)
    return found
