"""A first figure for stones that no check tells of."""

from __future__ import annotations

from math import sqrt
from pathlib import Path
from random import Random

import pytest

from fitsolver.honing.advice import FASTEST
from fitsolver.honing.first import LIGHTEST, MOST, Pace, first_strokes
from fitsolver.metrology.student import t_quantile
from fitsolver.records.hone import HoneState
from fitsolver.usecases import files as service
from tests.unit.honing.jobs import flat, line, pump, stated_largest


def state(folder: Path, *lines: str, cylinder: str = "1", stones: str | None = None) -> HoneState:
    job = pump(folder)
    job.with_suffix(".hone").write_text("".join(f"{text}\n" for text in lines), encoding="utf-8")
    (found,) = service.hone(job, cylinder=cylinder, stones=stones).cylinders
    return found


def test_the_largest_count_that_keeps_the_condition() -> None:
    """Against trying every count, on invented bores."""
    dice = Random(3)
    seen = set()
    for _ in range(500):
        smallest = dice.randrange(6_200_000, 6_250_000)
        largest = smallest + dice.randrange(0, 3_000)
        low = largest + dice.randrange(-2_000, 20_000)
        high = max(low, largest) + dice.randrange(0, 3_000)
        pace = dice.choice((None, Pace(dice.uniform(5, 600), 1)))
        found = first_strokes(smallest, largest, low, high, 200.0, 0.05, pace)
        rate = FASTEST if pace is None else 2 * pace.fastest
        gauge = t_quantile(0.95, 8) * 200 * sqrt(2)
        held = [
            count
            for count in range(1, MOST + 1)
            if largest + rate * count + gauge <= high
            and (count == 1 or rate * count <= (low - smallest) / 2)
        ]
        left = high - largest - gauge
        light = not held and left >= LIGHTEST
        assert found.count == max(held, default=int(light))
        assert (found.basis == "what is left") == light
        assert not light or found.rate == pytest.approx(left)
        assert not found.count or found.largest <= high
        seen.add(found.count)
    assert {0, 1, MOST} < seen


def test_slower_stones_than_assumed_never_pass_the_highest() -> None:
    """Simulated: true sizes, a gauge that errs by 2 um, stones up to the assumed pace."""
    dice = Random(4)
    passed = taken = 0
    for _ in range(4_000):
        true = dice.uniform(6_240_000, 6_249_000)
        read = round(true + dice.gauss(0, 200))
        found = first_strokes(read, read, 6_249_425, 6_250_835, 200.0, 0.05, None)
        taken += found.count > 0
        passed += true + found.count * dice.uniform(0, FASTEST) > 6_250_835
    assert taken > 3_000
    assert passed == 0


def test_without_a_log(tmp_path: Path) -> None:
    """From 62.252 there are 242 um to the lowest: half of it is 24 strokes of 5 um, 20 the most."""
    now = state(tmp_path)
    assert now.advice == "find the rate"
    assert now.first is not None
    assert (now.next_count, now.first.count, now.first.basis) == (20, 20, "common practice")
    assert "No risk can be computed" in now.sentence
    assert "common practice, no source" in now.sentence
    assert stated_largest(now) is None


def test_near_the_size_one_stroke_or_none(tmp_path: Path) -> None:
    near = line(200, flat(0.310))  # 62.486: 8 um to the lowest, 22 um to the highest
    assert state(tmp_path, near, stones="400").next_count == 1
    full = line(200, flat(0.317)), line(0, flat(0.318))
    one = state(tmp_path, *full, stones="400")  # 62.494 and 14.35 um to go: 5.3 for the gauge
    assert one.next_count == 1
    uneven = line(200, lambda depth, axis: 0.328 if (depth, axis) == (8, "pin") else 0.310)
    none = state(tmp_path, uneven, stones="400")  # 4.4 um to the highest, less than the gauge's
    assert (none.advice, none.next_count) == ("find the rate", 0)
    assert none.sentence.startswith("0 strokes: what is left") and "finer gauge" in none.sentence


def test_the_same_stones_of_before(tmp_path: Path) -> None:
    lines = (line(30, flat(0.115)), line(30, flat(0.205)), line(30, flat(0.215), stones="400"))
    now = state(tmp_path, *lines, stones="180")
    assert now.first is not None
    assert (now.first.basis, now.first.steps) == ("same stones", 2)
    assert now.first.rate == pytest.approx(2 * 9_000 / 30)  # the second step is the faster
    assert now.rate is None
    other = state(tmp_path, *lines, cylinder="2", stones="400")
    assert other.first is not None
    assert other.first.rate == pytest.approx(2 * 1_000 / 30)
    assert "2 times the fastest pace of these stones in the log" in other.sentence
    unknown = state(tmp_path, *lines, cylinder="2", stones="800")
    assert unknown.first is not None and unknown.first.basis == "common practice"


def test_several_stones_since_the_check_tell_no_pace(tmp_path: Path) -> None:
    mixed = state(tmp_path, line(30, flat(0.115)), "1, 5, 600", line(5, flat(0.160), stones="400"))
    assert mixed.first is not None
    assert (mixed.advice, mixed.first.basis) == ("find the rate", "common practice")


def test_read_again_without_strokes_is_no_rate(tmp_path: Path) -> None:
    again = state(tmp_path, line(0, lambda depth, axis: 0.095 - depth / 4_000))
    assert again.first is not None
    assert "No rate is known" in again.sentence
