"""The sizes left of each cylinder: the sizes of the catalogue as rungs up to the bore limit."""

from __future__ import annotations

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
from fitsolver.records.ladder import CylinderLadder, LadderAnswer, Rung
from fitsolver.records.words import RULE_WORDS, counted

_ROW: Final = 0.34
_PANEL_EXTRA: Final = 0.85
_LEGEND_HEIGHT: Final = 0.45
_HALF: Final = 0.24


def size_ladder(answer: LadderAnswer, unit: Unit | None = None) -> Drawing:
    """Return the sizes left of every cylinder of an answer, in `unit` or the job's own."""
    figures = Figures(unit or answer.unit)
    rows = [max(1, len(item.rungs)) for item in answer.cylinders]

    def onto(figure: Figure) -> None:
        panels = figure.subplots(len(rows), 1, squeeze=False, height_ratios=rows).ravel()
        for axes, ladder in zip(panels, answer.cylinders, strict=True):
            _panel(axes, ladder, figures)
        panels[-1].set_xlabel(f"bore ({ON_DIAMETER}) [{figures.symbol}]", loc="left")
        figure.legend(handles=_legend(answer), loc="outside lower left", ncols=4)

    height = sum(rows) * _ROW + len(rows) * _PANEL_EXTRA + _LEGEND_HEIGHT
    said = " ".join(_told(ladder, figures) for ladder in answer.cylinders)
    title = f"Sizes left: {answer.job} ({ON_DIAMETER})"
    return draw(style.WIDTH, height, title, said, onto)


def _panel(axes: Axes, ladder: CylinderLadder, figures: Figures) -> None:
    sizes = [rung.finish or rung.nominal_bore for rung in ladder.rungs]
    sizes += [ladder.smallest, ladder.largest]
    if ladder.bore_limit is not None:
        sizes.append(ladder.bore_limit)
    low, high = min(sizes), max(sizes)
    room = max(high - low, 500)
    axes.axvspan(ladder.smallest, ladder.largest, facecolor=style.SOFT, alpha=0.55, zorder=1)
    if ladder.bore_limit is not None:
        axes.axvline(ladder.bore_limit, color=style.INK, linewidth=2.4, zorder=3)
        style.above(axes, ladder.bore_limit, f"bore limit {figures.down(ladder.bore_limit)}")
    for row, rung in enumerate(ladder.rungs):
        _rung(axes, row, rung, ladder, figures, left=high + 0.03 * room)
    axes.set_ylim(max(1, len(ladder.rungs)) - 0.5, -0.5)
    names = [figures.near(r.oversize, sign=True) + (" *" if r.chosen else "") for r in ladder.rungs]
    axes.set_yticks(range(len(ladder.rungs)), names)
    axes.set_title(printable(_heading(ladder, figures)), pad=14)
    length_axis(axes.xaxis, figures.unit, "", most=5)
    axes.set_xlabel("")
    bare(axes, "left")
    words_beside(axes, low, high, [_said(rung, figures) for rung in ladder.rungs])


def _heading(ladder: CylinderLadder, figures: Figures) -> str:
    left = ladder.rebuilds_left
    said = f"Cylinder {ladder.cylinder}   [{figures.symbol}]"
    return said if left is None else f"{said}   {counted(left, 'rebuild', 'rebuilds')} left"


def _rung(
    axes: Axes, row: int, rung: Rung, ladder: CylinderLadder, figures: Figures, left: float
) -> None:
    if rung.removal_now is not None and rung.finish is not None:
        hatch, width = (style.METAL_HATCH, 1.6) if rung.chosen else ("", 0.9)
        style.metal(axes, row, (ladder.smallest, rung.finish), 2 * _HALF, hatch, width)
    else:
        axes.plot(rung.nominal_bore, row, "x", color=style.INK, markersize=6, zorder=4)
    axes.text(left, row, printable(_said(rung, figures)), va="center", fontsize=7)


def _said(rung: Rung, figures: Figures) -> str:
    if rung.removal_now is None:
        why = "no route" if rung.barred_by is None else RULE_WORDS[rung.barred_by]
        now = f"not today: {why}"
        if rung.removal_after is not None:
            now += f"; {figures.up(rung.removal_after)} after today"
        return now
    said = f"removal {figures.up(rung.removal_now)}"
    if rung.rebuilds_left is not None:
        said += f", then {counted(rung.rebuilds_left, 'rebuild', 'rebuilds')} left"
    return said


def _legend(answer: LadderAnswer) -> list[Key]:
    rungs = [rung for ladder in answer.cylinders for rung in ladder.rungs]
    keys = [
        area("bore now", style.SOFT, alpha=0.55),
        area("removal to a size", edge=style.TINT),
    ]
    if any(rung.chosen for rung in rungs):
        keys.append(area("* today's plan", edge=style.TINT, hatch=style.METAL_HATCH, linewidth=1.6))
    if any(rung.removal_now is None for rung in rungs):
        keys.append(line("nominal bore, not today", marker="x"))
    return keys


def _told(ladder: CylinderLadder, figures: Figures) -> str:
    unit = figures.symbol
    rungs = "; ".join(
        f"{figures.near(rung.oversize, sign=True)}{' (chosen)' if rung.chosen else ''}: "
        f"{_said(rung, figures)}"
        for rung in ladder.rungs
    )
    limit = (
        "no bore limit"
        if ladder.bore_limit is None
        else f"bore limit {figures.down(ladder.bore_limit)} {unit}"
    )
    now = figures.nominal(ladder.smallest, ladder.largest)
    return f"Cylinder {ladder.cylinder}: bore now {now} {unit}, {limit}. {rungs}."
