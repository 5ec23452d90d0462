"""Check of `form`: a bore left as it is keeps to its out-of-round and taper windows."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.view import PlanView
from fitsolver.metrology.form import bore_form
from fitsolver.records.base import FitName


def violations(view: PlanView) -> Iterator[str]:
    """Yield every bore left as it is whose form is not permitted."""
    for item in view.cylinders:
        if item.route.machined or not item.cylinder.readings:
            continue
        measured = bore_form(item.cylinder, view.job.convention)
        values: tuple[tuple[FitName, int], ...] = (
            ("out_of_round", measured.out_of_round),
            ("taper", abs(measured.taper)),
        )
        for fit, value in values:
            limits = item.limits(fit)
            too_much = limits.high is not None and value > limits.high
            if too_much or (limits.low is not None and value < limits.low):
                yield f"cylinder {item.name}: {fit.replace('_', '-')} is outside its window"
