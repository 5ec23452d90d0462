"""Are the odds of a whole bore real? Bores that are no cylinders, read at a few places.

True bores come from `form_worlds`, are read with instruments that err (`calibration_cases`), and
`fitsolver.metrology.between` says from the readings alone what the whole bore may be. Each bore is
held against several windows. Arrays for speed: tests hold a sample against whole jobs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import numpy as np
from scipy.special import ndtr

from fitsolver.base.lengths import TICKS_PER
from fitsolver.metrology.between import Whole, whole
from fitsolver.metrology.bore_parts import DEPTHS, Floats, Layout
from fitsolver.metrology.sources import Sources
from fitsolver.metrology.spread import SMOOTHING
from fitsolver.metrology.uncertainty import FitSpreads, TriedGap, fit_spreads, gauge_scatter
from fitsolver.metrology.whole_bore import layout_of
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.readings import Reading, Zone
from tests.bench.calibration_cases import Dice, draw
from tests.bench.calibration_experiment import SEED, Flags, estimate
from tests.bench.calibration_workshops import UM, WORKSHOPS, Day, Workshop
from tests.bench.form_worlds import Bores, Place, Shapes
from tests.bench.form_worlds import draw as draw_bores

MM: Final = TICKS_PER["mm"]
LENGTH: Final = 100 * MM
WORKSHOP: Final = WORKSHOPS[1]  # fine set
#: Windows of the clearance (widths), and how often each bore is held against one.
WIDTHS: Final = (15 * UM, 25 * UM, 45 * UM)
TIMES: Final = 3
#: Middles of windows lie so far beyond where nothing is left in doubt.
BEYOND: Final = 15 * UM
WANTED: Final = 0.95


@dataclass(frozen=True)
class World:
    """What bores are like, where they are read, and whether the model is right about them.

    `form` None: as the model takes bores of the kind to be. A world that the odds do not cover is
    drawn to see how far off they are there.
    """

    name: str
    places: tuple[Place, ...]
    form: Shapes | None = None
    kind: str = "finished"
    covered: bool = True

    def job(self) -> Job:
        """Return the job that each of its bores is, all places reading the nominal size."""
        job = WORKSHOP.job("micrometer", Day(20, 20, 20), (30, 40))
        material, finishing = {
            "finished": ("iron", "already finished"),
            "plated": ("plated", "already finished"),
            "worn": ("iron", "set size"),
        }[self.kind]
        return job.model_copy(
            update={
                "finishing": finishing,
                "cylinders": (self.cylinder([WORKSHOP.size * MM] * len(self.places), material),),
            }
        )

    def cylinder(self, sizes: list[int], material: str) -> Cylinder:
        """Return the cylinder that reads these sizes (ticks)."""
        readings = (
            Reading(depth=round(depth * LENGTH), angle=angle, size=size)
            for (depth, angle), size in zip(self.places, sizes, strict=True)
        )
        return Cylinder(
            name="1",
            material=material,
            zone=Zone(top=0, bottom=LENGTH),
            readings=tuple(readings),
            piston="P1",
            piston_size=WORKSHOP.size * MM,
        )


def places(depths: tuple[float, ...], *angles: int) -> tuple[Place, ...]:
    """Return every depth with every angle (thrust and pin axis)."""
    return tuple((depth, angle) for depth in depths for angle in angles or (0, 90))


TWELVE: Final = places((0.05, 0.23, 0.41, 0.59, 0.77, 0.95))
SIX: Final = places((0.1, 0.5, 0.9))
FOUR: Final = places((0.2, 0.8))
TWO: Final = places((0.5,))
FOUR_AXES: Final = places((0.1, 0.5, 0.9), 0, 45, 90, 135)
WORLDS: Final = (
    World("as modelled, finished", TWELVE),
    World("as modelled, finished", SIX),
    World("as modelled, finished", FOUR),
    World("as modelled, finished", TWO),
    World("as modelled, worn", TWELVE, kind="worn"),
    World("as modelled, plated", SIX, kind="plated"),
    World("ordinary form", TWELVE, Shapes()),
    World("ordinary form", SIX, Shapes()),
    World("ordinary form", FOUR, Shapes()),
    World("ordinary form", TWO, Shapes()),
    World("worn at the top", TWELVE, Shapes(scale=1.5, worn=30), kind="worn"),
    World("round", TWELVE, Shapes(scale=0.05)),
    World("round", SIX, Shapes(scale=0.05)),
    World("oval, any direction", SIX, Shapes(scale=0.5, oval=2)),
    World("oval at 45°, read at 45° too", FOUR_AXES, Shapes(scale=0.5, oval=6, across=45)),
    World("oval at 45°, two axes read", SIX, Shapes(scale=0.5, oval=6, across=45), covered=False),
    World("form 2.5 times ordinary", TWELVE, Shapes(scale=2.5), covered=False),
    World("belt of 8 µm between the depths read", SIX, Shapes(belt=8), covered=False),
)


class Held(NamedTuple):
    """One figure of each bore (rows) against several windows (columns)."""

    stated: Floats
    conforms: Flags
    accepted: Flags | None = None
    before: Floats | None = None


class Found(NamedTuple):
    """What came out of a world; `excess` is how far the largest lies above what was read."""

    world: World
    bores: int
    excess: float
    clearance: Held
    out_of_round: Held
    taper: Held


Model = Callable[[Layout], "Layout | None"]


def right(layout: Layout) -> Layout | None:
    """The model as it is."""
    return layout


def without_form(layout: Layout) -> Layout | None:
    """Wrong: the largest local size is among those read."""
    return None


def fifth_of_the_form(layout: Layout) -> Layout | None:
    """Wrong: bores are taken to have a fifth of the form that they have."""
    prior = type(layout.prior)(*(share / 5 for share in layout.prior))
    return layout._replace(prior=prior)


class Measured(NamedTuple):
    """True bores of a world and what was read of them: clearances (ticks), a bore a row."""

    job: Job
    level: Floats
    true: Bores
    read: Floats
    other_bore: Floats


def measure(world: World, count: int, seed: int = SEED) -> Measured:
    """Draw bores of a world and read them.

    `other_bore` is how far another bore of the same level, read once with the same instruments, is
    read off it.
    """
    job, workshop = world.job(), WORKSHOP
    dice = Dice(np.random.default_rng(seed))
    truth = draw(dice, job, workshop.piston_expansion, count, 0.0)
    layout = layout_for(job)
    form = layout.prior if world.form is None else world.form
    true = draw_bores(dice.random, form, world.places, workshop.size * MM, count)
    once = truth.read(dice)
    dials = truth.gauge.show(dice, truth.set_gauge(dice) + true.read.T)
    read = estimate(job, replace(once, dial=dials), workshop.piston_expansion).T
    again = replace(truth.read(dice), piston=once.piston)
    other = estimate(job, again, workshop.piston_expansion) - truth.clearance
    return Measured(job, truth.clearance, true, read, other)


def layout_for(job: Job) -> Layout:
    """Return the layout of the job's only bore over its zone."""
    (cylinder,) = job.cylinders
    scatter = gauge_scatter(job, cylinder)
    layout = layout_of(job, cylinder, cylinder.readings, scatter, "whole bore")
    assert layout is not None and len(layout.depths) == DEPTHS
    return layout


