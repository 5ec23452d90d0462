"""NIST StRD, linear regression, data set Norris: our straight line gives every certified value.

Provenance. Data (36 readings of ozone monitors) and certified values are from memory; that they
belong together is checked here: 15 printed digits do not come out of wrong data by chance.
Second witness: scipy's own regression, on these data and on drawn ones.
"""

from __future__ import annotations

import csv
import random
from math import sqrt
from pathlib import Path

import pytest
from scipy import stats

from fitsolver.metrology.line import Line, fit_line
from fitsolver.metrology.student import t_quantile

from .derived import foretelling_factor, intercept_factor

#: Certified: estimate and its standard deviation, and the residual standard deviation.
INTERCEPT, INTERCEPT_DEVIATION = -0.262323073774029, 0.232818234301152
SLOPE, SLOPE_DEVIATION = 1.00211681802045, 0.429796848199937e-3
RESIDUAL_DEVIATION = 0.884796396144373


def _data() -> tuple[list[float], list[float]]:
    path = Path(__file__).with_name("nist_strd_norris.csv")
    with path.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return [float(row["x"]) for row in rows], [float(row["y"]) for row in rows]


def _scatter(line: Line) -> float:
    assert line.scatter is not None
    return line.scatter


def test_certified_values() -> None:
    x, y = _data()
    line = fit_line(x, y)
    assert (line.points, line.degrees) == (36, 34)
    assert line.slope == pytest.approx(SLOPE, rel=1e-14)
    assert line.at(0.0) == pytest.approx(INTERCEPT, rel=1e-12)
    scatter = _scatter(line)
    assert scatter == pytest.approx(RESIDUAL_DEVIATION, rel=1e-13)
    assert scatter * line.slope_factor() == pytest.approx(SLOPE_DEVIATION, rel=1e-13)
    assert scatter * intercept_factor(line) == pytest.approx(INTERCEPT_DEVIATION, rel=1e-13)


def test_a_changed_reading_is_seen() -> None:
    x, y = _data()
    y[3] += 0.1
    assert fit_line(x, y).slope != pytest.approx(SLOPE, rel=1e-6)


@pytest.mark.parametrize("seed", range(20))
def test_second_witness(seed: int) -> None:
    dice = random.Random(seed)
    x = [float(dice.randrange(200)) for _ in range(dice.randrange(3, 12))] + [250.0]
    y = [6_200_000 + 150 * value + dice.gauss(0, 200) for value in x]
    line, witness = fit_line(x, y), stats.linregress(x, y)
    assert line.slope == pytest.approx(witness.slope, rel=1e-9)
    assert line.at(0.0) == pytest.approx(witness.intercept, rel=1e-12)
    assert _scatter(line) * line.slope_factor() == pytest.approx(witness.stderr, rel=1e-6)
    assert line.at(300.0) == pytest.approx(witness.intercept + 300 * witness.slope, rel=1e-12)


def test_the_interval_of_one_further_point_holds_it_as_often_as_it_says() -> None:
    dice, inside, runs = random.Random(1), 0, 4_000
    x = [0.0, 10.0, 20.0, 40.0]
    for _ in range(runs):
        line = fit_line(x, [3 * value + dice.gauss(0, 2) for value in x])
        limit = line.at(60.0) + t_quantile(0.95, line.degrees) * _scatter(
            line
        ) * foretelling_factor(line, 60.0)
        inside += 3 * 60.0 + dice.gauss(0, 2) <= limit
    assert abs(inside / runs - 0.95) < 4 * sqrt(0.95 * 0.05 / runs)


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 5, 8, 9, 12, 31])
@pytest.mark.parametrize("probability", [0.5, 0.6, 0.9, 0.95, 0.99, 0.9999])
def test_quantiles_of_t(probability: float, degrees: int) -> None:
    witness = stats.t.ppf(probability, degrees)
    assert t_quantile(probability, degrees) == pytest.approx(witness, rel=1e-8, abs=1e-9)


@pytest.mark.parametrize(("probability", "degrees"), [(0.4, 3), (1.0, 3), (0.9, 0)])
def test_no_quantile(probability: float, degrees: int) -> None:
    with pytest.raises(ValueError, match="quantile"):
        t_quantile(probability, degrees)


@pytest.mark.parametrize(("x", "y"), [([1.0], [1.0]), ([1.0, 2.0], [1.0]), ([2.0, 2.0], [1.0, 3])])
def test_no_line(x: list[float], y: list[float]) -> None:
    with pytest.raises(ValueError, match="line needs"):
        fit_line(x, y)
