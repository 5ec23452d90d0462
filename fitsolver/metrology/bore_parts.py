"""The components of a bore's local sizes, and their correlation between places.

The model is that of `fitsolver.metrology.between`, where the amplitudes are 1. Depths are shares of
the zone, angles degrees.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import product
from typing import Final, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]

#: Parts of the variance, with their correlation lengths along the bore (shares of the zone).
ALONG: Final = ((0.5, 0.25), (0.5, 0.8))
OVAL: Final = ((0.7, 1.0), (0.3, 0.3))
#: How far from an end (shares of the zone) it widens.
ENDS: Final = (0.05, 0.1, 0.2)
#: Two-point sizes repeat every half turn (degrees).
HALF_TURN: Final = 180
#: The four-lobed part as a share of the oval.
LOBES: Final = 0.2
#: Depths and angles of the grid over a zone.
DEPTHS: Final = 11
ANGLES: Final = 10


class Prior(NamedTuple):
    """Form of bores of one kind: standard deviations as shares of the bore.

    `along` of the form along the bore, `oval` of each component of half of the out-of-round,
    `top` and `bottom` of the widening towards an end.
    """

    along: float
    oval: float
    top: float
    bottom: float


class Layout(NamedTuple):
    """The places where a bore was read, and the places over which it is judged.

    `places` are depth, angle and the standard deviation of the reading there. `depths` are those
    of the grid, all around; empty: the places read themselves. `odd` is the odd axis where the
    six-reading convention holds.
    """

    places: tuple[tuple[float, int, float], ...]
    depths: tuple[float, ...]
    bore: float
    prior: Prior
    odd: int | None = None


Triple: TypeAlias = tuple[Floats, Floats, Floats]


class Parts(NamedTuple):
    """The components of the sizes on the grid, at amplitudes of 1.

    Over a zone the parts are m + f, g, h, p and q at each depth; over the places read they are the
    sizes there. Covariances of readings with readings, of parts with readings, of parts with parts:
    by the form along, and by the oval. `level` is 1 for a part to which m is added; `to_grid`
    converts parts to sizes.
    """

    lengthwise: Triple
    around: Triple
    level: Floats
    to_grid: Floats


def parts_of(layout: Layout) -> Parts:
    read = np.array([place[:2] for place in layout.places], dtype=float)
    own, turn = _lengthwise(read[:, 0], read[:, 0], layout.prior), _harmonics(read[:, 1])
    round_own = _decay(read[:, 0], read[:, 0], OVAL) * (turn @ turn.T)
    if not layout.depths:
        one = np.ones(len(read))
        return Parts((own, own, own), (round_own, round_own, round_own), one, np.eye(len(read)))
    depths = np.array(layout.depths)
    count, kinds = len(depths), turn.shape[1]
    none = np.zeros((kinds * count, len(read)))
    along = np.vstack([_lengthwise(depths, read[:, 0], layout.prior), none])
    near = _decay(depths, read[:, 0], OVAL)
    oval = np.vstack([0 * near, *(near * turn[:, k] for k in range(kinds))])
    first: Floats = np.diag([1.0, *[0.0] * kinds])
    rest: Floats = np.eye(kinds + 1) - first
    angles = np.hstack([np.ones((ANGLES, 1)), _harmonics(grid_of(layout)[:ANGLES, 1])])
    both = np.asarray(np.kron(first, _lengthwise(depths, depths, layout.prior)), dtype=np.float64)
    around = np.asarray(np.kron(rest, _decay(depths, depths, OVAL)), dtype=np.float64)
    return Parts(
        (own, along, both),
        (round_own, oval, around),
        np.repeat([1.0, *[0.0] * kinds], count),
        np.vstack([np.kron(angles, row) for row in np.eye(count)]),
    )


def _harmonics(angles: Floats) -> Floats:
    """Return how g, h, p and q (amplitude 1) enter at angles."""
    twice = np.radians(2 * angles)
    lobed = LOBES * np.cos(2 * twice), LOBES * np.sin(2 * twice)
    return np.stack([np.cos(twice), np.sin(twice), *lobed], axis=1)


def _lengthwise(one: Floats, other: Floats, prior: Prior) -> Floats:
    """Return the covariance of the form along the bore at depths, with its ends."""
    found = _decay(one, other, ALONG)
    for reach in ENDS:
        for share, a, b in ((prior.top, one, other), (prior.bottom, 1 - one, 1 - other)):
            variance = (share / prior.along) ** 2 / len(ENDS)
            found = found + variance * np.outer(np.exp(-a / reach), np.exp(-b / reach))
    return found


def _decay(one: Floats, other: Floats, parts: tuple[tuple[float, float], ...]) -> Floats:
    apart = one[:, None] - other[None, :]
    found = np.zeros_like(apart)
    for share, length in parts:
        found = found + share * np.exp(-((apart / length) ** 2) / 2)
    return found


@lru_cache(maxsize=64)
def grid_of(layout: Layout) -> Floats:
    """Return depth and angle of every place that the bore is judged over, depth by depth."""
    if layout.depths:
        angles = [k * HALF_TURN / ANGLES for k in range(ANGLES)]
        return np.array(list(product(layout.depths, angles)), dtype=float)
    return np.array([place[:2] for place in layout.places], dtype=float)
