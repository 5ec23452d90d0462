"""The bore between its readings, against plain conditioning and plain Monte Carlo (scipy, numpy).

Witnesses: the conditional normal distribution with a level of very large variance in place of the
unknown one (Rasmussen and Williams 2006, 2.7), Clark's moments of the greater of two normal
variables (The greatest of a finite set of random variables, Operations Research 9, 1961), and a
hundred thousand random draws on the same grid.
"""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from scipy.stats import multivariate_normal, norm

from fitsolver.metrology import between
from fitsolver.metrology.between import Whole, expected, whole
from fitsolver.metrology.bore_parts import Layout, Prior

PRIOR = Prior(along=5e-5, oval=2.5e-5, top=5e-5, bottom=5e-5)
BORE = 6_000_000.0
GRID = tuple(k / 10 for k in range(11))
SIX = tuple((depth, angle, 80.0) for depth in (0.1, 0.5, 0.9) for angle in (0, 90))
LAYOUT = Layout(SIX, GRID, BORE, PRIOR)
READ = np.array([[520.0, 300.0, 180.0, 60.0, 0.0, -40.0]])
LEVEL = 1e9  # variance of the level, in place of one that is not known


def told(layout: Layout, sizes: np.ndarray) -> Whole:
    ((_, found),) = whole(layout, sizes)
    return found


def moments(found: Whole, name: str) -> tuple[float, float]:
    values = getattr(found, name)[0]
    mean = float((found.weights[0] * values).sum())
    return mean, sqrt(float((found.weights[0] * (values - mean) ** 2).sum()))


def covariance(one: np.ndarray, other: np.ndarray, along: float, oval: float) -> np.ndarray:
    """The kernel of docs/measurement.md, written a second time."""
    z, w = one[:, None, 0], other[None, :, 0]
    turn = np.radians(one[:, None, 1] - other[None, :, 1])

    def near(length: float) -> np.ndarray:
        return np.exp(-((z - w) ** 2) / (2 * length**2))

    form = 0.5 * near(0.25) + 0.5 * near(0.8)
    for reach in (0.05, 0.1, 0.2):
        form = form + np.exp(-(z + w) / reach) / 3 + np.exp(-(2 - z - w) / reach) / 3
    oval_ = (np.cos(2 * turn) + 0.04 * np.cos(4 * turn)) * (0.7 * near(1.0) + 0.3 * near(0.3))
    return along**2 * form + oval**2 * oval_


def pair(index: int) -> tuple[float, float]:
    """The amplitudes of a pair (ticks)."""
    a, b = divmod(index, 3)
    return (0.3, 1.0, 3.0)[a] * 5e-5 * BORE, (0.3, 1.0, 3.0)[b] * 2.5e-5 * BORE


