"""Check of `displacement`, with pi from above."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.view import PlanView
from fitsolver.fits.displacement import PI_ABOVE


def violations(view: PlanView) -> Iterator[str]:
    """Yield a sentence when the engine's displacement exceeds its limit."""
    engine = view.job.engine
    if engine.displacement_limit is None or engine.stroke is None:
        return
    bores = [item.counted_size for item in view.cylinders] + list(engine.other_bores)
    if PI_ABOVE / 4 * engine.stroke * sum(bore**2 for bore in bores) > engine.displacement_limit:
        yield "the displacement exceeds its limit"
