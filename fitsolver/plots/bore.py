"""The profile of each bore: every axis against depth, and the metal up to the finish size."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from fitsolver.base.lengths import Unit
from fitsolver.base.printable import printable
from fitsolver.plots import style
from fitsolver.plots.drawing import Drawing, draw
from fitsolver.plots.keys import Key, area, line
from fitsolver.plots.scale import ON_DIAMETER, length_axis, widen
from fitsolver.records.figures import Figures
from fitsolver.records.form import BoreForm
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import CylinderPlan, Plan
from fitsolver.records.readings import Reading
from fitsolver.records.words import axis_words, shape_words

_PANEL_HEIGHT, _LONE_HEIGHT = 3.3, 2.1
_LEGEND_HEIGHT = 0.55


def bore_profile(
    job: Job, forms: Sequence[BoreForm], plan: Plan | None = None, unit: Unit | None = None
) -> Drawing:
    """Return the profiles of the bores that `forms` are of, in `unit` or the job's own.

    `job` has their readings at 20 °C. With a plan the finish size and the metal to remove are drawn
    too (a restored bore starts again: there is none to draw).
    """
    figures = Figures(unit or job.unit)
    cylinders = {cylinder.name: cylinder for cylinder in job.cylinders}
    plans = {} if plan is None else {item.cylinder: item for item in plan.cylinders}
    angles = sorted({r.angle for form in forms for r in cylinders[form.cylinder].readings})
    rows = -(-len(forms) // 2)

    def onto(figure: Figure) -> None:
        panels = figure.subplots(rows, min(2, len(forms)), squeeze=False).ravel()
        for axes, form in zip(panels, forms, strict=False):
            _panel(axes, cylinders[form.cylinder], angles, plans.get(form.cylinder), figures)
        for axes in panels[len(forms) :]:
            axes.set_visible(False)
        shown = [cylinders[form.cylinder] for form in forms]
        figure.legend(
            handles=_legend(shown, angles, machined=any(map(_cut, plans.values()))),
            loc="outside lower left",
            ncols=4,
        )

    height = (_LONE_HEIGHT if len(forms) == 1 else rows * _PANEL_HEIGHT) + _LEGEND_HEIGHT
    said = " ".join(_told(form, plans.get(form.cylinder), figures) for form in forms)
    title = f"Bore profile: {job.name} ({ON_DIAMETER})"
    return draw(style.WIDTH, height, title, said, onto)


def inline_profiles(
    job: Job, unit: Unit | None = None
) -> Callable[[Sequence[BoreForm], Plan | None, str], str]:
    """Return what draws bores of a job into a page: forms, plan and a name to an `svg` element."""

    def drawn(forms: Sequence[BoreForm], plan: Plan | None, name: str) -> str:
        return bore_profile(job, forms, plan, unit).inline_svg(name)

    return drawn


def _cut(plan: CylinderPlan) -> bool:
    return plan.machined and not plan.restored


def _panel(
    axes: Axes,
    cylinder: Cylinder,
    angles: Sequence[int],
    plan: CylinderPlan | None,
    figures: Figures,
) -> None:
    readings = sorted(cylinder.readings, key=lambda r: r.depth)
    depths = [reading.depth for reading in readings]
    sizes = [reading.size for reading in readings]
    _bands(axes, cylinder)
    if plan is not None and _cut(plan):
        _metal(axes, readings, plan, figures)
        sizes.append(plan.bore_high)
    for place, angle in enumerate(angles):
        along = [reading for reading in readings if reading.angle == angle]
        _axis(axes, cylinder, along, place)
    zone = cylinder.zone
    edges = [*depths, *(() if zone is None else (zone.top, zone.bottom))]
    top, bottom = widen(min(edges), max(edges))
    axes.set_ylim(bottom, top)  # depth is counted downwards
    axes.set_xlim(*widen(min(sizes), max(sizes)))
    axes.set_title(f"Cylinder {printable(cylinder.name)}")
    length_axis(axes.xaxis, figures.unit, "local size, on diameter", most=4)
    length_axis(axes.yaxis, figures.unit, "depth from the top face", most=8)


def _bands(axes: Axes, cylinder: Cylinder) -> None:
    """Draw the zone as the white part, what lies outside it pale, and every port band."""
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
            va="center",
            color=style.SOFT,
        )


def _axis(axes: Axes, cylinder: Cylinder, readings: Sequence[Reading], place: int) -> None:
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
            markerfacecolor=style.INK if decides else style.PAPER,
            zorder=4,
        )


def _metal(axes: Axes, readings: Sequence[Reading], plan: CylinderPlan, figures: Figures) -> None:
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
    axes.annotate(
        f"finish {figures.aim(finish, plan.lowest, plan.highest)}",
        (finish, 0.985),
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


def _legend(cylinders: Sequence[Cylinder], angles: Sequence[int], *, machined: bool) -> list[Key]:
    keys = [
        line(axis_words(angle), style.LINES[place % 4], marker=style.MARKERS[place % 6])
        for place, angle in enumerate(angles)
    ]
    if any(not c.decides(r) for c in cylinders for r in c.readings):
        keys.append(line("shown, does not decide", marker="o", markerfacecolor=style.PAPER))
    if any(cylinder.zone for cylinder in cylinders):
        keys.append(area("outside the zone", style.PALE))
    if any(cylinder.ports for cylinder in cylinders):
        keys.append(area("port band", "none", style.SOFT, hatch=style.PORT_HATCH))
    if machined:
        keys.append(area("metal to remove", edge=style.TINT, hatch=style.METAL_HATCH))
    return keys


def _told(form: BoreForm, plan: CylinderPlan | None, figures: Figures) -> str:
    unit = figures.symbol
    said = (
        f"Cylinder {form.cylinder}: local sizes {figures.near(form.smallest)} to "
        f"{figures.near(form.largest)} {unit} where they decide, out-of-round "
        f"{figures.up(form.out_of_round)} {unit}, taper {figures.near(form.taper, sign=True)} "
        f"{unit}, {shape_words(form)}"
    )
    if plan is None:
        return f"{said}."
    if not plan.machined:
        return f"{said}; nothing is cut."
    return (
        f"{said}; finish size {figures.aim(plan.finish_large, plan.lowest, plan.highest)} {unit}, "
        f"removal {figures.up(plan.removal)} {unit} at most."
    )
