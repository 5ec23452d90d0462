"""Check of `same_size`."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.view import PlanView


def violations(view: PlanView) -> Iterator[str]:
    """Yield every set whose pistons have more than one oversize."""
    for rule in view.job.same_size:
        sizes = {item.piston.part.oversize for item in view.named(rule.cylinders)}
        if len(sizes) > 1:
            yield f"cylinders {', '.join(rule.cylinders)}: pistons of different oversizes"
