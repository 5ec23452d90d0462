"""The odds of whole bores are real: held against bores that are no cylinders (calibration.md).

Seeded. The everyday run draws a slice of the worlds; `pytest -m bench` draws them as the page has
them (`tests.bench.test_calibration`).
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from fitsolver.metrology.between import whole
from fitsolver.metrology.form import bore_form
from fitsolver.metrology.guards import Asked, guard_of
from fitsolver.metrology.whole_bore import odds_of
from fitsolver.picking.decide import decide
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Piston
from fitsolver.records.windows import Window
from tests.bench import calibration_form as form
from tests.bench import calibration_worlds as worlds
from tests.bench.calibration_gaps import end_gaps
from tests.bench.calibration_workshops import UM

FEW = 500
MODELLED = [world for world in form.WORLDS if world.form is None]
COVERED = [world for world in form.WORLDS if world.form is not None and world.covered]
MISSED = [world for world in form.WORLDS if not world.covered]


def named(world: form.World) -> str:
    return f"{world.name}, {len(world.places)}"


@cache
def drawn(world: form.World) -> form.Found:
    return form.experiment(world, FEW)


@pytest.mark.parametrize("world", MODELLED, ids=named)
def test_stated_is_realised_where_bores_are_as_modelled(world: form.World) -> None:
    found = drawn(world)
    for held in (found.clearance, found.out_of_round, found.taper):
        for band in worlds.of(held):
            assert band.agrees(0.01), band


@pytest.mark.parametrize("world", COVERED, ids=named)
def test_more_conforms_than_is_stated_of_other_shapes(world: form.World) -> None:
    found = drawn(world)
    for held in (found.clearance, found.out_of_round, found.taper):
        for band in worlds.of(held):
            assert band.is_safe(worlds.NOT_AS_MODELLED), band


@pytest.mark.parametrize("world", [*MODELLED, *COVERED], ids=named)
def test_guarded_for_95_percent_is_out_no_more_often(world: form.World) -> None:
    _, out, error = worlds.risk(drawn(world).clearance)
    assert out - 3.5 * error <= 0.05


@pytest.mark.parametrize("world", MISSED, ids=named)
def test_what_the_page_says_is_not_covered_is_not(world: form.World) -> None:
    """Odds are too high there: the page must go on saying so."""
    held = drawn(world).clearance
    sure = held.stated > 0.5
    assert held.conforms[sure].mean() < held.stated[sure].mean() - worlds.NOT_AS_MODELLED


@pytest.mark.parametrize(
    ("world", "model"), [pytest.param(w, m, id=name) for name, w, m in worlds.WRONG]
)
def test_a_wrong_model_fails(world: form.World, model: form.Model) -> None:
    found = form.experiment(world, worlds.FEWER, model)
    rows = worlds.of(found.clearance)
    assert not all(band.is_safe(worlds.NOT_AS_MODELLED) for band in rows)


@pytest.mark.parametrize("world", worlds.GAP_WORLDS[:2], ids=named)
def test_end_gaps_are_as_likely_as_stated(world: form.World) -> None:
    for held in end_gaps(world, FEW):
        for band in worlds.of(held):
            assert band.is_safe(worlds.NOT_AS_MODELLED), band


def catalogue() -> Catalogue:
    nominal = form.WORKSHOP.size * form.MM
    piston = Piston(
        number="P1",
        oversize=0,
        nominal_bore=nominal,
        skirt=Range(low=nominal, high=nominal),
        alloy=form.WORKSHOP.alloy,
    )
    return Catalogue(name="invented", family="bench", standard_bore=nominal, pistons=(piston,))


@pytest.mark.parametrize(
    "world", [form.WORLDS[0], form.WORLDS[1], form.WORLDS[2], form.WORLDS[5]], ids=named
)
def test_a_whole_decision_states_the_same(world: form.World) -> None:
    """Bore by bore through the front door: the same odds, and the same guard decides."""
    got = form.measure(world, 6)
    layout = form.layout_for(got.job)
    spreads = form.spreads_for(got.job, form.WORKSHOP)
    u = float(spreads["clearance", None].error.std_dev)
    nominal = form.WORKSHOP.size * form.MM
    ((_, known),) = whole(layout, got.read)
    for case, read in enumerate(got.read):
        low, high = round(read.min()) - 6 * UM, round(read.max()) + 7 * UM
        material = got.job.cylinders[0].material
        cylinder = world.cylinder([nominal + round(size) for size in read.tolist()], material)
        found = bore_form(cylinder, "by axis")
        limits = {
            "out_of_round": found.out_of_round + 3 * UM,
            "taper": abs(found.taper) + 3 * UM,
        }
        windows = (
            Window(fit="clearance", low=low, high=high),
            *(Window(fit=fit, high=limit) for fit, limit in limits.items()),
        )
        plain = got.job.measuring.model_copy(update={"decision": "plain", "probability": None})
        job = got.job.model_copy(
            update={"cylinders": (cylinder,), "windows": windows, "measuring": plain}
        )
        plan = decide(job, catalogue()).plan
        assert plan is not None
        (bore,) = plan.cylinders
        assert odds_of(cylinder) == bore.odds_of == plan.odds_of == "whole bore"
        fits = {fit.fit: fit for fit in bore.fits}
        one = type(known)(*(column[[case]] for column in known))
        edges = np.array([[7.0 * UM]]), np.array([[6.0 * UM]])
        stated = form.window_odds(one, u, edges[1], edges[0])
        assert fits["clearance"].probability == pytest.approx(stated[0, 0], abs=1e-4)
        for name, values in (("out_of_round", one.out_of_round), ("taper", one.taper)):
            stated = form.difference_odds(one, values, np.array([[float(limits[name])]]))
            assert fits[name].probability == pytest.approx(stated[0, 0], abs=1e-4)
        assert bore.probability is not None
        assert bore.probability <= min(fit.probability for fit in fits.values()) + 1e-3
        accepted = _guard(job, windows[0], read) <= min(6 * UM, 7 * UM)
        mirrored = form.window_odds(one, u, edges[0], edges[1])[0, 0]
        if abs(min(mirrored, fits["clearance"].probability) - 0.95) > 1e-3:
            assert accepted == (min(mirrored, fits["clearance"].probability) >= 0.95)


def _guard(job, window: Window, read) -> int:  # type: ignore[no-untyped-def]
    asked = Asked(job.measuring.model_copy(update={"decision": "guarded", "probability": 950_000}))
    spread = form.spreads_for(job, form.WORKSHOP)["clearance", None]
    return guard_of(asked, (window.low, window.high), spread, round(read.max() - read.min()))


def test_the_seed_decides() -> None:
    first, again = (form.experiment(form.WORLDS[1], 50, seed=7) for _ in range(2))
    assert np.array_equal(first.clearance.stated, again.clearance.stated)
