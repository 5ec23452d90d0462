"""Check of `side_clearance`: groove width minus ring width at the ends of both ranges."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.view import PlanView


def violations(view: PlanView) -> Iterator[str]:
    """Yield every ring that does not suit its groove; it must enter under any window."""
    for item in view.cylinders:
        for groove, ring in item.fitted():
            worn = ring.kept or item.piston.kept
            limits = item.limits("side_clearance", groove.number, kept=worn)
            low = max(0, limits.low or 0)
            least = groove.width.low - ring.part.width.high
            most = groove.width.high - ring.part.width.low
            if least < low or (limits.high is not None and most > limits.high):
                yield f"cylinder {item.name}, groove {groove.number}: side clearance"