def joint(index: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Covariances of readings, of grid with readings, of grid, with a level of large variance."""
    along, oval = pair(index)
    rough = 0.1**2 * (along**2 + oval**2)
    read = np.array([place[:2] for place in SIX], dtype=float)
    grid = np.array([(z, k * 18.0) for z in GRID for k in range(10)])
    own = covariance(read, read, along, oval) + LEVEL + np.eye(6) * (rough + 80.0**2)
    cross = covariance(grid, read, along, oval) + LEVEL
    return own, cross, covariance(grid, grid, along, oval) + LEVEL + np.eye(len(grid)) * rough


@pytest.mark.parametrize("index", [0, 4, 8])
def test_mean_and_variance_are_those_of_plain_conditioning(index: int) -> None:
    node = between._nodes(LAYOUT)[index]
    own, cross, grid = joint(index)
    off = READ[0] - READ.max()
    assert node.to_grid @ off == pytest.approx(cross @ np.linalg.solve(own, off), abs=1.0)
    wanted = np.diag(grid - cross @ np.linalg.solve(own, cross.T))
    found = (node.deviations.astype(float) ** 2).mean(axis=1)
    assert found.mean() == pytest.approx(wanted.mean(), rel=0.01)
    assert np.sqrt(((found / wanted - 1) ** 2).mean()) < 0.12
    assert node.deviations.mean(axis=1) == pytest.approx(0, abs=0.5)


def test_pairs_are_weighed_by_how_probable_they_make_the_readings() -> None:
    logs = np.array(
        [multivariate_normal.logpdf(READ[0] - 170, cov=joint(k)[0]) for k in range(9)]
    ) + np.log(np.outer((0.25, 0.5, 0.25), (0.25, 0.5, 0.25)).ravel())
    wanted = np.exp(logs - logs.max())
    wanted /= wanted.sum()
    found = between._weights(LAYOUT, READ - READ.max())[0]
    assert found == pytest.approx(np.where(wanted < 0.01, 0, wanted), abs=0.015)


def test_extremes_are_those_of_plain_monte_carlo() -> None:
    random = np.random.default_rng(5)
    weights = between._weights(LAYOUT, READ - READ.max())[0]
    largest, smallest, round_ = [], [], []
    for index in np.flatnonzero(weights):
        own, cross, grid = joint(int(index))
        mean = cross @ np.linalg.solve(own, READ[0] - READ.max())
        spread = grid - cross @ np.linalg.solve(own, cross.T)
        count = round(100_000 * weights[index])
        drawn = random.multivariate_normal(mean, spread, count, method="eigh")
        missed = 0.035 * np.hypot(*pair(int(index)))
        by_depth = drawn.reshape(count, 11, 10)
        largest.append(drawn.max(axis=1) + missed)
        smallest.append(drawn.min(axis=1) - missed - (READ.min() - READ.max()))
        across = by_depth.max(axis=2) - by_depth.min(axis=2)
        round_.append(across.max(axis=1) + 1.2 * missed)
    found = told(LAYOUT, READ)
    for name, drawn in (("largest", largest), ("smallest", smallest), ("out_of_round", round_)):
        mean, deviation = moments(found, name)
        every = np.concatenate(drawn)
        assert mean == pytest.approx(every.mean(), abs=6), name  # 0.06 um
        assert deviation == pytest.approx(every.std(), rel=0.06), name


def test_the_greater_of_two_is_clarks() -> None:
    """One pair of amplitudes, two places, judged where they were read."""
    layout = Layout(((0.1, 0, 80.0), (0.9, 90, 80.0)), (), BORE, PRIOR)
    node = between._nodes(layout)[4]
    spread = np.cov(node.deviations.astype(float), bias=True)
    a = sqrt(spread[0, 0] + spread[1, 1] - 2 * spread[0, 1])
    for apart in (0.0, 60.0, 200.0):
        first, second = 0.0, -apart
        alpha = (first - second) / a
        mean = first * norm.cdf(alpha) + second * norm.cdf(-alpha) + a * norm.pdf(alpha)
        square = (
            (first**2 + spread[0, 0]) * norm.cdf(alpha)
            + (second**2 + spread[1, 1]) * norm.cdf(-alpha)
            + (first + second) * a * norm.pdf(alpha)
        )
        greater = np.maximum(first + node.deviations[0], second + node.deviations[1])
        assert greater.mean() == pytest.approx(mean, abs=0.05 * a)
        assert greater.std() == pytest.approx(sqrt(square - mean**2), rel=0.08)


def test_many_readings_leave_little_between_them() -> None:
    dense = tuple((k / 20, angle, 10.0) for k in range(21) for angle in range(0, 180, 30))
    flat = np.zeros((1, len(dense)))
    mean, deviation = moments(told(Layout(dense, GRID, BORE, PRIOR), flat), "largest")
    few_mean, few_deviation = moments(told(LAYOUT, np.zeros((1, 6))), "largest")
    assert 0 < mean < few_mean / 2
    assert deviation < few_deviation / 3


def test_fewer_readings_leave_more() -> None:
    layouts = [
        Layout(SIX, GRID, BORE, PRIOR),
        Layout(SIX[:4], GRID, BORE, PRIOR),
        Layout(SIX[:2], GRID, BORE, PRIOR),
        Layout(SIX[:1], GRID, BORE, PRIOR),
    ]
    found = [moments(told(one, np.zeros((1, len(one.places)))), "largest") for one in layouts]
    assert [mean for mean, _ in found] == sorted(mean for mean, _ in found)
    assert [u for _, u in found] == sorted(u for _, u in found)


def test_a_level_changes_nothing() -> None:
    one, other = (told(LAYOUT, READ + level) for level in (0.0, 6_200_000.0))
    for mine, theirs in zip(one, other, strict=True):
        assert mine == pytest.approx(theirs, abs=0.2)


def test_out_of_round_and_taper_are_never_negative() -> None:
    found = told(LAYOUT, np.zeros((1, 6)))
    assert found.out_of_round.min() > 0
    assert found.taper.min() >= 0


def test_over_the_places_read_only_they_count() -> None:
    """Exact readings: what was read is what is."""
    sharp = tuple((depth, angle, 0.1) for depth, angle, _ in SIX)
    found = told(Layout(sharp, (), BORE, PRIOR), READ)
    for name, wanted in (
        ("largest", 0),
        ("smallest", 0),
        ("out_of_round", 220),
        ("taper", 520),
    ):
        mean, deviation = moments(found, name)
        assert mean == pytest.approx(wanted, abs=1)
        assert deviation < 1


def test_noisy_places_alike_are_less_apart_than_they_read() -> None:
    """The largest of noisy readings of a bore that is nearly round is read too large."""
    noisy = tuple((depth, angle, 300.0) for depth, angle, _ in SIX)
    flat = Prior(along=1e-6, oval=1e-6, top=1e-6, bottom=1e-6)
    mean, _ = moments(told(Layout(noisy, (), BORE, flat), READ), "largest")
    assert mean < -200


def test_six_readings_compare_the_axes() -> None:
    sharp = tuple((depth, angle, 0.1) for depth, angle, _ in SIX)
    found = told(Layout(sharp, (), BORE, PRIOR, odd=0), READ)
    assert moments(found, "out_of_round")[0] == pytest.approx(560, abs=1)  # 520 - (-40)
    assert moments(found, "taper")[0] == pytest.approx(520, abs=1)  # 520 - 0


def test_expected_is_what_neighbours_say() -> None:
    (near,) = expected(LAYOUT, READ, 0.1, 0)
    assert near == pytest.approx(520, abs=60)
    (between_,) = expected(LAYOUT, READ, 0.3, 90)
    assert 60 < between_ < 300


def test_equal_inputs_give_equal_figures() -> None:
    first = told(LAYOUT, READ)
    between._nodes.cache_clear()
    between._draws.cache_clear()
    assert all(np.array_equal(a, b) for a, b in zip(first, told(LAYOUT, READ), strict=True))
