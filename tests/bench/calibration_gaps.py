"""Are the odds of an end gap real, tried in the bore itself or measured in another one?

Each bore of a world has a ring: its ends follow the circumference, the mean of the local sizes of
a depth. The gap is that at one depth; it shall lie in its window at all of them.
"""

from __future__ import annotations

from math import pi
from typing import Final, NamedTuple

import numpy as np
from scipy.special import ndtr

from fitsolver.metrology.between import Whole, whole
from fitsolver.metrology.bore_parts import Floats
from fitsolver.metrology.spread import SMOOTHING
from fitsolver.metrology.uncertainty import TriedGap
from tests.bench.calibration_experiment import SEED
from tests.bench.calibration_form import (
    MM,
    TIMES,
    WORKSHOP,
    Held,
    Measured,
    World,
    layout_for,
    measure,
    spreads_for,
    within,
    without_form_errors,
)
from tests.bench.calibration_workshops import UM

#: The gap in a bore of the size of the level, and the width of its windows.
GAP: Final = 250.0 * UM
WIDTH: Final = 60.0 * UM


class Gaps(NamedTuple):
    """Tried in the bore itself, and measured in another bore."""

    here: Held
    other: Held


class _Case(NamedTuple):
    """A way of measuring: the gap where the readings' level is 0, and its standard uncertainty."""

    gap: Floats
    error: float


def end_gaps(world: World, count: int, seed: int = SEED) -> Gaps:
    """Draw bores of a world with their rings, and state the odds of the gaps."""
    got = measure(world, count, seed)
    dice = np.random.default_rng(seed + 2)
    circles, level = got.true.circles, got.level
    at = circles[np.arange(count), dice.integers(0, circles.shape[1], count)]
    most = (GAP + pi * (level + circles.max(axis=1)))[:, None]
    least = (GAP + pi * (level + circles.min(axis=1)))[:, None]
    bottom = (most + least) / 2 + dice.uniform(-1, 1, (count, TIMES)) * WIDTH - WIDTH / 2
    conforms = (bottom <= least) & (most <= bottom + WIDTH)
    here, other = (_error(got, here=here) for here in (True, False))
    shown = GAP + pi * (level + at) + dice.normal(0, here, count)
    there = GAP + pi * level + dice.normal(0, here, count)  # in a bore read level + other_bore
    ways = (
        (_Case(shown, here), True, shown - pi * got.read.mean(axis=1)),
        (_Case(there - pi * (level + got.other_bore), other), False, None),
    )
    held = []
    for case, inside, start in ways:
        stated = _stated(got, case, bottom, inside=inside)
        before = _before(got, case.gap if start is None else start, bottom)
        held.append(Held(stated, conforms, before=before))
    return Gaps(*held)


def _stated(got: Measured, case: _Case, bottom: Floats, *, inside: bool) -> Floats:
    found = np.zeros_like(bottom)
    for part, known in whole(layout_for(got.job), got.read):
        low, high = _ends(known, got.read[part], inside=inside)
        gap = case.gap[part][:, None]
        u = np.maximum(case.error, SMOOTHING * pi * _deviation(known, known.circle_largest))
        edges = bottom[part] - gap, bottom[part] + WIDTH - gap
        found[part] = within(known.weights, pi * low, pi * high, u, *edges)
    return found


def _ends(known: Whole, read: Floats, *, inside: bool) -> tuple[Floats, Floats]:
    """Return the smallest and largest circle: off their mean, or as sizes."""
    top, floor = read.max(axis=1, keepdims=True), read.min(axis=1, keepdims=True)
    if inside:
        return known.circle_smallest + floor - top - known.circle, (
            known.circle_largest - known.circle
        )
    return known.circle_smallest + floor, known.circle_largest + top


def _deviation(known: Whole, values: Floats) -> Floats:
    mean = (known.weights * values).sum(axis=1, keepdims=True)
    found: Floats = np.sqrt((known.weights * (values - mean) ** 2).sum(axis=1, keepdims=True))
    return found


def _before(got: Measured, gap: Floats, bottom: Floats) -> Floats:
    """Return the odds with the bore's own error, from the smallest to the largest size read."""
    u = float(without_form_errors(got.job)["end_gap", 1].error.std_dev)
    most = (gap + pi * got.read.max(axis=1))[:, None]
    least = (gap + pi * got.read.min(axis=1))[:, None]
    return np.maximum(0.0, ndtr((bottom + WIDTH - most) / u) - ndtr((bottom - least) / u))


def _error(got: Measured, *, here: bool) -> float:
    tried = TriedGap(WORKSHOP.size * MM, here=here)
    return float(spreads_for(got.job, WORKSHOP, tried)["end_gap", 1].error.std_dev)
