"""One panel: the readings of a bore on every axis against depth, and the metal up to the finish."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from matplotlib.axes import Axes

from fitsolver.base.printable import printable
from fitsolver.plots import style
from fitsolver.plots.scale import length_axis, widen
from fitsolver.records.figures import Figures
from fitsolver.records.job import Cylinder
from fitsolver.records.plan import CylinderPlan
from fitsolver.records.readings import Reading


@dataclass(frozen=True, slots=True)
class Scale:
    """The scale common to all panels of a drawing: sizes and depths (ticks), and a figure's
    decimals.

    `angles` are the axes of reading, in the order of their lines; a `small` panel has fewer
    figures at its axes, and a `tiny` one its finish size in the title.
    """

    sizes: tuple[float, float]
    depths: tuple[float, float]
    angles: tuple[int, ...]
    figures: Figures
    small: bool = False
    tiny: bool = False


def common_scale(
    cylinders: Sequence[Cylinder],
    plans: dict[str, CylinderPlan],
    figures: Figures,
    *,
    small: bool = False,
    tiny: bool = False,
) -> Scale:
    """Return a scale on which every reading and finish size of some cylinders is seen."""
    readings = [reading for cylinder in cylinders for reading in cylinder.readings]
    zones = [cylinder.zone for cylinder in cylinders if cylinder.zone is not None]
    sizes = [reading.size for reading in readings]
    sizes += [plan.bore_high for plan in plans.values() if cut(plan)]
    depths = [reading.depth for reading in readings]
    depths += [edge for zone in zones for edge in (zone.top, zone.bottom)]
    return Scale(
        widen(min(sizes), max(sizes)),
        widen(min(depths), max(depths)),
        tuple(sorted({reading.angle for reading in readings})),
        figures,
        small or tiny,
        tiny,
    )


def cut(plan: CylinderPlan) -> bool:
    """Tell whether there is metal to draw; a restored bore starts again."""
    return plan.machined and not plan.restored


#: Points: 7 on paper, where half the width of a page is a little wider than the drawing.
_SMALL_TYPE: Final = 6.7


def panel(axes: Axes, cylinder: Cylinder, plan: CylinderPlan | None, scale: Scale) -> None:
    """Draw one bore; with a plan the finish size and the metal to remove too."""
    readings = sorted(cylinder.readings, key=lambda r: r.depth)
    _bands(axes, cylinder)
    if plan is not None and cut(plan):
        _metal(axes, readings, plan)
        if not scale.tiny:
            _finish_said(axes, plan, scale.figures)
    for place, angle in enumerate(scale.angles):
        along = [reading for reading in readings if reading.angle == angle]
        _axis(axes, cylinder, along, place, size=2.5 if scale.tiny else 4)
    top, bottom = scale.depths
    axes.set_ylim(bottom, top)  # depth is counted downwards
    axes.set_xlim(*scale.sizes)
    axes.set_title(_title(cylinder, plan, scale), fontsize=7.5 if scale.tiny else 9)
    unit = scale.figures.unit
    length_axis(axes.xaxis, unit, "local size, on diameter", most=2 if scale.small else 4)
    length_axis(
        axes.yaxis,
        unit,
        "depth from the top face",
        most=3 if scale.tiny else 4 if scale.small else 8,
    )
    axes.tick_params(labelsize=_SMALL_TYPE if scale.small else 7.5)


def _title(cylinder: Cylinder, plan: CylinderPlan | None, scale: Scale) -> str:
    name = printable(cylinder.name)
    if not scale.tiny:
        return f"Cylinder {name}" if len(name) <= 12 else name
    if plan is None or not cut(plan):
        return name
    return f"{name}: {_finish(plan, scale.figures)}"


def _finish(plan: CylinderPlan, figures: Figures) -> str:
    return f"finish {figures.aim(plan.finish_large, plan.lowest, plan.highest)}"


def _bands(axes: Axes, cylinder: Cylinder) -> None:
    """Draw the zone white, the part outside it pale, and every port band."""
    if cylinder.zone is not None:
        far = 10 * cylinder.zone.bottom
        for start, end in ((-far, cylinder.zone.top), (cylinder.zone.bottom, far)):
            axes.axhspan(start, end, facecolor=style.PALE, zorder=0)
        for edge in (cylinder.zone.top, cylinder.zone.bottom):
            axes.axhline(edge, color=style.SOFT, linewidth=0.8, linestyle=(0, (6, 3)), zorder=1)
    for port in cylinder.ports:
        axes.axhspan(
            port.top,
            port.bottom,
            facecolor="none",
            edgecolor=style.SOFT,
            hatch=style.PORT_HATCH,
            linewidth=0.5,
            zorder=0.5,
        )
        axes.text(
            1.01,
            (port.top + port.bottom) / 2,
            printable(port.name),
            transform=axes.get_yaxis_transform(),
            rotation=270,
            fontsize=_SMALL_TYPE,
            va="center",
            color=style.SOFT,
        )


def _axis(
    axes: Axes, cylinder: Cylinder, readings: Sequence[Reading], place: int, size: float
) -> None:
    """Draw one axis of reading; places that do not decide have empty markers."""
    sizes = [reading.size for reading in readings]
    depths = [reading.depth for reading in readings]
    marker = style.MARKERS[place % 6]
    axes.plot(sizes, depths, color=style.INK, linestyle=style.LINES[place % 4], zorder=3)
    for decides in (True, False):
        kept = [r for r in readings if cylinder.decides(r) == decides]
        axes.plot(
            [r.size for r in kept],
            [r.depth for r in kept],
            color=style.INK,
            linestyle="none",
            marker=marker,
            markersize=size,
            markerfacecolor=style.INK if decides else style.PAPER,
            zorder=4,
        )


def _metal(axes: Axes, readings: Sequence[Reading], plan: CylinderPlan) -> None:
    """Hatch the metal between the tightest reading of each depth and the finish size."""
    tightest: dict[int, int] = {}
    for reading in readings:
        tightest[reading.depth] = min(reading.size, tightest.get(reading.depth, reading.size))
    depths = list(tightest)
    finish = plan.finish_large
    axes.fill_betweenx(
        depths,
        [min(size, finish) for size in tightest.values()],
        finish,
        facecolor="none",
        edgecolor=style.TINT,
        hatch=style.METAL_HATCH,
        linewidth=0,
        zorder=2,
    )
    axes.axvline(finish, color=style.TINT, linewidth=2, zorder=2.5)


def _finish_said(axes: Axes, plan: CylinderPlan, figures: Figures) -> None:
    axes.annotate(
        _finish(plan, figures),
        (plan.finish_large, 0.985),
        xycoords=("data", "axes fraction"),
        xytext=(-4, 0),
        textcoords="offset points",
        ha="right",
        va="top",
        color=style.TINT,
        fontweight="bold",
        bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 1},
        zorder=5,
    )
