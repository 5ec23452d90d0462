"""The stages of every route as bars from size to size, with the permitted range of each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from fitsolver.base.lengths import Unit
from fitsolver.base.printable import printable
from fitsolver.plots import style
from fitsolver.plots.drawing import Drawing, draw
from fitsolver.plots.keys import Key, area, line
from fitsolver.plots.scale import ON_DIAMETER, bare, length_axis, words_beside
from fitsolver.records.figures import Figures
from fitsolver.records.stages import CylinderStages, StageCut, StagesAnswer, Target
from fitsolver.records.told import dial_reading

_ROW: Final = 0.46
_PANEL_EXTRA: Final = 0.8
_LEGEND_HEIGHT: Final = 0.35
_HALF: Final = 0.2


def stage_bars(answer: StagesAnswer, unit: Unit | None = None) -> Drawing:
    """Return the stages of every machined cylinder of an answer, in `unit` or the job's own.

    A panel a finish size: two for a piston whose size is not known yet.
    """
    figures = Figures(unit or answer.unit)
    panels = [(plan, target) for plan in answer.cylinders for target in plan.targets]
    title = f"Removal stages: {answer.job} ({ON_DIAMETER})"
    if not panels:
        return _nothing(title)
    rows = [len(target.cuts) for _, target in panels]

    def onto(figure: Figure) -> None:
        found = figure.subplots(len(panels), 1, squeeze=False, height_ratios=rows).ravel()
        for axes, (plan, target) in zip(found, panels, strict=True):
            _panel(axes, plan, target, figures)
        found[-1].set_xlabel(f"bore ({ON_DIAMETER}) [{figures.symbol}]", loc="left")
        figure.legend(handles=_legend(), loc="outside lower left", ncols=3)

    height = sum(rows) * _ROW + len(panels) * _PANEL_EXTRA + _LEGEND_HEIGHT
    said = " ".join(_told(plan, target, figures) for plan, target in panels)
    return draw(style.WIDTH, height, title, said, onto)


def _nothing(title: str) -> Drawing:
    said = "Nothing is cut."

    def onto(figure: Figure) -> None:
        figure.text(0.5, 0.5, said, ha="center", va="center")

    return draw(style.WIDTH, 1, title, said, onto)


def _panel(axes: Axes, plan: CylinderStages, target: Target, figures: Figures) -> None:
    start, finish = target.start, target.finish
    worn = plan.start.high
    low = min(start, worn)
    high = max(finish, worn, *(cut.highest or finish for cut in target.cuts))
    room = max(high - low, 500)
    for row, cut in enumerate(target.cuts):
        _stage(axes, row, cut, figures, left=high + 0.04 * room)
    axes.axvline(worn, color=style.SOFT, linestyle=":", linewidth=1.2, zorder=1)
    style.above(axes, worn, figures.near(worn), style.SOFT)
    axes.set_ylim(len(target.cuts) - 0.5, -0.5)
    axes.set_yticks(range(len(target.cuts)), [printable(cut.stage) for cut in target.cuts])
    axes.set_title(printable(_heading(plan, target, figures)), pad=14)
    length_axis(axes.xaxis, figures.unit, "", most=5)
    axes.set_xlabel("")
    bare(axes, "left")
    words_beside(axes, low, high, [_figures(cut, figures) for cut in target.cuts])


def _heading(plan: CylinderStages, target: Target, figures: Figures) -> str:
    which = "" if target.piston == "any" else f", {target.piston} piston"
    return f"Cylinder {plan.cylinder}{which}: {plan.route}   [{figures.symbol}]"


def _stage(axes: Axes, row: int, cut: StageCut, figures: Figures, left: float) -> None:
    hatch = style.STAGE_HATCHES[row % len(style.STAGE_HATCHES)]
    style.metal(axes, row, (cut.start, cut.diameter), 2 * _HALF, hatch, 1)
    axes.plot([cut.diameter] * 2, [row - _HALF, row + 1 - _HALF], color=style.TINT, zorder=2)
    if cut.lowest is not None and cut.highest is not None:
        axes.plot([cut.lowest, cut.highest], [row, row], color=style.INK, linewidth=2, zorder=3)
        for end in (cut.lowest, cut.highest):
            axes.plot([end, end], [row - 0.12, row + 0.12], color=style.INK, zorder=3)
    axes.text(left, row, _figures(cut, figures), va="center", fontsize=7.5)


def _figures(cut: StageCut, figures: Figures) -> str:
    said = f"stop at {figures.aim(cut.diameter, cut.lowest, cut.highest)}"
    said += f", takes {figures.up(cut.stock)}"
    if cut.dial is not None:
        said += f"\ndial {dial_reading(cut, cut.dial, figures)}"
    if cut.dial_on_piston is not None:
        said += ", " if cut.dial is not None else "\n"
        said += f"on the new piston {dial_reading(cut, cut.dial_on_piston, figures)}"
    return said


def _legend() -> list[Key]:
    return [
        area("metal that a stage takes", edge=style.TINT, hatch=style.METAL_HATCH),
        line("permitted", "-", marker="|", markersize=7),
        line("largest place before", ":", style.SOFT),
    ]


def _told(plan: CylinderStages, target: Target, figures: Figures) -> str:
    cuts: Sequence[str] = [
        f"{cut.stage} to {figures.aim(cut.diameter, cut.lowest, cut.highest)} {figures.symbol}, "
        f"taking {figures.up(cut.stock)}"
        for cut in target.cuts
    ]
    which = "" if target.piston == "any" else f", {target.piston} piston"
    return f"Cylinder {plan.cylinder}{which}, {plan.route}: {'; '.join(cuts)}."
