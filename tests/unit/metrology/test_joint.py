from __future__ import annotations

from math import inf, prod

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import multivariate_normal, norm

from fitsolver.metrology.conformity import probability_between
from fitsolver.metrology.joint import Interval, joint_probability

#: What `joint_probability` states of more than two errors.
ACCURACY = 0.001


def random_case(size: int, seed: int) -> tuple[list[Interval], list[list[float]]]:
    """Intervals and a covariance of full rank, of differing scales."""
    dice = np.random.default_rng(seed)
    loads = dice.normal(size=(size, size + 1)) * dice.uniform(1, 500, size=(size, 1))
    covariance = loads @ loads.T
    u = np.sqrt(np.diag(covariance))
    low, high = -dice.uniform(0.2, 3, size) * u, dice.uniform(0.2, 3, size) * u
    return list(zip(low.tolist(), high.tolist(), strict=True)), covariance.tolist()


def witness(intervals: list[Interval], covariance: list[list[float]]) -> float:
    low, high = zip(*intervals, strict=True)
    found = multivariate_normal.cdf(
        high, cov=covariance, lower_limit=low, maxpts=400_000, abseps=1e-5, rng=1
    )
    return float(found)


@pytest.mark.parametrize("seed", range(20))
def test_two_errors_are_exact(seed: int) -> None:
    intervals, covariance = random_case(2, seed)
    assert joint_probability(intervals, covariance) == pytest.approx(
        witness(intervals, covariance), abs=1e-9
    )


@pytest.mark.parametrize("size", [3, 4, 6, 10])
@pytest.mark.parametrize("seed", range(5))
def test_more_errors_are_within_the_stated_accuracy(size: int, seed: int) -> None:
    intervals, covariance = random_case(size, 100 * size + seed)
    expected = witness(intervals, covariance)
    assert joint_probability(intervals, covariance) == pytest.approx(expected, abs=ACCURACY)


@pytest.mark.parametrize("r", [0.99, 0.99999, -0.999999, 0.9999999])
def test_nearly_the_same_error(r: float) -> None:
    intervals, covariance = [(-1.0, 1.5), (-0.5, 3.0)], [[1, r], [r, 1]]
    expected = witness(intervals, covariance)
    assert joint_probability(intervals, covariance) == pytest.approx(expected, abs=1e-7)


def test_multiples_of_one_error_meet_in_one_interval() -> None:
    """Errors e, pi e and -e: one normal variable, the intervals cut each other."""
    loads = [2.0, 2 * np.pi, -2.0]
    covariance = [[a * b for b in loads] for a in loads]
    found = joint_probability([(-3, 4), (-inf, 8), (-2, 9)], covariance)
    edges = max(-3 / 2, -9 / 2), min(4 / 2, 8 / (2 * np.pi), 2 / 2)
    assert found == pytest.approx(norm.cdf(edges[1]) - norm.cdf(edges[0]), abs=1e-12)


def test_errors_fixed_by_others() -> None:
    """Three errors x, y and x + y from two sources, against an integral over x."""
    loads = np.array([[1, 0], [0, 1], [1, 1.0]])
    intervals: list[Interval] = [(-1, 1.5), (-0.5, 3), (-0.7, 1)]

    def given(x: float) -> float:
        low, high = max(-0.5, -0.7 - x), min(3, 1 - x)
        return float(norm.pdf(x) * max(0.0, norm.cdf(high) - norm.cdf(low)))

    expected = quad(given, -1, 1.5, points=[-0.2], epsabs=1e-8)[0]
    found = joint_probability(intervals, (loads @ loads.T).tolist())
    assert found == pytest.approx(expected, abs=ACCURACY)


def test_errors_without_correlation_multiply() -> None:
    intervals: list[Interval] = [(-1, 2), (-3, 1), (-2, 2)]
    covariance = [[4, 0, 0], [0, 1, 0], [0, 0, 9]]
    parts = [probability_between(*i, u) for i, u in zip(intervals, (2, 1, 3), strict=True)]
    assert joint_probability(intervals, covariance) == pytest.approx(prod(parts), abs=1e-15)


def test_correlation_ignored_is_another_figure() -> None:
    """The wrong model: fits of one bore taken as independent."""
    intervals: list[Interval] = [(-1, 1), (-1, 1), (-1, 1)]
    loads = np.array([[1, 0.2], [1, -0.2], [1, 0.1]])
    covariance = loads @ loads.T
    right = joint_probability(intervals, covariance.tolist())
    wrong = joint_probability(intervals, np.diag(np.diag(covariance)).tolist())
    assert right - wrong > 0.2


def test_an_error_that_is_none_conforms_or_not() -> None:
    covariance = [[0.0, 0.0], [0.0, 1.0]]
    assert joint_probability([(-1, 1), (-1, 1)], covariance) == pytest.approx(0.6827, abs=1e-4)
    assert joint_probability([(1, 2), (-1, 1)], covariance) == 0


def test_nothing_to_meet_is_met() -> None:
    assert joint_probability([], []) == 1
    assert joint_probability([(-inf, inf)] * 2, [[1, 0.5], [0.5, 1]]) == 1


def test_an_empty_interval_is_never_met() -> None:
    assert joint_probability([(2, 1), (-9, 9)], [[1, 0.5], [0.5, 1]]) == 0


def test_equal_inputs_give_equal_bytes() -> None:
    intervals, covariance = random_case(5, 1)
    found = {joint_probability(intervals, covariance).hex() for _ in range(3)}
    assert len(found) == 1


def test_shapes_must_agree() -> None:
    with pytest.raises(ValueError, match="one interval for every row"):
        joint_probability([(0, 1)], [[1, 0], [0, 1]])
