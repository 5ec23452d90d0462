"""The profiles of bores, all on one scale: every axis against depth, the metal to the finish."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any, Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from fitsolver.base.lengths import Unit
from fitsolver.plots import style
from fitsolver.plots.bore_panel import Scale, common_scale, cut, panel
from fitsolver.plots.drawing import Drawing, draw
from fitsolver.plots.keys import Key, area, line
from fitsolver.plots.scale import ON_DIAMETER
from fitsolver.records.figures import Figures
from fitsolver.records.form import BoreForm
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import CylinderPlan, Plan
from fitsolver.records.words import axis_words, shape_words

_PANEL_HEIGHT, _LONE_HEIGHT, _SMALL_HEIGHT = 3.3, 2.1, 2.3
_LEGEND_HEIGHT: Final = 0.55
#: Inches that a sheet of paper leaves for all panels, and panels of that height side by side.
_SHEET_HEIGHT: Final = 9.2
_MOST_LARGE: Final = 4
_SMALL_LEGEND: Final[dict[str, Any]] = {"ncols": 4, "fontsize": 7, "columnspacing": 1.2}
_TINY_LEGEND: Final[dict[str, Any]] = {
    "ncols": 3,
    "fontsize": 6.7,
    "columnspacing": 0.6,
    "handlelength": 1.6,
    "labelspacing": 0.3,
}
#: Bores that stand together on a page, two beside each other on half its width.
TOGETHER: Final = 4
_TOGETHER_HEIGHT, _TALL_HEIGHT = 0.56, 0.9


def bore_profile(
    job: Job, forms: Sequence[BoreForm], plan: Plan | None = None, unit: Unit | None = None
) -> Drawing:
    """Return the profiles of the bores that `forms` are of, in `unit` or the job's own.

    `job` has their readings at 20 °C. All are drawn on one scale; more than four stand four beside
    each other, so that sixteen fit a sheet of paper. With a plan the finish size and the metal to
    remove are drawn too (a sleeved or re-plated bore starts anew, so none is drawn).
    """
    shown, plans = _shown(job, forms, plan)
    small = len(forms) > _MOST_LARGE
    scale = common_scale(shown, plans, Figures(unit or job.unit), small=small)
    across = 4 if small else min(2, len(forms))
    rows = -(-len(forms) // across)
    each = _SMALL_HEIGHT if small else _PANEL_HEIGHT
    height = rows * min(each, max(1.0, _SHEET_HEIGHT / rows))
    height = _LONE_HEIGHT if len(forms) == 1 else height
    return _drawn(job, forms, plans, scale, (rows, across), height)


def inline_profiles(
    job: Job, unit: Unit | None = None
) -> Callable[[Sequence[BoreForm], Plan | None, str, bool], str]:
    """Return a function that draws bores of a job for a page: from forms, plan, a name and whether
    there is room for tall panels to an `svg` element.

    Up to four bores become small panels on half the width of a page, on the scale of all bores of
    the job, so that several such drawings can be compared. More are drawn as `bore_profile` does.
    """

    def drawn(forms: Sequence[BoreForm], plan: Plan | None, name: str, tall: bool) -> str:
        if len(forms) > TOGETHER:
            return bore_profile(job, forms, plan, unit).inline_svg(name)
        _, plans = _shown(job, forms, plan)
        measured = [cylinder for cylinder in job.cylinders if cylinder.readings]
        every = {item.cylinder: item for item in (() if plan is None else plan.cylinders)}
        scale = common_scale(measured, every, Figures(unit or job.unit), tiny=True)
        grid = (-(-len(forms) // 2), min(2, len(forms)))
        height = (_TALL_HEIGHT if tall else _TOGETHER_HEIGHT) * max(grid[0], 1.2)
        return _drawn(job, forms, plans, scale, grid, height).inline_svg(name)

    return drawn


def _shown(
    job: Job, forms: Sequence[BoreForm], plan: Plan | None
) -> tuple[list[Cylinder], dict[str, CylinderPlan]]:
    """Return the cylinders of `forms`, and the plan of each."""
    cylinders = {cylinder.name: cylinder for cylinder in job.cylinders}
    names = [form.cylinder for form in forms]
    plans = {item.cylinder: item for item in (() if plan is None else plan.cylinders)}
    return [cylinders[name] for name in names], {n: plans[n] for n in names if n in plans}


def _drawn(
    job: Job,
    forms: Sequence[BoreForm],
    plans: dict[str, CylinderPlan],
    scale: Scale,
    grid: tuple[int, int],
    height: float,
) -> Drawing:
    shown, _ = _shown(job, forms, None)

    def onto(figure: Figure) -> None:
        panels = figure.subplots(*grid, squeeze=False, sharex=True, sharey=True).ravel()
        for axes, cylinder in zip(panels, shown, strict=False):
            panel(axes, cylinder, plans.get(cylinder.name), scale)
        _outer_labels(panels, len(shown), grid[1], scale)
        keys = _legend(shown, scale.angles, machined=any(map(cut, plans.values())))
        looks = _SMALL_LEGEND if scale.small else {"ncols": 4}
        looks = looks | _TINY_LEGEND if scale.tiny else looks
        figure.legend(handles=keys, loc="outside lower left", **looks)

    said = " ".join(_told(form, plans.get(form.cylinder), scale.figures) for form in forms)
    title = f"Bore profile: {job.name} ({ON_DIAMETER})"
    width, legend = (style.WIDTH / 2, 0.35) if scale.tiny else (style.WIDTH, _LEGEND_HEIGHT)
    return draw(width, height + legend, title, said, onto)


def _outer_labels(panels: Iterable[Axes], count: int, across: int, scale: Scale) -> None:
    """Small panels keep axis labels at the left and at the foot only; unused panels of the grid are
    hidden. Tiny ones have their unit beside the depths alone.
    """
    every = not scale.small
    for place, axes in enumerate(panels):
        axes.set_visible(place < count)
        last = place + across >= count
        axes.tick_params(labelbottom=last or every, labelleft=place % across == 0 or every)
        if not every:
            down = "" if scale.tiny else "depth"  # two words below each other would run together
            axes.set_ylabel((down + _in(axes.get_ylabel())).strip() if place % across == 0 else "")
            said = "local size" + _in(axes.get_xlabel())
            axes.set_xlabel(said if last and not scale.tiny else "")


def _in(label: str) -> str:
    """Return the unit at the end of an axis' label."""
    return " [" + label.rpartition("[")[2]


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
