"""The counter gives the verdicts of `pick` on the equal job, and those of screening.

A hundred drawn questions here; `tests/bench/test_counter.py` has two thousand.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver import InputError, counter, load
from fitsolver.picking.decide import decide
from fitsolver.records.job import PinnedRing
from fitsolver.records.readings import Reading

from .counter_compared import compare
from .counter_draws import FAMILY, drawn

HUNDREDS = range(100)
FIFTY = range(100, 150)


@pytest.mark.parametrize("first", range(0, len(HUNDREDS), 10))
def test_the_counter_gives_the_verdicts_of_pick_and_of_screening(
    first: int, tmp_path: Path
) -> None:
    compared = 0
    for seed in HUNDREDS[first : first + 10]:
        folder = tmp_path / str(seed)
        folder.mkdir()
        compared += compare(drawn(seed), folder)
    assert compared >= 30  # an answer and some lines for each


def test_up_to_the_reading_told_the_same_parts_serve_and_not_a_tick_further(tmp_path: Path) -> None:
    tried = 0
    for seed in FIFTY:
        folder = tmp_path / str(seed)
        folder.mkdir()
        question = drawn(seed)
        shelf = question.write(folder)
        answer = counter(FAMILY, *question.sizes, catalogue=shelf)
        if answer.advised is None or len(answer.advised.cylinders) > 1:
            continue
        (own,) = answer.advised.cylinders
        if own.serves_to is None:
            continue
        job, parts = load(folder / "job.toml")
        rings = tuple(
            PinnedRing(groove=groove, number=number) for groove, number in enumerate(own.rings, 1)
        )
        pinned = {"piston": own.piston, "rings": rings, "route": own.route}
        cylinder = job.cylinders[0].model_copy(update=pinned)
        for size, fits in ((own.serves_to, True), (own.serves_to + 1, False)):
            first, *others = cylinder.readings
            worst = Reading(depth=first.depth, angle=first.angle, size=size)
            worn = cylinder.model_copy(update={"readings": (worst, *others)})
            one = job.model_copy(update={"cylinders": (worn,)})
            assert (decide(one, parts).plan is not None) == fits, (seed, size)
        tried += 1
    assert tried >= 10


def test_what_pick_refuses_the_counter_refuses_too(tmp_path: Path) -> None:
    question = drawn(0)
    shelf = question.write(tmp_path)
    sheet = shelf / "family.toml"
    sheet.write_text(sheet.read_text().replace('fit = "clearance"', 'fit = "ring_seat"'))
    with pytest.raises(InputError, match="window"):
        counter(FAMILY, *question.sizes, catalogue=shelf)
