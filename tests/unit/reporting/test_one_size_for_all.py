"""One finish size for an unmeasured piston: the highest is that of the smallest piston."""

from __future__ import annotations

from rich.console import Console

from fitsolver.picking.decide import decide
from fitsolver.records.windows import Window
from fitsolver.verbs.report import report as report_of
from tests.unit.rules import small


def test_the_highest_permitted_serves_the_smallest_piston_too() -> None:
    """Clean-up sets the size, so it is one for all: 61.955 + 0.056 - 0.002 is the smallest's."""
    task = small.job(Window(fit="clearance", low=4_000, high=5_600), finishing="piston in hand")
    answer = decide(task, small.catalogue())
    assert answer.plan is not None
    item = answer.plan.cylinders[0]
    assert item.finish_small == item.finish_large
    assert (item.highest_small, item.highest) == (6_200_900, 6_201_000)
    console = Console(width=80, no_color=True)
    with console.capture() as capture:
        console.print(report_of(answer))
    line = next(row for row in capture.get().splitlines() if "finish size" in row)
    assert "62.009" in line
    assert "62.010" not in line
