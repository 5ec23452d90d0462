"""Drawings of eight and sixteen cylinders: one sheet of paper, one scale."""

from __future__ import annotations

from functools import cache

import pytest
from matplotlib.colors import to_hex

from fitsolver.picking.decide import decided
from fitsolver.plots import bore_profile, fit_strip, inline_profiles, style
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer
from fitsolver.verbs.drawings import fits_of
from tests.unit.paper.engines import engine

from .drawn import boxes, shown

#: Inches that Letter leaves between margins of 10 mm.
_SHEET = 10.2


@cache
def answered(count: int) -> tuple[Job, Answer]:
    ready, answer = decided(*engine("launch/job", count), rows_back=False)
    return ready.job, answer


@pytest.mark.parametrize("count", [5, 8, 16])
def test_bores_stand_on_one_sheet_on_one_scale(count: int) -> None:
    job, answer = answered(count)
    drawing = bore_profile(job, answer.forms, answer.plan)
    width, height = drawing.figure.get_size_inches()
    assert width <= style.WIDTH and height <= _SHEET
    panels = [axes for axes in drawing.figure.axes if axes.get_visible()]
    assert len(panels) == count
    assert len({(axes.get_xlim(), axes.get_ylim()) for axes in panels}) == 1
    assert answer.plan is not None
    texts = shown(drawing)
    assert all(f"Cylinder {plan.cylinder}" in texts for plan in answer.plan.cylinders)
    for axes, cylinder in zip(panels, job.cylinders, strict=True):
        low, high = axes.get_xlim()
        assert all(low < reading.size < high for reading in cylinder.readings)


def test_several_drawings_of_a_page_share_the_scale_of_the_job() -> None:
    """The pump's two bores differ: drawn alone each still has the figures of both at its axis."""
    job, parts = engine("pump/job", 2)
    ready, answer = decided(job, parts, rows_back=False)
    draw = inline_profiles(ready.job)
    assert len(answer.forms) == 2
    one, other = (draw((form,), answer.plan, "a", False) for form in answer.forms)
    for size in ("62.3", "62.4", "62.5"):
        assert f">{size}<" in one and f">{size}<" in other


def test_all_fits_side_by_side() -> None:
    _, answer = answered(8)
    assert answer.plan is not None
    drawing = fit_strip(answer.plan, "in", "engine")
    assert drawing.figure.get_size_inches()[1] <= _SHEET
    (axes,) = drawing.figure.axes
    fits = [fit for plan in answer.plan.cylinders for fit in plan.fits]
    bars = [box for box in boxes(axes) if to_hex(box.get_facecolor()) == style.INK]
    assert len(bars) == len(fits) and all(fit.holds for fit in fits)
    for place, plan in enumerate(answer.plan.cylinders):
        own = [box for box in bars if place < box.get_x() < place + 1]
        assert len(own) == len(plan.fits)
        assert all(place < box.get_x() + box.get_width() < place + 1 for box in own)
        assert f"Cylinder {plan.cylinder}, clearance" in drawing.description


def test_more_than_four_cylinders_are_drawn_so() -> None:
    many, few = fits_of(answered(8)[1]), fits_of(answered(4)[1])
    assert many is not None and few is not None
    assert len(many.figure.axes) == 1 and len(few.figure.axes) == 4
