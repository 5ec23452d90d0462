"""The whole bore, given its readings: its largest and smallest local size, also between readings.

The local size at depth z and angle t from the thrust axis is a Gaussian process (Rasmussen and
Williams, Gaussian Processes for Machine Learning, 2006, chapter 2)

    D(z, t) = m + f(z) + g(z) cos 2t + h(z) sin 2t + p(z) cos 4t + q(z) sin 4t + r(z, t)

with m unknown (section 2.7), f the form along the bore with its ends, g and h its oval, p and q its
four-lobed part, r what varies from place to place. A reading is D at its place with the scatter of
the gauge. How far a bore departs from a cylinder is not known beforehand. The amplitudes of f and
of the oval are therefore each one of `SCALES` times those of bores of its kind (`Prior`). The
probability of the readings weights each pair (section 5.2). Given a pair, D on a grid of places is
normal, with a mean linear in the readings. The largest and smallest value have no closed form; a
fixed sample gives their distribution. In symbols: docs/measurement.md.

Arrays have one case a row, so that bores read at the same places are done at once. Lengths are
ticks, depths shares of the zone, angles degrees.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache, lru_cache
from itertools import product
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitsolver.metrology.bore_parts import (
    ANGLES,
    HALF_TURN,
    Floats,
    Layout,
    Parts,
    grid_of,
    parts_of,
)
from fitsolver.metrology.joint import normal_table

#: Multiples of the form of its kind that a bore may have, with their probabilities.
SCALES: Final = (0.3, 1.0, 3.0)
CHANCES: Final = (0.25, 0.5, 0.25)
#: The local variation r, as a share of form and oval.
ROUGH: Final = 0.1
#: The part of the largest size that a grid this coarse misses, as a share of the amplitudes; found
#: with a grid four times as fine. It misses a fifth more of the out-of-round, and half as much of a
#: circle.
_COARSE: Final = 0.035
_COARSE_ROUND: Final = 1.2
_COARSE_CIRCLE: Final = 0.5
#: Points of the sample for each pair of amplitudes.
POINTS: Final = 64
_UNCORRELATED: Final = 24
_SEED: Final = 20
#: Pairs of amplitudes that are less probable than this are left out.
_NEGLIGIBLE: Final = 0.01
_CHUNK: Final = 64


class Whole(NamedTuple):
    """A sample of the possible forms of each bore: one row a case, one column a point of the
    sample.

    `weights` sum to 1 in a row. `largest` and `smallest` are relative to the largest and the
    smallest reading; so are the circles, which are means over the angles at one depth. `circle` is
    a circle at a depth that varies from point to point, relative to the largest reading.
    `out_of_round` and `taper` are those of `fitsolver.metrology.form` over all places.
    """

    weights: Floats
    largest: Floats
    smallest: Floats
    circle_largest: Floats
    circle_smallest: Floats
    circle: Floats
    out_of_round: Floats
    taper: Floats


class _Node(NamedTuple):
    """One pair of amplitudes: from readings to the grid, off its mean, and what weighs it."""

    log_prior: float
    to_grid: Floats
    deviations: NDArray[np.float32]
    precision: Floats
    log_volume: float
    missed: float


def whole(layout: Layout, sizes: Floats) -> Iterator[tuple[slice, Whole]]:
    """Yield slices of the cases of `sizes` (cases x places, ticks), each with its sample."""
    off = sizes - sizes.max(axis=1, keepdims=True)
    chosen = _weights(layout, off)
    for start in range(0, len(sizes), _CHUNK):
        part = slice(start, start + _CHUNK)
        yield part, _sampled(layout, off[part], chosen[part])


def expected(layout: Layout, sizes: Floats, depth: float, angle: float) -> Floats:
    """Return the size to expect (ticks) at the place of the grid nearest to one, case by case."""
    top = sizes.max(axis=1, keepdims=True)
    grid = grid_of(layout)
    apart = np.abs(grid[:, 1] - angle)
    apart = np.minimum(apart, HALF_TURN - apart) / HALF_TURN
    place = int((np.abs(grid[:, 0] - depth) + apart).argmin())
    off = sizes - top
    rows = np.array([node.to_grid[place] for node in _nodes(layout)])
    found: Floats = top[:, 0] + (_weights(layout, off) * (off @ rows.T)).sum(axis=1)
    return found


def _weights(layout: Layout, off: Floats) -> Floats:
    """Return how probable each pair of amplitudes is, given the readings (cases x pairs)."""
    logs = np.stack([_log_evidence(node, off) for node in _nodes(layout)], axis=1)
    weights = np.exp(logs - logs.max(axis=1, keepdims=True))
    weights /= weights.sum(axis=1, keepdims=True)
    weights[weights < _NEGLIGIBLE] = 0
    found: Floats = weights / weights.sum(axis=1, keepdims=True)
    return found


def _log_evidence(node: _Node, off: Floats) -> Floats:
    squares = ((off @ node.precision) * off).sum(axis=1)
    found: Floats = node.log_prior - (node.log_volume + squares) / 2
    return found


def _sampled(layout: Layout, off: Floats, weights: Floats) -> Whole:
    low = off.min(axis=1)
    nodes = _nodes(layout)
    columns = [np.zeros((len(off), len(nodes), POINTS)) for _ in range(len(Whole._fields) - 1)]
    for index, node in enumerate(nodes):
        rows = np.flatnonzero(weights[:, index])
        if rows.size:
            mean = (off[rows] @ node.to_grid.T).astype(np.float32)
            figures = _figures(layout, mean[:, :, None] + node.deviations, low[rows], node.missed)
            for column, figure in zip(columns, figures, strict=True):
                column[rows, index] = figure
    kept = np.flatnonzero(weights.any(axis=0))
    each = np.repeat(weights[:, kept] / POINTS, POINTS, axis=1)
    return Whole(each, *(column[:, kept].reshape(len(off), -1) for column in columns))


def _figures(
    layout: Layout, sizes: NDArray[np.float32], low: Floats, missed: float
) -> tuple[Floats, ...]:
    """Return the figures of each case (rows) at each point of the sample (columns)."""
    lines, angles = _lines(layout), _angles(layout)
    by_depth = [sizes[:, line] for line in lines]
    most = np.stack([line.max(axis=1) for line in by_depth], axis=1)
    least = np.stack([line.min(axis=1) for line in by_depth], axis=1)
    circle = np.stack([line.mean(axis=1) for line in by_depth], axis=1)
    below = low[:, None]
    if layout.odd is None:
        round_ = (most - least).max(axis=1)
        ends = [np.abs(sizes[:, top] - sizes[:, bottom]) for top, bottom in _axes(layout)]
        taper = np.max(ends, axis=0)
    else:
        odd = angles == angles[np.abs(angles - layout.odd).argmin()]
        even = angles == angles[np.abs(angles - (layout.odd + 90) % HALF_TURN).argmin()]
        round_ = sizes[:, odd].max(axis=1) - sizes[:, even].min(axis=1)
        taper = np.abs(most[:, 0] - most[:, -1])
    return (
        most.max(axis=1) + missed,
        least.min(axis=1) - below - missed,
        circle.max(axis=1) + _COARSE_CIRCLE * missed,
        circle.min(axis=1) - below - _COARSE_CIRCLE * missed,
        circle[:, np.arange(POINTS) % len(lines), np.arange(POINTS)],
        round_ + _COARSE_ROUND * missed,
        taper + missed,
    )


@lru_cache(maxsize=64)
def _lines(layout: Layout) -> tuple[slice | NDArray[np.intp], ...]:
    """Return the grid positions of the places at each depth, from the top down."""
    if layout.depths:
        return tuple(slice(k * ANGLES, (k + 1) * ANGLES) for k in range(len(layout.depths)))
    depths = grid_of(layout)[:, 0]
    return tuple(np.flatnonzero(depths == depth) for depth in np.unique(depths))


@lru_cache(maxsize=64)
def _axes(layout: Layout) -> tuple[tuple[int, int], ...]:
    """Return the top and the bottom place of every axis."""
    grid = grid_of(layout)
    found = []
    for angle in np.unique(grid[:, 1]):
        own = np.flatnonzero(grid[:, 1] == angle)
        found.append((int(own[grid[own, 0].argmin()]), int(own[grid[own, 0].argmax()])))
    return tuple(found)


def _angles(layout: Layout) -> Floats:
    return grid_of(layout)[:, 1]


@lru_cache(maxsize=64)
def _nodes(layout: Layout) -> tuple[_Node, ...]:
    parts, pairs = parts_of(layout), product(range(len(SCALES)), repeat=2)
    draws = _draws(len(parts.level) + (len(parts.to_grid) if layout.depths else 0))
    return tuple(_node(layout, pair, draws[index], parts) for index, pair in enumerate(pairs))


def _node(layout: Layout, pair: tuple[int, ...], draws: Floats, parts: Parts) -> _Node:
    along = SCALES[pair[0]] * layout.bore * layout.prior.along
    oval = SCALES[pair[1]] * layout.bore * layout.prior.oval
    rough = ROUGH * np.hypot(along, oval)
    read, to_read, own = (
        along**2 * one + oval**2 * other
        for one, other in zip(parts.lengthwise, parts.around, strict=True)
    )
    scatter = np.array([place[2] for place in layout.places])
    itself = rough**2 * np.eye(len(scatter))
    read = read + itself + np.diag(scatter**2)
    if not layout.depths:  # what varies from place to place is read where it is judged
        to_read, own = to_read + itself, own + itself
    inverse = np.linalg.inv(read)
    ones = inverse.sum(axis=0)
    known = ones.sum()
    precision = inverse - np.outer(ones, ones) / known
    unknown = parts.level - to_read @ ones
    spread = own - to_read @ inverse @ to_read.T + np.outer(unknown, unknown) / known
    variances, directions = np.linalg.eigh(spread)
    # The directions of the largest variance come first.
    root = (directions * np.sqrt(np.maximum(variances, 0.0)))[:, ::-1]
    deviations = parts.to_grid @ (root @ draws[: len(root)])
    if layout.depths:
        deviations = deviations + rough * draws[len(root) :]
    return _Node(
        log_prior=float(np.log(CHANCES[pair[0]] * CHANCES[pair[1]])),
        to_grid=parts.to_grid @ (to_read @ precision + np.outer(parts.level, ones) / known),
        deviations=deviations.astype(np.float32),
        precision=precision,
        log_volume=float(np.linalg.slogdet(read)[1] + np.log(known)),
        missed=_COARSE * float(np.hypot(along, oval)) if layout.depths else 0.0,
    )


@cache
def _draws(directions: int) -> Floats:
    """Return a sample of the standard normal distribution for each pair of amplitudes.

    Directions x points; a Latin hypercube: each direction takes one value from each of as many
    equally probable intervals as there are points, in an order of its own. The first directions,
    which carry most of the variance, are made uncorrelated. Half of the points, and the same with
    the other sign. The bits of PCG64 are the same on every machine and in every version,
    so equal inputs give equal figures.
    """
    z, p = normal_table()
    shape = (len(SCALES) ** 2, directions, POINTS // 2)
    raw = np.random.PCG64(_SEED).random_raw(int(np.prod(shape))).reshape(shape)
    half = np.interp((raw.argsort(axis=2) + 0.5) / (POINTS // 2), p, z)
    half /= np.sqrt((half**2).mean(axis=2, keepdims=True))
    first = half[:, :_UNCORRELATED]
    lower = np.linalg.cholesky(first @ first.transpose(0, 2, 1) / (POINTS // 2))
    half[:, :_UNCORRELATED] = np.linalg.solve(lower, first)
    return np.concatenate([half, -half], axis=2)
