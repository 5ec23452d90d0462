"""Columns in ticks: exact as `parse_length`, floats to the grid or the safe side."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitsolver.base.lengths import TICKS_PER, Unit, exact_text, parse_length
from fitsolver.reading.columns import Numbers, Text, sizes

UNITS: list[Unit] = ["mm", "um", "in", "thou"]


def text(*values: str) -> Text:
    codes, known = pd.factorize(pd.Series(list(values), dtype=object))
    return Text(codes.astype(np.int64), list(known))


def numbers(*values: float, dtype: str = "float64") -> Numbers:
    array = np.array(values, dtype)
    return Numbers(array, np.zeros(len(values), bool))


@given(
    st.lists(
        st.one_of(
            st.from_regex(r"[+-]?\d{1,4}(\.\d{0,7})?( ?(mm|um|in|thou|µm))?", fullmatch=True),
            st.text(max_size=6),
        ),
        min_size=1,
        max_size=20,
    ),
    st.sampled_from(UNITS),
)
def test_text_is_parsed_as_everywhere(values: list[str], unit: Unit) -> None:
    found = sizes(text(*values), unit, "up")
    for row, value in enumerate(values):
        try:
            expected = parse_length(value, unit)
        except ValueError as error:
            reason = found.reasons[found.wrong[row]]
            assert reason == (str(error) if value.strip() else "empty")
        else:
            assert (found.ticks[row], found.wrong[row]) == (expected, 0)


@given(st.lists(st.integers(1, 200 * 100_000), min_size=1), st.sampled_from(UNITS))
def test_a_float_written_from_the_grid_comes_back(ticks: list[int], unit: Unit) -> None:
    values = [tick / TICKS_PER[unit] for tick in ticks]
    for way in ("up", "down"):
        assert sizes(numbers(*values), unit, way).ticks.tolist() == ticks


@pytest.mark.parametrize("way", ["up", "down"])
def test_half_precision_is_taken_as_what_was_meant(way: str) -> None:
    short = numbers(62.0125, 62.013, dtype="float32")
    assert sizes(short, "mm", way).ticks.tolist() == [6_201_250, 6_201_300]  # type: ignore[arg-type]


def test_between_two_ticks_the_safe_side() -> None:
    between = numbers(62.0000149, 62.0000151)
    assert sizes(between, "mm", "up").ticks.tolist() == [6_200_002, 6_200_002]
    assert sizes(between, "mm", "down").ticks.tolist() == [6_200_001, 6_200_001]


def test_whole_numbers_are_exact() -> None:
    assert sizes(numbers(62, 63, dtype="int32"), "mm", "up").ticks.tolist() == [
        6_200_000,
        6_300_000,
    ]
    assert sizes(numbers(62_000, dtype="uint16"), "um", "up").ticks.tolist() == [6_200_000]


def test_what_is_no_size_has_a_reason() -> None:
    floats = Numbers(np.array([1.0, np.nan, np.inf, 1e30, 0.0]), np.array([0, 0, 0, 0, 1], bool))
    found = sizes(floats, "mm", "up")
    reasons = [found.reasons[wrong] for wrong in found.wrong]
    assert reasons == [
        "", "not a finite number", "not a finite number", "longer than ten metres", "empty",
    ]  # fmt: skip
    whole = sizes(numbers(10**12, dtype="int64"), "mm", "up")
    assert whole.reasons[whole.wrong[0]] == "longer than ten metres"
    missing = sizes(Text(np.array([-1, 0]), ["62"]), "mm", "up")
    assert missing.reasons[missing.wrong[0]] == "empty"
    assert exact_text(int(missing.ticks[1])) == "62"
