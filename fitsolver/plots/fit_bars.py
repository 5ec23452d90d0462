"""Every fit as a bar against its window, guard hatched, each row on a scale of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from fitsolver.base.lengths import Unit
from fitsolver.base.printable import printable
from fitsolver.plots import style
from fitsolver.plots.drawing import Drawing, draw
from fitsolver.plots.keys import Key, area
from fitsolver.plots.scale import ON_DIAMETER, bare
from fitsolver.records.base import THOUSANDTHS
from fitsolver.records.figures import Figures
from fitsolver.records.plan import CylinderPlan, Fit, Plan
from fitsolver.records.words import fit_name

_ROW: Final = 0.37
_PANEL_EXTRA: Final = 0.4
_LEGEND_HEIGHT: Final = 0.5
#: How far a row reaches to the left and right of a window from 0 to 1.
_REACH: Final = 0.15
_WINDOW_HALF: Final = 0.18
_BAR_HALF: Final = 0.085


@dataclass(frozen=True, slots=True)
class _Scale:
    """Maps a row's window to 0 to 1; a missing edge lies beyond the expected values."""

    start: float
    span: float

    def __call__(self, value: float) -> float:
        return (value - self.start) / self.span


def fit_bars(plan: Plan, unit: Unit, job: str = "", cylinder: str | None = None) -> Drawing:
    """Return the fits of every cylinder of a plan, or of the one named, in `unit`."""
    figures = Figures(unit)
    plans = [item for item in plan.cylinders if cylinder in (None, item.cylinder)]
    counts = [max(1, len(item.fits)) for item in plans]

    def onto(figure: Figure) -> None:
        panels = figure.subplots(len(plans), 1, squeeze=False, height_ratios=counts).ravel()
        for axes, item in zip(panels, plans, strict=True):
            _panel(axes, item, figures)
        figure.legend(handles=legend(plans), loc="outside lower left", ncols=4)

    height = sum(counts) * _ROW + len(plans) * _PANEL_EXTRA + _LEGEND_HEIGHT
    said = " ".join(told(item, fit, figures) for item in plans for fit in item.fits)
    title = f"Fits against their windows{': ' + job if job else ''} ({ON_DIAMETER})"
    return draw(style.WIDTH, height, title, said, onto)


def _panel(axes: Axes, plan: CylinderPlan, figures: Figures) -> None:
    for row, fit in enumerate(plan.fits):
        _row(axes, row, fit, figures)
    axes.set_xlim(-_REACH, 1 + _REACH)
    axes.set_ylim(max(0, len(plan.fits) - 1) + 0.5, -0.5)
    axes.set_yticks(range(len(plan.fits)), [_label(fit) for fit in plan.fits])
    axes.set_title(f"Cylinder {printable(plan.cylinder)}   [{figures.symbol}]")
    bare(axes, "left", "bottom")


def _name(fit: Fit) -> str:
    return fit_name(fit.fit, fit.groove, fit.port)


def _label(fit: Fit) -> str:
    name = printable(_name(fit))
    return f"{name}\n{printable(fit.part)}" if fit.part else name


def scale_of(fit: Fit) -> _Scale:
    """Return the scale that maps the window of a fit to 0 to 1."""
    if fit.low is not None and fit.high is not None and fit.high > fit.low:
        return _Scale(fit.low, fit.high - fit.low)
    # With one edge only, the expected values with some room replace the other.
    values = [v for v in (fit.low, fit.high, fit.least, fit.most) if v is not None]
    low, high = min(values), max(values)
    room = max((high - low) * 0.35, 100)
    start = low if fit.low is not None else low - room
    end = high if fit.high is not None else high + room
    return _Scale(start, max(end - start, 1))


