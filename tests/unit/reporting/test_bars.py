"""Bars for a terminal: as wide as asked, never full or empty without cause."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from fitsolver.reporting.bars import bar, bar_width


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(some.integers(1, 10**7), some.data(), some.integers(2, 60))
def test_a_bar_is_as_wide_as_asked_and_says_what_is_left(
    whole: int, data: some.DataObject, width: int
) -> None:
    left = data.draw(some.integers(0, whole))
    drawn = bar(left, whole, width, "ascii")
    assert len(drawn) == width and set(drawn) <= {"#", "."}
    assert (drawn == "#" * width) == (left == whole)
    assert (drawn == "." * width) == (left == 0)
    assert abs(drawn.count("#") - width * left / whole) <= 1
    assert drawn == "#" * drawn.count("#") + "." * drawn.count(".")


@pytest.mark.parametrize(("left", "whole"), [(-5, 10), (0, 0), (3, 0)])
def test_what_cannot_be_left_is_an_empty_bar(left: int, whole: int) -> None:
    assert bar(left, whole, 4, "ascii") == "...."


def test_blocks_only_where_they_can_be_shown() -> None:
    assert bar(1, 2, 4) == "\u2588\u2588\u2591\u2591"
    assert bar(1, 2, 4, "latin-1") == "##.."
    assert bar(1, 2, 4, "no such encoding") == "##.."


@pytest.mark.parametrize(
    ("columns", "beside", "width"), [(80, 40, 20), (40, 20, 19), (40, 34, 5), (40, 36, 0)]
)
def test_a_narrow_terminal_has_a_shorter_bar_or_none(columns: int, beside: int, width: int) -> None:
    assert bar_width(columns, beside) == width
