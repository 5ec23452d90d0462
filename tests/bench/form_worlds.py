"""Bores that are no cylinders, drawn at random: what they are everywhere, and at the places read.

Two ways: as `fitsolver.metrology.between` takes them to be, and from shapes of the trade that it
does not know: taper, barrel, bell mouth, an oval that turns, four lobes, a worn patch. Amplitudes
are invented. Depths are shares of the zone, angles degrees, lengths ticks on diameter, about the
mean of the bore; arrays have one bore a row.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import pi
from typing import Final, NamedTuple

import numpy as np

from fitsolver.metrology.between import CHANCES, ROUGH, SCALES
from fitsolver.metrology.bore_parts import ALONG, ENDS, LOBES, OVAL, Floats, Prior
from tests.bench.calibration_workshops import UM

#: A grid four times as fine as that of the model, on which a bore is known.
DEPTHS: Final = np.linspace(0, 1, 41)
ANGLES: Final = np.arange(36) * 5.0
#: Cells of what varies from place to place.
_CELLS: Final = (11, 10)
_CHUNK: Final = 1_000
Place = tuple[float, int]


class Bores(NamedTuple):
    """True bores: local sizes at the places read, extremes, mean circles, differences."""

    read: Floats
    largest: Floats
    smallest: Floats
    circles: Floats
    out_of_round: Floats
    taper: Floats


@dataclass(frozen=True)
class Shapes:
    """Amplitudes (µm) of the shapes of a world; `oval` fixed or drawn, `across` its direction.

    A positive `worn` widens the top as wear does. `belt` is a worn belt all round, at a depth that
    no reading is near.
    """

    scale: float = 1.0
    oval: float | None = None
    across: float | None = None
    worn: float = 0.0
    belt: float = 0.0


def draw(
    random: np.random.Generator,
    world: Shapes | Prior,
    places: tuple[Place, ...],
    bore: float,
    n: int,
) -> Bores:
    """Draw true bores of a world."""
    sizes = _modelled if isinstance(world, Prior) else _shaped
    parts = []
    for start in range(0, n, _CHUNK):
        count = min(_CHUNK, n - start)
        grid, read = sizes(random, world, places, bore, count)  # type: ignore[arg-type]
        across = grid.max(axis=2) - grid.min(axis=2)
        ends = np.abs(grid[:, 0] - grid[:, -1])
        extremes = grid.max(axis=(1, 2)), grid.min(axis=(1, 2))
        parts.append((read, *extremes, grid.mean(axis=2), across.max(axis=1), ends.max(axis=1)))
    return Bores(*(np.concatenate(column) for column in zip(*parts, strict=True)))


def _modelled(
    random: np.random.Generator, prior: Prior, places: tuple[Place, ...], bore: float, n: int
) -> tuple[Floats, Floats]:
    along, oval = (
        np.array(SCALES)[random.choice(len(SCALES), n, p=CHANCES)] * share * bore
        for share in (prior.along, prior.oval)
    )
    depths = np.array([depth for depth, _ in places])
    every, where = np.unique(np.concatenate([DEPTHS, depths]), return_inverse=True)
    lines = [along[:, None] * _ends(random, prior, every, n)]
    lines[0] += along[:, None] * _line(random, ALONG, every, n)
    for share in (1.0, 1.0, LOBES, LOBES):
        lines.append(share * oval[:, None] * _line(random, OVAL, every, n))
    rough = ROUGH * np.hypot(along, oval)[:, None, None] * random.standard_normal((n, *_CELLS))
    grid_depths, read_depths = where[: len(DEPTHS)], where[len(DEPTHS) :]
    at = [line[:, grid_depths, None] for line in lines]
    grid = _around(at, ANGLES[None, None, :])
    grid = grid + rough[:, _cell(DEPTHS, 1, 0)][:, :, _cell(ANGLES, 180, 1)]
    angles = np.array([angle for _, angle in places], dtype=float)
    read = _around([line[:, read_depths] for line in lines], angles[None, :])
    return grid, read + rough[:, _cell(depths, 1, 0), _cell(angles, 180, 1)]


def _cell(where: Floats, whole: float, axis: int) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    cells = _CELLS[axis]
    return np.minimum((where / whole * cells).astype(np.int64), cells - 1)


def _around(lines: list[Floats], angles: Floats) -> Floats:
    twice = np.radians(2 * angles)
    f, g, h, p, q = lines
    found: Floats = f + g * np.cos(twice) + h * np.sin(twice)
    return found + p * np.cos(2 * twice) + q * np.sin(2 * twice)


def _line(
    random: np.random.Generator, parts: tuple[tuple[float, float], ...], depths: Floats, n: int
) -> Floats:
    apart = depths[:, None] - depths[None, :]
    alike = sum(share * np.exp(-((apart / length) ** 2) / 2) for share, length in parts)
    root = np.linalg.cholesky(alike + 1e-9 * np.eye(len(depths)))
    found: Floats = random.standard_normal((n, len(depths))) @ root.T
    return found


def _ends(random: np.random.Generator, prior: Prior, depths: Floats, n: int) -> Floats:
    found = np.zeros((n, len(depths)))
    for reach in ENDS:
        for share, off in ((prior.top, depths), (prior.bottom, 1 - depths)):
            amplitude = share / prior.along / len(ENDS) ** 0.5 * random.standard_normal((n, 1))
            found += amplitude * np.exp(-off / reach)
    return found


def _shaped(
    random: np.random.Generator, world: Shapes, places: tuple[Place, ...], bore: float, n: int
) -> tuple[Floats, Floats]:
    size = _one_shape(random, world, places, n)
    depths, angles = (np.array(column, dtype=float) for column in zip(*places, strict=True))
    grid_depths, grid_angles = (item.ravel() for item in np.meshgrid(DEPTHS, ANGLES, indexing="ij"))
    grid = size(grid_depths[None, :], grid_angles[None, :])
    return grid.reshape(n, len(DEPTHS), len(ANGLES)), size(depths[None, :], angles[None, :])


def _one_shape(random: np.random.Generator, world: Shapes, places: tuple[Place, ...], n: int):  # type: ignore[no-untyped-def]
    def normal(scale: float) -> Floats:
        return scale * random.standard_normal((n, 1))

    def evenly(low: float, high: float) -> Floats:
        return random.uniform(low, high, (n, 1))

    each = UM * world.scale * np.exp(normal(0.4))
    taper, barrel, bell = each * normal(2), each * normal(2), each * np.abs(normal(4))
    end, reach = random.integers(0, 2, (n, 1)), evenly(0.05, 0.2)
    oval = each * np.abs(normal(2)) if world.oval is None else np.full((n, 1), world.oval * UM)
    turned = (
        evenly(0, pi) if world.across is None else np.full((n, 1), 2 * np.radians(world.across))
    )
    twist, grows = normal(0.5), normal(0.4)
    lobes, lobed = each * normal(0.5), evenly(0, pi)
    patch, at, facing = each * np.abs(normal(1.5)), evenly(0, 1), evenly(0, 180)
    long, wide = evenly(0.08, 0.25), evenly(20, 60)
    worn, fades = world.worn * UM * evenly(0.3, 1.7), evenly(0.15, 0.4)
    belt, where = world.belt * UM * evenly(0.5, 1.5), _unread(random, places, n)

    def size(depth: Floats, angle: Floats) -> Floats:
        middle, turn = depth - 0.5, np.radians(angle)
        found = taper * middle + 4 * barrel * (1 / 12 - middle**2)
        found = found + bell * np.exp(-np.abs(depth - end) / reach)
        found = found + oval * (1 + grows * middle) * np.cos(2 * turn - turned - twist * middle)
        found = found + lobes * np.cos(4 * turn - lobed) + worn * np.exp(-depth / fades)
        across = (angle - facing + 90) % 180 - 90
        found = found + patch * np.exp(-(((depth - at) / long) ** 2) / 2 - (across / wide) ** 2 / 2)
        return found + belt * np.exp(-(((depth - where) / 0.05) ** 2) / 2)

    return size


def _unread(random: np.random.Generator, places: tuple[Place, ...], n: int) -> Floats:
    """Return a depth in the middle of a widest stretch without a reading."""
    depths = sorted({0.0, 1.0, *(depth for depth, _ in places)})
    stretches = list(pairwise(depths))
    widest = max(high - low for low, high in stretches)
    middles = [(low + high) / 2 for low, high in stretches if high - low > 0.9 * widest]
    return random.choice(middles, (n, 1))
