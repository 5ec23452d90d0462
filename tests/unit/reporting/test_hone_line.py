"""The line on top of the report at the hone: next, left, stop, as the record has them."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.records.hone import HoneState, NoStrokes
from fitsolver.reporting.sections import Opened
from fitsolver.usecases import files as service
from fitsolver.verbs.report import report as report_of
from tests.unit.honing.jobs import flat as readings
from tests.unit.honing.jobs import line, pump

from .answers import shown
from .paper import paper


def wanted(state: HoneState) -> str:
    told = state.based_on
    what = f"NEXT {state.next_count} {state.counted_in}"
    if isinstance(told, NoStrokes):
        what = told.why.upper()
    metal = state.now.stock_tightest
    left = paper(metal, "mm", "down") if metal > 0 else "none"
    stop = paper(state.stop.high, "mm", "up")
    dial = "" if state.dial_stop is None else f", dial +{paper(state.dial_stop.high, 'mm', 'up')}"
    return f"CYL. {state.cylinder}  {what}  LEFT {left}  STOP {stop}{dial}"


@pytest.mark.parametrize("off", [0.115, 0.3, 0.326, 0.36])
def test_it_stands_above_all_else(tmp_path: Path, off: float) -> None:
    job = pump(tmp_path)
    job.with_suffix(".hone").write_text(line(30, readings(off)) + "\n", encoding="utf-8")
    answer = service.hone(job)
    lines = shown(report_of(answer, "mm", Opened())).splitlines()
    first = next(n for n, text in enumerate(lines) if text.startswith("Cylinder "))
    for state in answer.cylinders:
        assert wanted(state) in lines[:first]
