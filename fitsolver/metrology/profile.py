"""Each reading as the others of its bore predict it: a smooth profile over depth and axis.

The local size at depth z and angle t from the thrust axis is modelled as a Gaussian process

    D(z, t) = m + f(z) + g(z) cos 2t + h(z) sin 2t + e

with m unknown, f the wear along the bore, g and h its out-of-round (two-point sizes repeat every
half turn; its first harmonic is an oval), e the scatter of one reading. Each reading is predicted
from all others (leave-one-out: Rasmussen and Williams, Gaussian Processes for Machine Learning,
2006, equations 5.12): with the inverse covariance Q, `expected = y - (Q y) / diag Q` and
`variance = 1 / diag Q`. Amplitudes come from the readings themselves by medians, which one wrong
reading cannot move far; where readings are too few they are assumed (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from statistics import median
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

#: Assumed where a bore is read at fewer than three depths, as shares of the bore: wear along it,
#: and half of its out-of-round.
WEAR: Final = 8e-4
OVAL: Final = 2.5e-4
#: No profile is taken to be smoother than this (ticks), nor rougher than this share of the bore.
LEAST_WEAR: Final = 500
LEAST_OVAL: Final = 300
MOST_WEAR: Final = 2e-3
MOST_OVAL: Final = 6e-4
#: Scatter of one reading and what of the form is not smooth (ticks), with a share of the wear.
SCATTER: Final = 150
ROUGH: Final = 0.05
#: How far along the bore, as shares of the depths read, wear and out-of-round stay alike.
WEAR_LENGTH: Final = 0.35
OVAL_LENGTH: Final = 0.6
_ENOUGH: Final = 3
#: Steps that gauges are read in (ticks): 10, 5, 2 and 1 um; 0.0005, 0.0002, 0.0001 and 0.00005 in.
STEPS: Final = (1000, 1270, 500, 508, 254, 200, 127, 100)


class Place(NamedTuple):
    """A reading as it enters the profile: depth and size in ticks, angle in degrees."""

    depth: int
    angle: int
    size: int


class Predicted(NamedTuple):
    """A reading as the others predict it: expected size and standard deviation (ticks)."""

    expected: float
    deviation: float


def predicted(places: Sequence[Place]) -> list[Predicted]:
    """Return for each of two readings or more what all others of the bore say of it."""
    sizes = np.array([place.size for place in places], dtype=float)
    middle = float(np.median(sizes))
    inverse = np.linalg.inv(_covariance(places, middle))
    spread = 1 / np.diag(inverse)
    expected = sizes - (inverse @ (sizes - middle)) * spread
    return [
        Predicted(float(size), float(variance) ** 0.5)
        for size, variance in zip(expected, spread, strict=True)
    ]


def _covariance(places: Sequence[Place], bore: float) -> NDArray[np.float64]:
    depths = np.array([place.depth for place in places], dtype=float)
    turned = np.radians([2 * place.angle for place in places])
    span = max(float(np.ptp(depths)), 1.0)
    apart = (depths[:, None] - depths[None, :]) / span
    wear, oval = _wear(places, bore), _oval(places, bore)
    alike = np.cos(turned[:, None] - turned[None, :])
    scatter = max(SCATTER, step_of(places) / 12**0.5) + ROUGH * wear
    constant = (MOST_WEAR * bore) ** 2 * 100
    return np.asarray(
        constant
        + wear**2 * np.exp(-0.5 * (apart / WEAR_LENGTH) ** 2)
        + oval**2 * alike * np.exp(-0.5 * (apart / OVAL_LENGTH) ** 2)
        + scatter**2 * np.eye(len(places))
    )


def _wear(places: Sequence[Place], bore: float) -> float:
    """Return the amplitude of the wear along the bore (ticks)."""
    by_depth: dict[int, list[int]] = {}
    for place in places:
        by_depth.setdefault(place.depth, []).append(place.size)
    if len(by_depth) < _ENOUGH:
        return WEAR * bore
    means = [sum(sizes) / len(sizes) for sizes in by_depth.values()]
    middle = median(means)
    typical = 1.5 * median(abs(mean - middle) for mean in means)
    return min(max(1.5 * typical, LEAST_WEAR), MOST_WEAR * bore)


def _oval(places: Sequence[Place], bore: float) -> float:
    """Return the amplitude of half of the out-of-round (ticks)."""
    found = []
    for one, other in combinations(places, 2):
        apart = np.cos(np.radians(2 * one.angle)) - np.cos(np.radians(2 * other.angle))
        if one.depth == other.depth and abs(apart) > 1:
            found.append(abs((one.size - other.size) / apart))
    if len(found) < _ENOUGH:
        return OVAL * bore
    return float(min(max(1.2 * median(found), LEAST_OVAL), MOST_OVAL * bore))


def step_of(places: Sequence[Place]) -> int:
    """Return the step that most of the readings were taken in (ticks)."""
    for step in STEPS:
        if 5 * sum(place.size % step == 0 for place in places) >= 4 * len(places):
            return step
    return 1
