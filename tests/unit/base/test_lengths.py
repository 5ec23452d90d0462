from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitsolver.base.lengths import (
    LONGEST,
    RATIO,
    TICKS_PER,
    Unit,
    ceil,
    exact_text,
    floor,
    format_length,
    in_unit,
    parse_length,
    parse_number,
    parse_ratio,
    parse_unit,
    typed,
)

units = st.sampled_from(sorted(TICKS_PER))
ticks = st.integers(-LONGEST, LONGEST)


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("62.25", "mm", 6_225_000),
        ("0.00001", "mm", 1),
        ("1", "um", 100),
        ("0.01", "um", 1),
        ("0.0001", "in", 254),
        ("0.00005", "in", 127),
        ("3.8750", "in", 9_842_500),
        ("12", "thou", 30_480),
        ("12 thou", "mm", 30_480),
        ("5 µm", "in", 500),
        ("5 μm", "in", 500),  # the Greek letter, which looks the same
        ('0.5"', "mm", 1_270_000),
        ("1 inch", "mm", 2_540_000),
        (" -.3mm ", "in", -30_000),
        ("+7.", "mm", 700_000),
        (62, "mm", 6_200_000),
        (Decimal("62.31"), "mm", 6_231_000),
        ("10000", "mm", LONGEST),
    ],
)
def test_lengths_are_exact(text: str | int | Decimal, unit: Unit, expected: int) -> None:
    assert parse_length(text, unit) == expected


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("0.000001", "finer than the grid"),
        ("0.00002 in", "finer than the grid"),
        ("10000.1", "longer than ten metres"),
        ("-400 in", "longer than ten metres"),
        ("62,25", "not a number"),
        ("", "not a number"),
        ("nan", "not a number"),
        ("1e3", "not a number"),
        ("6 2.5", "not a number"),
        ("1.2.3", "not a number"),
        ("3 furlong", "unknown unit 'furlong'"),
        (Decimal("NaN"), "not a finite number"),
        (Decimal("Infinity"), "not a finite number"),
        (True, "not a number"),
        (62.25, "not a number"),  # a float is refused: it is not what was typed
        (None, "not a number"),
    ],
)
def test_bad_lengths_say_what_is_wrong(text: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        parse_length(text, "mm")  # type: ignore[arg-type]


def test_units_are_spelled_in_several_ways() -> None:
    assert [parse_unit(text) for text in ("MM", " um", "µm", '"', "Inch", "thou")] == [
        "mm", "um", "um", "in", "in", "thou",
    ]  # fmt: skip
    with pytest.raises(ValueError, match="allowed: mm, um"):
        parse_unit("cm")


def test_plain_numbers_and_ratios() -> None:
    assert parse_number("0.1") == Fraction(1, 10)
    with pytest.raises(ValueError, match="plain number"):
        parse_number("3 mm")
    assert parse_ratio("0.0035") == 35 * RATIO // 10_000
    with pytest.raises(ValueError, match="finer than one part"):
        parse_ratio("0.0000000001")


@given(size=ticks, unit=units)
def test_exact_text_is_read_back(size: int, unit: Unit) -> None:
    assert parse_length(exact_text(size, unit), unit) == size


def test_exact_text_has_no_needless_decimals() -> None:
    assert exact_text(6_225_000) == "62.25"
    assert exact_text(254, "in") == "0.0001"
    assert exact_text(1, "in") == "0.00001 mm"  # 1/2540000 in has no end


@given(size=ticks, unit=units)
def test_formatting_rounds_to_the_side_asked_for(size: int, unit: Unit) -> None:
    true = in_unit(size, unit)
    down, up = (Fraction(format_length(size, unit, side)) for side in ("down", "up"))
    step = {"mm": Fraction(1, 1000), "in": Fraction(1, 10_000)}.get(unit, Fraction(1, 10))
    assert down <= true <= up
    assert up - down in (0, step)
    if abs(size) < LONGEST - 1_000:
        assert parse_length(format_length(size, unit, "up"), unit) >= size  # it can be typed back
    nearest = Fraction(format_length(size, unit))
    assert abs(nearest - true) <= step / 2


def test_formatting_shows_symbol_sign_and_places() -> None:
    assert format_length(6_225_000, symbol=True) == "62.250 mm"
    assert format_length(500, "um", symbol=True, sign=True) == "+5.0 µm"
    assert format_length(-254, "in", sign=True) == "-0.0001"
    assert format_length(0, sign=True) == "0.000"
    assert format_length(1, places=5) == "0.00001"
    assert format_length(-1, "mm", "nearest") in ("0.000", "-0.000")


@given(st.fractions())
def test_floor_and_ceil_enclose(value: Fraction) -> None:
    assert floor(value) <= value < floor(value) + 1
    assert ceil(value) - 1 < value <= ceil(value)


@given(ticks, units)
def test_a_figure_to_be_typed_is_read_back_to_the_tick(length: int, unit: Unit) -> None:
    assert parse_length(typed(length, unit), unit) == length


def test_a_figure_finer_than_a_drawing_in_inches_is_told_in_mm() -> None:
    """-18.1476 thou is a rounded figure, and finer than the grid."""
    assert typed(-46_095, "thou") == "-0.46095 mm"
    assert typed(-46_101, "thou") == "-18.15 thou"
    assert typed(254, "in") == "0.0001 in"
    with pytest.raises(ValueError, match="finer than the grid"):
        parse_length("-18.1476", "thou")
