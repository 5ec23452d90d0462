"""Check of `bore_limit`: no local size afterwards above the limit."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.view import PlanView


def violations(view: PlanView) -> Iterator[str]:
    """Yield every bore that grows beyond its limit."""
    for item in view.cylinders:
        limit = view.job.bore_limit_for(item.cylinder)
        if limit is not None and item.plan.bore_high > limit:
            yield f"cylinder {item.name}: the bore exceeds its limit"
