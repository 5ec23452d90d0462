"""Probabilities and guards of JCGM 106:2012; conformity.csv says where each figure comes from."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from fitsolver.metrology.conformity import (
    guard_factor,
    probability_between,
)

from .derived import conformance_probability

with (Path(__file__).parent / "conformity.csv").open(encoding="utf-8") as lines:
    PRINTED = {row["id"]: row for row in csv.DictReader(lines)}

#: estimate, u, lower and upper limit
CASES = {
    "two_sided": (13.6, 1.8, 12.5, 16.3),
    "upper_sided": (-5.47, 0.05, None, -5.40),
    "lower_sided": (509.7, 8.6, 490, None),
}


def near(name: str) -> object:
    row = PRINTED[name]
    return pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def test_no_case_of_the_file_is_left_out() -> None:
    tested = {*CASES, *(f"z_{p}" for p in (80, 90, 95, 99))}
    assert tested | {"guard_T4", "guard_T6", "guard_infeasible"} == set(PRINTED)


@pytest.mark.parametrize("name", CASES)
def test_conformance_probability(name: str) -> None:
    estimate, u, low, high = CASES[name]
    assert f"{estimate}, u {u}" in PRINTED[name]["inputs"]
    assert conformance_probability(low, high, estimate, u) == near(name)


@pytest.mark.parametrize("percent", [80, 90, 95, 99])
def test_one_sided_factor(percent: int) -> None:
    assert guard_factor(percent / 100) == near(f"z_{percent}")


@pytest.mark.parametrize("width", [4, 6])
def test_two_sided_guard(width: int) -> None:
    assert guard_factor(0.95, width) == near(f"guard_T{width}")


@pytest.mark.parametrize("width", [3.92, 3.95, 4, 4.5, 5, 6, 8, 12])
@pytest.mark.parametrize("probability", [0.8, 0.9, 0.95])
def test_the_guarded_edge_keeps_the_wanted_probability(width: float, probability: float) -> None:
    guard = guard_factor(probability, width)
    assert guard is not None
    kept = probability_between(-guard, width - guard, 1.0)
    assert kept == pytest.approx(probability, abs=1e-12)
    assert guard <= width / 2
    assert guard >= (guard_factor(probability) or 0)


def test_below_3_92_there_is_no_guard() -> None:
    printed = PRINTED["guard_infeasible"]
    least, tolerance = float(printed["value"]), float(printed["tolerance"])
    assert guard_factor(0.95, least - tolerance) is None
    assert guard_factor(0.95, least + tolerance) is not None
    assert guard_factor(0.95, 3.919) is None
    assert guard_factor(0.95, 3.920) is not None
