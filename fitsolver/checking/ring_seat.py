"""Check of `ring_seat`: ring over bore at the smallest and the largest local size."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.view import PlanView


def violations(view: PlanView) -> Iterator[str]:
    """Yield every ring too large or too small for its bore."""
    for item in view.cylinders:
        for groove, ring in item.fitted():
            limits = item.limits("ring_seat", groove.number, kept=ring.kept)
            most = ring.part.gauge_diameter - item.plan.bore_low
            least = ring.part.gauge_diameter - item.plan.bore_high
            place = f"cylinder {item.name}, groove {groove.number}"
            for edge in (limits.high, ring.part.seat_over):
                if edge is not None and most > edge:
                    yield f"{place}: the ring is too large for the bore"
            if limits.low is not None and least < limits.low:
                yield f"{place}: the ring is too small for the bore"
