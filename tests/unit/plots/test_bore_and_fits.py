"""Bore profiles and fit bars: what is drawn lies where the records say."""

from __future__ import annotations

import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_hex

from fitsolver import plots
from fitsolver.plots import style
from fitsolver.records.figures import Figures
from fitsolver.records.plan import Fit
from fitsolver.records.words import axis_words, fit_name
from tests.unit.reporting.demos import picked, planned

from .drawn import PLANNED, bars, boxes, profile, ready, shown


def points(axes: Axes) -> set[tuple[float, float]]:
    """Places of the markers in a panel."""
    return {
        (float(x), float(y))
        for line in axes.lines
        if line.get_marker() in style.MARKERS
        for x, y in zip(line.get_xdata(), line.get_ydata(), strict=True)  # type: ignore[arg-type]
    }


@pytest.mark.parametrize("job", PLANNED)
def test_every_reading_is_a_marker_and_axes_differ_without_colour(job: str) -> None:
    panels = profile(job).figure.axes
    for axes, cylinder in zip(panels, ready(job).cylinders, strict=False):
        assert points(axes) == {(r.size, r.depth) for r in cylinder.readings}
        drawn = [line for line in axes.lines if len(line.get_xdata()) > 2]  # type: ignore[arg-type]
        dashes = [line.get_linestyle() for line in drawn if line.get_linestyle() != "None"]
        assert len(set(dashes)) == len({r.angle for r in cylinder.readings})
        bottom, top = axes.get_ylim()
        assert bottom > top  # depth is counted downwards
        unit = Figures(picked(job).unit).symbol
        assert axes.get_xlabel() == f"local size, on diameter [{unit}]"


def test_places_that_do_not_decide_are_hollow() -> None:
    cylinder = ready("pump/job").cylinders[0]
    hollow = {
        (float(x), float(y))
        for line in profile("pump/job").figure.axes[0].lines
        if line.get_marker() in style.MARKERS and to_hex(line.get_markerfacecolor()) == style.PAPER
        for x, y in zip(line.get_xdata(), line.get_ydata(), strict=True)  # type: ignore[arg-type]
    }
    zone, port = cylinder.zone, cylinder.ports[0]
    assert zone is not None
    assert hollow == {
        (r.size, r.depth)
        for r in cylinder.readings
        if not zone.holds(r.depth) or port.holds(r.depth)
    }


def test_metal_is_hatched_from_the_tightest_reading_to_the_finish() -> None:
    for axes, plan in zip(
        profile("pump/job").figure.axes, planned("pump/job").cylinders, strict=True
    ):
        cylinder = next(c for c in ready("pump/job").cylinders if c.name == plan.cylinder)
        (metal,) = axes.collections
        assert metal.get_hatch() == style.METAL_HATCH
        found = {(round(x), round(y)) for x, y in metal.get_paths()[0].vertices}  # type: ignore[union-attr]
        for depth in {r.depth for r in cylinder.readings}:
            tightest = min(r.size for r in cylinder.readings if r.depth == depth)
            assert {(tightest, depth), (plan.finish_large, depth)} <= found
    texts = shown(profile("pump/job"))
    for plan in planned("pump/job").cylinders:
        aim = Figures("mm").aim(plan.finish_large, plan.lowest, plan.highest)
        assert f"finish {aim}" in texts


def test_without_a_plan_or_a_cut_there_is_no_metal() -> None:
    measured = plots.bore_profile(ready("pump/job"), picked("pump/job").forms)
    assert not any(axes.collections for axes in measured.figure.axes)
    assert not any("finish" in text or "remove" in text for text in shown(measured))
    assert not any("remove" in text for text in shown(profile("brushsaw/job")))


def test_legend_names_what_is_there() -> None:
    texts = shown(profile("pump/job"))
    for name in (axis_words(0), axis_words(90), "port band", "metal to remove"):
        assert name in texts
    assert "port band" not in shown(profile("launch/job"))


def test_unit_is_the_one_asked_for() -> None:
    texts = shown(plots.bore_profile(ready("pump/job"), picked("pump/job").forms, unit="in"))
    assert "local size, on diameter [in]" in texts
    assert not any("[mm]" in text for text in texts)


