from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitsolver.metrology.temperature import (
    corrected_ticks,
    difference_ticks,
    plausible_temperature,
    size_at_20,
)

MM = 100_000
sizes = st.integers(20 * MM, 150 * MM)
dials = st.integers(-MM, MM)
expansions = st.integers(8_000, 25_000)
temperatures = st.integers(-10_000, 90_000)


def test_an_iron_bore_off_the_hone_in_figures() -> None:
    """62.312 mm at 31 °C by an instrument at 20 °C: 11 K of 11.4e-6/K are 7.8 µm."""
    warm = {"standard_expansion": 11_500, "standard_temperature": 20_000}
    found = corrected_ticks(6_231_200, 0, **warm, part_expansion=11_400, part_temperature=31_000)
    assert found == 6_230_419
    by_hand = 62.312 / (1 + 11.4e-6 * 11)
    assert found / MM == pytest.approx(by_hand, abs=0.5e-5)


@given(sizes, dials, expansions, temperatures, expansions, temperatures)
def test_whole_numbers_are_the_exact_model_rounded_once(
    standard: int, dial: int, a_s: int, t_s: int, a: int, t: int
) -> None:
    exact = size_at_20(
        Fraction(standard),
        Fraction(dial),
        standard_expansion=Fraction(a_s, 10**9),
        standard_temperature=Fraction(t_s, 1000),
        part_expansion=Fraction(a, 10**9),
        part_temperature=Fraction(t, 1000),
    )
    model = {"standard_expansion": a_s, "standard_temperature": t_s}
    model |= {"part_expansion": a, "part_temperature": t}
    found = corrected_ticks(standard, dial, **model)
    assert abs(found - exact) <= Fraction(1, 2)
    assert abs(difference_ticks(found, standard, **model) - dial) <= 1


@given(sizes, expansions, temperatures)
def test_like_material_at_like_temperature_needs_no_correction(size: int, a: int, t: int) -> None:
    same = {"standard_expansion": a, "standard_temperature": t}
    assert corrected_ticks(size, 0, **same, part_expansion=a, part_temperature=t) == size


@given(sizes, dials, expansions, expansions)
def test_at_20_nothing_changes(size: int, dial: int, a_s: int, a: int) -> None:
    cold = {"standard_temperature": 20_000, "part_temperature": 20_000}
    found = corrected_ticks(size, dial, standard_expansion=a_s, part_expansion=a, **cold)
    assert found == size + dial


def test_the_first_order_rule_is_near() -> None:
    """`reading x (1 + a_inst (T_inst - 20) - a_part (T_part - 20))`, here within 20 nm."""
    found = size_at_20(
        62.0,
        0.0,
        standard_expansion=11.5e-6,
        standard_temperature=24.0,
        part_expansion=21.5e-6,
        part_temperature=31.0,
    )
    assert found == pytest.approx(62.0 * (1 + 11.5e-6 * 4 - 21.5e-6 * 11), abs=2e-5)


def test_arrays_are_corrected_all_at_once() -> None:
    at = np.array([20.0, 31.0])
    found = size_at_20(
        np.array([62.0, 62.0]),
        0.0,
        standard_expansion=11.5e-6,
        standard_temperature=20.0,
        part_expansion=11.4e-6,
        part_temperature=at,
    )
    assert found[0] == 62.0 and found[1] < 62.0


@pytest.mark.parametrize("value", [-10_000, 20_000, 31_500, 45_000])
def test_temperatures_of_a_workshop_raise_no_question(value: int) -> None:
    assert plausible_temperature(value) is None


def test_fahrenheit_given_as_celsius_is_asked_about() -> None:
    question = plausible_temperature(72_000)
    assert question is not None
    assert question.startswith("72: is that °F (22.2 °C)?")
