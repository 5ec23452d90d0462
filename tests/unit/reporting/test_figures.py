"""Figures on paper are never looser than the plan."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitsolver.base.lengths import TICKS_PER, Unit, ceil, in_unit
from fitsolver.records.figures import Figures, money

from . import answers
from .answers import mm

UNITS: tuple[Unit, ...] = ("mm", "um", "in", "thou")
LENGTHS = st.integers(-20_000_000, 20_000_000)
units = st.sampled_from(UNITS)


def exact(text: str, unit: Unit) -> Decimal:
    """Return the figure's length in ticks."""
    return Decimal(text) * TICKS_PER[unit]


def test_sides() -> None:
    figures = Figures("mm")
    assert figures.up(mm("62.4941")) == "62.495"
    assert figures.down(mm("62.4949")) == "62.494"
    assert figures.near(mm("62.4946")) == "62.495"
    assert figures.down(mm("-0.0001")) == "-0.001"
    assert figures.up(mm("0.25"), sign=True) == "+0.250"
    assert figures.near(None) == "-"


def test_symbols() -> None:
    assert [Figures(unit).symbol for unit in UNITS] == ["mm", "µm", "in", "thou"]


@given(LENGTHS, st.integers(0, 400_000), units)
def test_paper_window_lies_within_the_true_one(low: int, width: int, unit: Unit) -> None:
    high = low + width
    lowest, highest = Figures(unit).permitted(low, high)
    assert Decimal(lowest) <= Decimal(highest)
    if width:
        assert low <= exact(lowest, unit) and exact(highest, unit) <= high


@given(LENGTHS, st.integers(0, 9_000), st.integers(0, 9_000), units)
def test_aim_lies_within_the_paper_window(low: int, first: int, second: int, unit: Unit) -> None:
    figures = Figures(unit)
    size, high = low + first, low + first + second
    lowest, highest = figures.permitted(low, high)
    aim = figures.aim(size, low, high)
    assert Decimal(lowest) <= Decimal(aim) <= Decimal(highest)
    assert aim.partition(".")[2].__len__() == lowest.partition(".")[2].__len__()


def test_more_decimals_where_rounding_would_leave_nothing() -> None:
    figures = Figures("mm")
    assert figures.permitted(mm("62.4941"), mm("62.4949")) == ("62.4941", "62.4949")
    assert figures.permitted(mm("62.494"), mm("62.494")) == ("62.494", "62.494")
    assert figures.permitted(mm("62.4941"), None) == ("62.495", "-")
    # One tick is 1/2540000 in: no decimals end, so both are the nearest in the finest ones.
    assert Figures("in").permitted(1, 1) == ("0.0000004", "0.0000004")


def test_aim_is_rounded_up_but_never_past_the_highest() -> None:
    figures = Figures("mm")
    assert figures.aim(mm("62.4942"), mm("62.4942"), mm("62.51")) == "62.495"
    assert figures.aim(mm("62.4958"), mm("62.491"), mm("62.4958")) == "62.495"
    assert figures.aim(mm("62.4942"), mm("62.4942"), None) == "62.495"


def test_fit_is_rounded_to_the_safe_side() -> None:
    line = answers.fit(
        low=mm("0.05512"), high=mm("0.08988"), least=mm("0.0609"), most=mm("0.0701"),
        slack_low=mm("0.0038"), slack_high=mm("0.0178"),
    )  # fmt: skip
    assert Figures("mm").fit(line) == ("0.056", "0.089", "0.060", "0.071", "0.003", "0.017")


def test_one_decimal_more_where_the_window_is_stated_in_it() -> None:
    line = answers.fit(
        low=mm("0.0551"), high=mm("0.09"), least=mm("0.0609"), most=mm("0.0701"),
        slack_low=mm("0.0038"), slack_high=mm("0.0178"),
    )  # fmt: skip
    assert Figures("mm").fit(line) == (
        "0.0551", "0.0900", "0.0609", "0.0701", "0.0038", "0.0178"
    )  # fmt: skip
    half_tenths = line.model_copy(update={"low": 127, "high": 254 * 30, "guard": 0})
    assert Figures("in").fit(half_tenths)[:2] == ("0.00005", "0.00300")


def test_fit_at_its_edge_does_not_read_as_missed() -> None:
    """0.28125 up is 0.282, down is 0.281: the value is written as the edge that it keeps."""
    edge = mm("0.28125")
    line = answers.end_gap(low=edge, least=edge, slack_low=0)
    low, _, least, *_ = Figures("mm").fit(line)
    assert (low, least) == ("0.282", "0.282")
    low, _, least, *_ = Figures("in").fit(line)  # 0.011072834... in, in steps of 0.0001
    assert (low, least) == ("0.0111", "0.0111")


def test_values_of_both_signs_have_their_signs() -> None:
    seat = answers.fit(
        low=mm("-0.05"), high=mm("0.3"), guard=0, least=mm("-0.019"), most=mm("-0.009"),
        slack_low=mm("0.031"), slack_high=mm("0.309"),
    )  # fmt: skip
    assert Figures("mm").fit(seat) == ("-0.050", "+0.300", "-0.019", "-0.009", "0.031", "0.309")


def test_a_stated_half_tenth_is_shown() -> None:
    assert [Figures("in").near(127 * k) for k in (1, 2, 3)] == ["0.00005", "0.0001", "0.00015"]
    assert Figures("in").up(127) == "0.0001"
    assert Figures("thou").near(127) == "0.05"


@given(LENGTHS, st.integers(0, 500), st.integers(0, 40_000), st.integers(0, 40_000), units)
def test_a_fit_that_holds_reads_so(low: int, guard: int, first: int, wide: int, unit: Unit) -> None:
    least = low + guard + first
    most, high = least + wide, least + wide + guard + first
    line = answers.fit(
        low=low, high=high, guard=guard, least=least, most=most, slack_low=first, slack_high=first
    )
    lowest, highest, shown_least, shown_most, below, above = map(Decimal, Figures(unit).fit(line))
    paper_guard = Decimal(ceil(in_unit(guard, unit) * 10**7)).scaleb(-7)
    assert lowest + paper_guard <= shown_least
    assert shown_most <= highest - paper_guard
    assert below * TICKS_PER[unit] <= first
    assert above * TICKS_PER[unit] <= first


@given(LENGTHS, st.integers(1, 40_000), units)
def test_a_missed_fit_shows_a_negative_slack(low: int, missed: int, unit: Unit) -> None:
    line = answers.fit(
        low=low, high=None, guard=0, least=low - missed, most=low, slack_low=-missed,
        slack_high=None,
    )  # fmt: skip
    lowest, highest, least, _, below, above = Figures(unit).fit(line)
    assert Decimal(least) < Decimal(lowest)
    assert Decimal(below) < 0
    assert (highest, above) == ("-", "-")


@pytest.mark.parametrize(
    ("hundredths", "currency", "text"),
    [(7_205, "EUR", "72.05 EUR"), (5, "", "0.05"), (None, "EUR", "-")],
)
def test_money(hundredths: int | None, currency: str, text: str) -> None:
    assert money(hundredths, currency) == text