@pytest.mark.parametrize("job", PLANNED)
def test_bars_lie_in_their_windows_as_the_fits_do(job: str) -> None:
    for axes, plan in zip(bars(job).figure.axes, planned(job).cylinders, strict=True):
        drawn = [b for b in boxes(axes) if to_hex(b.get_facecolor()) == style.INK]
        assert len(drawn) == len(plan.fits)
        for bar, fit in zip(drawn, plan.fits, strict=True):
            if fit.low is None or fit.high is None:
                continue
            width = fit.high - fit.low
            middle = bar.get_x() + bar.get_width() / 2
            assert middle == pytest.approx((fit.least + fit.most - 2 * fit.low) / 2 / width)
            if fit.most - fit.least > 0.01 * width:
                assert bar.get_width() == pytest.approx((fit.most - fit.least) / width)


@pytest.mark.parametrize("job", PLANNED)
def test_every_fit_shows_its_figures_and_guard(job: str) -> None:
    figures = Figures(picked(job).unit)
    texts = shown(bars(job))
    for plan in planned(job).cylinders:
        for fit in plan.fits:
            low, high, least, most, *_ = figures.fit(fit)
            for edge, text in ((fit.low, low), (fit.high, high)):
                assert edge is None or text in texts
            assert (least if least == most else f"{least} to {most}") in texts
            assert any(text.startswith(fit_name(fit.fit, fit.groove)) for text in texts)
    guarded = sum(
        bool(fit.guard) * ((fit.low is not None) + (fit.high is not None))
        for plan in planned(job).cylinders
        for fit in plan.fits
    )
    hatched = [b for a in bars(job).figure.axes for b in boxes(a) if b.get_hatch()]
    assert len(hatched) == guarded


def bent(**changes: object) -> list[str]:
    """Texts of a drawing whose first fit has some fields changed."""
    plan = planned("brushsaw/job")
    cylinder = plan.cylinders[0]
    fit = Fit.model_validate({**cylinder.fits[0].model_dump(), **changes})
    changed = cylinder.model_copy(update={"fits": (fit, *cylinder.fits[1:])})
    drawing = plots.fit_bars(plan.model_copy(update={"cylinders": (changed,)}), "mm")
    assert all(0 <= box.get_width() < 2 for axes in drawing.figure.axes for box in boxes(axes))
    drawing.png()
    return [*shown(drawing), drawing.description]


def test_a_fit_that_misses_is_said_in_words() -> None:
    texts = bent(least=1_000, most=1_200, slack_low=-3_000, slack_high=4_000)
    assert "MISSED: 0.010 to 0.012" in texts and "missed" in texts
    assert "missed." in texts[-1]


@pytest.mark.parametrize(
    "edges",
    [
        {"low": None, "slack_low": None},
        {"high": None, "slack_high": None},
        {"low": None, "high": None, "slack_low": None, "slack_high": None},
        {"low": 4_500, "high": 4_500, "guard": 0, "least": 4_500, "most": 4_500},
    ],
)
def test_open_and_single_edges_are_drawn(edges: dict[str, object]) -> None:
    texts = bent(**edges)
    none = edges.get("low", 0) is None and edges.get("high", 0) is None
    assert ("no window" in texts) is none


def test_degrees_and_ratios_are_not_lengths() -> None:
    """Thousandths of a degree, and of a ratio: no unit of length stands beside them."""
    for name, says in (("port_timing", "exhaust opens, °"), ("compression", "compression ratio")):
        changes = {"fit": name, "port": "exhaust", "low": 90_000, "high": 96_000, "guard": 0}
        texts = bent(**changes, least=92_340, most=93_120, slack_low=2_340, slack_high=2_880)
        assert any(text.startswith(says) for text in texts)
        assert "92.340 to 93.120" in texts
        assert (
            f"Cylinder 1, {says}: 92.340 to 93.120 to expect, window 90.000 to 96.000." in texts[-1]
        )


def test_one_cylinder_can_be_asked_for() -> None:
    whole = planned("pump/job")
    drawing = plots.fit_bars(whole, "mm", cylinder="2")
    assert len(drawing.figure.axes) == 1
    assert "Cylinder 1" not in drawing.description
