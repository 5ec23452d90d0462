"""NIST StRD, analysis of variance: our one-way analysis gives every certified value.

Provenance. The measured sets SiRstv (silicon resistivity) and AtmWtAg (atomic weight of silver)
and all certified values are from memory; that data and values belong together is checked here:
15 printed digits do not come out of wrong data by chance. SmLs01 to SmLs09 (Simon and Lesage,
1989) are made sets: they are made again by their rule, also from memory, and their certified
values follow from it by hand, as the last test does. SmLs04 to 06 and 07 to 09 are 01 to 03
with 10**6 and 10**12 in front, and have the same certified values.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from fitsolver.metrology.variance import Anova, one_way

from .derived import between_mean_square, r_squared, residual_deviation, within_mean_square

FOLDER = Path(__file__).parent
#: Certified values have 15 digits: half a unit of the last, relative to the smallest mantissa.
LAST_DIGIT = 5e-15

#: A made set: numbers in each of its nine groups, and what stands before the digits that vary.
MADE = {
    f"SmLs0{1 + 3 * size + many}": (number, front)
    for size, front in enumerate((1, 10**6, 10**12))
    for many, number in enumerate((21, 201, 2001))
}
MEASURED = ("SiRstv", "AtmWtAg")


def _rows(name: str) -> Iterator[dict[str, str]]:
    with (FOLDER / name).open(newline="", encoding="utf-8") as file:
        yield from csv.DictReader(file)


def _certified(data_set: str) -> tuple[dict[str, str], dict[str, str]]:
    number = int(data_set[-1]) if data_set in MADE else 0
    name = f"SmLs0{(number - 1) % 3 + 1}" if number else data_set
    between, within = (row for row in _rows("nist_strd_anova.csv") if row["data set"] == name)
    return between, within


def _made(number: int, front: int) -> list[list[str]]:
    """Groups about .4, .3, .5, .3, .5, ...: once the middle, then in turn a tenth to each side."""
    middles = [4] + [3, 5] * 4
    return [
        [f"{front}.{tenths}" for tenths in [middle, *[middle - 1, middle + 1] * (number // 2)]]
        for middle in middles
    ]


@cache
def _anova(data_set: str) -> Anova:
    if data_set in MADE:
        return one_way(_made(*MADE[data_set]))
    rows = _rows("nist_strd_anova_data.csv")
    return one_way([row["values"].split() for row in rows if row["data set"] == data_set])


def near(certified: str) -> object:
    return pytest.approx(float(certified), rel=LAST_DIGIT, abs=0)


@pytest.mark.parametrize("data_set", [*MADE, *MEASURED])
def test_certified_values(data_set: str) -> None:
    anova = _anova(data_set)
    between, within = _certified(data_set)
    assert (anova.between_degrees, anova.within_degrees) == (
        int(between["degrees"]),
        int(within["degrees"]),
    )
    assert float(anova.between_sum) == near(between["sum of squares"])
    assert float(anova.within_sum) == near(within["sum of squares"])
    assert between_mean_square(anova) == near(between["mean square"])
    assert within_mean_square(anova) == near(within["mean square"])
    assert anova.f == near(between["f"])
    assert r_squared(anova) == near(between["r squared"])
    assert residual_deviation(anova) == near(between["residual deviation"])


def test_binary_fractions_lose_the_hard_sets() -> None:
    """Why the sums are exact: the textbook formula in floats has no digit of SmLs07 right."""
    groups = [[float(value) for value in group] for group in _made(*MADE["SmLs07"])]
    every = [value for group in groups for value in group]
    correction = sum(every) ** 2 / len(every)
    between = sum(sum(group) ** 2 / len(group) for group in groups) - correction
    total = sum(value**2 for value in every) - correction
    assert abs(between - 1.68) > 1 and abs(total - between - 1.8) > 1
    assert float(_anova("SmLs07").within_sum) == near("1.8")


@pytest.mark.parametrize("data_set", MADE)
def test_made_sets_follow_from_their_rule(data_set: str) -> None:
    """n values about each of nine middles: eight lie 0.1 from their mean, so between is n 0.08;
    all but one value of each group lie 0.1 from its middle, so within is 9 (n - 1) 0.01."""
    number, _ = MADE[data_set]
    anova = _anova(data_set)
    assert anova.between_sum == Fraction(8 * number, 100)
    assert anova.within_sum == Fraction(9 * (number - 1), 100)
    assert anova.f == number


#: JCGM 100, table H.9 (from memory): the last digits of ten days' means (10.000 000 V and so many
#: microvolts) and the standard deviations of their five readings each, in microvolts.
DAYS = (172, 116, 13, 144, 106, 31, 60, 125, 163, 41)
DEVIATIONS = (60, 77, 111, 101, 67, 93, 80, 73, 88, 86)


def test_voltage_standard_of_jcgm_100_h5() -> None:
    """Five readings with each day's mean and deviation: m - s twice, m, m + s twice."""
    days = [[m - s, m - s, m, m + s, m + s] for m, s in zip(DAYS, DEVIATIONS, strict=True)]
    anova = one_way(days)
    between = (between_mean_square(anova) / 5) ** 0.5
    assert sum(map(sum, days)) / 50 == pytest.approx(97, abs=0.5)
    assert (anova.between_degrees, anova.within_degrees) == (9, 40)
    assert (round(between), round(residual_deviation(anova))) == (57, 85)
    excess = (between_mean_square(anova) - within_mean_square(anova)) / 5
    assert round(excess**0.5) == 43
    assert anova.f == pytest.approx(2.25, abs=0.02)  # printed from 57 and 85: 5 x 57**2 / 85**2
