"""Slips of the pen in logs of passes, in seconds: the whole table is `tests.bench.slips_hone`."""

from __future__ import annotations

from itertools import islice

import numpy as np

from .drawn_hones import Drawn, draw
from .slips_hone import false_alarm, tallies


def hones(seed: int, count: int) -> list[Drawn]:
    dice = np.random.default_rng(seed)
    return list(islice(iter(lambda: draw(dice), None), count))


def test_no_slip_of_a_reading_does_harm_unnamed() -> None:
    """But for those inside the gauge's own scatter, in windows as narrow as that."""
    wide = [item for item in hones(21, 3) if item.target.high - item.target.low > 800]
    found = tallies(wide[:1])
    readings = {kind: row for (figure, kind), row in found.items() if figure == "reading"}
    assert sum(row.slips for row in readings.values()) > 400
    assert sum(row.named for row in readings.values()) > 0.9 * sum(
        r.slips for r in readings.values()
    )
    assert [row.harmful for row in readings.values()] == [0] * len(readings)
    assert readings["+-0.2 mm"].named == readings["+-0.2 mm"].slips


def test_clean_hones_are_not_doubted() -> None:
    assert not any(false_alarm(item) for item in hones(22, 15))
