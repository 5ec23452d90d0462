"""Why nothing fits, as a person reads it."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType

from fitsolver.records.plan import NoFit
from fitsolver.reporting.show import bullets, heading


def no_fit_view(no_fit: NoFit) -> Iterator[RenderableType]:
    """Yield the reasons by cylinder, the nearest choices, and the ways left."""
    for name in dict.fromkeys(reason.cylinder for reason in no_fit.reasons):
        yield heading(
            f"Cylinder {name}: in conflict" if name else "The job as a whole: in conflict"
        )
        yield bullets(
            f"{reason.rule}: {reason.sentence}"
            for reason in no_fit.reasons
            if reason.cylinder == name
        )
    if no_fit.near_misses:
        yield heading("What comes nearest")
        yield bullets(f"cylinder {miss.cylinder}: {miss.sentence}" for miss in no_fit.near_misses)
    yield heading("Ways left")
    yield bullets(no_fit.ways_left or ("none that this catalogue and this job permit",))