def _row(axes: Axes, row: int, fit: Fit, figures: Figures) -> None:
    scale = scale_of(fit)
    low, high, least, most, *_ = figures.fit(fit)
    if fit.low is not None or fit.high is not None:
        _window(axes, row, fit, scale)
    left, right = (_kept(scale(value)) for value in (fit.least, fit.most))
    width = max(right - left, 0.006)
    middle = (left + right) / 2
    axes.add_patch(
        Rectangle(
            (middle - width / 2, row - _BAR_HALF),
            width,
            2 * _BAR_HALF,
            facecolor=style.INK if fit.holds else style.PAPER,
            edgecolor=style.INK,
            linewidth=1.2,
            zorder=4,
        )
    )
    expected = least if least == most else f"{least} to {most}"
    said = expected if fit.holds else f"MISSED: {expected}"
    where = min(max(middle, 0.1), 0.9)
    axes.text(where, row - _WINDOW_HALF - 0.02, said, ha="center", va="bottom", fontsize=7)
    edge: dict[str, Any] = {"va": "center", "fontsize": 7.5, "fontweight": "bold"}
    if fit.low is not None:
        axes.text(-0.015, row, low, ha="right", **edge)
    if fit.high is not None:
        axes.text(1.015, row, high, ha="left", **edge)
    if fit.low is None and fit.high is None:
        axes.text(1.015, row, "no window", ha="left", va="center", fontsize=7, color=style.SOFT)


def _kept(place: float) -> float:
    """Return a place that the row still shows."""
    return min(max(place, -_REACH), 1 + _REACH)


def _window(axes: Axes, row: int, fit: Fit, scale: _Scale) -> None:
    """Draw the window: a stated edge is a thick line, a missing one stays open."""
    top, bottom = row - _WINDOW_HALF, row + _WINDOW_HALF
    axes.add_patch(
        Rectangle((0, top), 1, 2 * _WINDOW_HALF, facecolor=style.PALE, linewidth=0, zorder=1)
    )
    for edge, inwards, end in ((fit.low, 1, 0.0), (fit.high, -1, 1.0)):
        if edge is None:
            sign = "\u25c2" if end == 0 else "\u25b8"
            axes.text(end, row, sign, ha="center", va="center", color=style.SOFT, fontsize=7)
            continue
        place = scale(edge)
        axes.plot([place, place], [top, bottom], color=style.TINT, linewidth=2.2, zorder=3)
        if fit.guard:
            inner = scale(edge + inwards * fit.guard)
            axes.add_patch(
                Rectangle(
                    (min(place, inner), top),
                    abs(inner - place),
                    2 * _WINDOW_HALF,
                    facecolor=style.PAPER,
                    edgecolor=style.TINT,
                    hatch=style.GUARD_HATCH,
                    linewidth=0.4,
                    zorder=2,
                )
            )


def legend(plans: Sequence[CylinderPlan], *, figures: bool = True) -> list[Key]:
    """Return the keys of windows, guards and bars; say where their `figures` stand."""
    fits = [fit for plan in plans for fit in plan.fits]
    keys = [
        area("window (edges as figures)" if figures else "window", style.PALE),
        area("to expect (figures above)" if figures else "to expect", style.INK),
    ]
    if any(fit.guard for fit in fits):
        keys.append(area("measuring allowance, given up", edge=style.TINT, hatch=style.GUARD_HATCH))
    if not all(fit.holds for fit in fits):
        keys.append(area("missed", edge=style.INK))
    return keys


def told(plan: CylinderPlan, fit: Fit, figures: Figures) -> str:
    """Return one fit in words, with its figures."""
    low, high, least, most, *_ = figures.fit(fit)
    unit = "" if fit.fit in THOUSANDTHS else f" {figures.symbol}"
    edges = {
        (True, True): f"window {low} to {high}{unit}",
        (True, False): f"from {low}{unit}",
        (False, True): f"up to {high}{unit}",
        (False, False): "no window",
    }[fit.low is not None, fit.high is not None]
    expected = least if least == most else f"{least} to {most}"
    guard = f", measuring allowance {figures.edge(fit, fit.guard, 'up')}{unit}" if fit.guard else ""
    verdict = "" if fit.holds else ", missed"
    return (
        f"Cylinder {plan.cylinder}, {_name(fit)}: {expected}{unit} to expect, "
        f"{edges}{guard}{verdict}."
    )