def spreads_for(job: Job, workshop: Workshop, tried: TriedGap | None = None) -> FitSpreads:
    """Return what is not known of the fits of the job's only bore, all of it left as it is."""
    (cylinder,) = job.cylinders
    return fit_spreads(
        job,
        cylinder,
        bore=workshop.size * MM,
        piston=workshop.size * MM,
        piston_measured=True,
        piston_expansion=workshop.piston_expansion,
        sources=Sources(),
        gaps={1: 0},
        tried=None if tried is None else {1: tried},
    )


def experiment(world: World, count: int, model: Model = right, seed: int = SEED) -> Found:
    """Draw bores of a world and let the tool, or a wrong model, state its odds of them."""
    got = measure(world, count, seed)
    dice = np.random.default_rng(seed + 1)
    high = (got.level + got.true.largest)[:, None]
    low = (got.level + got.true.smallest)[:, None]
    width = np.tile(np.array(WIDTHS), TIMES // len(WIDTHS))[None, :]
    off = dice.uniform(-1, 1, (count, TIMES)) * (width / 2 + BEYOND)
    bottom = (high + low) / 2 + off - width / 2
    limits = [dice.uniform(0, 1.3 * np.quantile(v, 0.95), (count, TIMES)) for v in got.true[-2:]]
    before = _before(got, bottom, bottom + width)
    layout = model(layout_for(got.job))
    if layout is None:
        stated, mirrored, differences = before, before, _differences(got, limits)
    else:
        stated, mirrored, differences = _stated(got, layout, bottom, bottom + width, limits)
    return Found(
        world,
        count,
        float((got.true.largest - got.true.read.max(axis=1)).mean()) / UM,
        Held(
            stated,
            (bottom <= low) & (high <= bottom + width),
            (stated >= WANTED) & (mirrored >= WANTED),
            before,
        ),
        Held(differences[0], got.true.out_of_round[:, None] <= limits[0]),
        Held(differences[1], got.true.taper[:, None] <= limits[1]),
    )


def _before(got: Measured, bottom: Floats, top: Floats) -> Floats:
    """Return the probability with the largest and smallest size taken from those read."""
    error = float(without_form_errors(got.job)["clearance", None].error.std_dev)
    above = (top - got.read.max(axis=1)[:, None]) / error
    below = (bottom - got.read.min(axis=1)[:, None]) / error
    return np.maximum(0.0, ndtr(above) - ndtr(below))


def without_form_errors(job: Job) -> FitSpreads:
    """Return the errors of the job's fits by its instruments alone."""
    (cylinder,) = job.cylinders
    return fit_spreads(
        job,
        cylinder,
        bore=WORKSHOP.size * MM,
        piston=WORKSHOP.size * MM,
        piston_measured=True,
        piston_expansion=WORKSHOP.piston_expansion,
        sources=Sources(),
        gaps={1: 0},
        over=None,
    )


def _differences(got: Measured, limits: list[Floats]) -> list[Floats]:
    """Return the odds of out-of-round and taper were they the largest difference read."""
    errors = without_form_errors(got.job)
    world_places = [(r.depth, r.angle) for r in got.job.cylinders[0].readings]
    depths, angles = (np.array(column) for column in zip(*world_places, strict=True))
    lines = [got.read[:, depths == depth] for depth in np.unique(depths)]
    across = np.max([line.max(axis=1) - line.min(axis=1) for line in lines], axis=0)
    ends = [got.read[:, angles == angle][:, [0, -1]] for angle in np.unique(angles)]
    along = np.max([np.abs(end[:, 0] - end[:, 1]) for end in ends], axis=0)
    return [
        ndtr((limit - value[:, None]) / float(errors[fit, None].error.std_dev))
        for limit, value, fit in zip(
            limits, (across, along), ("out_of_round", "taper"), strict=True
        )
    ]


def _stated(
    got: Measured, layout: Layout, bottom: Floats, top: Floats, limits: list[Floats]
) -> tuple[Floats, Floats, list[Floats]]:
    """Return the stated odds, those of the bore at the window's other edge, and of differences."""
    u = float(spreads_for(got.job, WORKSHOP)["clearance", None].error.std_dev)
    stated, mirrored = np.zeros_like(bottom), np.zeros_like(bottom)
    differences = [np.zeros_like(bottom) for _ in limits]
    for part, found in whole(layout, got.read):
        read = got.read[part]
        above = top[part] - read.max(axis=1)[:, None]
        below = read.min(axis=1)[:, None] - bottom[part]
        stated[part] = window_odds(found, u, below, above)
        mirrored[part] = window_odds(found, u, above, below)
        for column, values, limit in zip(
            differences, (found.out_of_round, found.taper), limits, strict=True
        ):
            column[part] = difference_odds(found, values, limit[part])
    return stated, mirrored, differences


def window_odds(found: Whole, u: float, below: Floats, above: Floats) -> Floats:
    """Return the probability of each window of each bore, as `Spread.within` has it."""
    return within(found.weights, found.smallest, found.largest, u, -below, above)


def within(
    weights: Floats, low: Floats, high: Floats, u: Floats | float, bottom: Floats, top: Floats
) -> Floats:
    """Return the probability that both ends of each case (rows) lie in each window (columns)."""
    columns = []
    for k in range(top.shape[1]):
        both = ndtr((top[:, [k]] - high) / u) - ndtr((bottom[:, [k]] - low) / u)
        columns.append((weights * np.maximum(0.0, both)).sum(axis=1))
    return np.stack(columns, axis=1)


def difference_odds(found: Whole, values: Floats, limits: Floats) -> Floats:
    mean = (found.weights * values).sum(axis=1, keepdims=True)
    deviation = np.sqrt((found.weights * (values - mean) ** 2).sum(axis=1, keepdims=True))
    columns = [
        (found.weights * ndtr((limits[:, [k]] - values) / (SMOOTHING * deviation))).sum(axis=1)
        for k in range(limits.shape[1])
    ]
    return np.stack(columns, axis=1)
