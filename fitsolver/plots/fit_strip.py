"""Every fit of every cylinder on one sheet: a row a fit, a column a cylinder."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from fitsolver.base.lengths import Unit
from fitsolver.base.printable import printable
from fitsolver.plots import style
from fitsolver.plots.drawing import Drawing, draw
from fitsolver.plots.fit_bars import legend, scale_of, told
from fitsolver.plots.scale import ON_DIAMETER, bare
from fitsolver.records.figures import Figures
from fitsolver.records.plan import CylinderPlan, Fit, Plan
from fitsolver.records.words import fit_name

_ROW: Final = 0.3
_EXTRA: Final = 0.9
#: Share of a column's width that the window takes, and how far a bar may extend beyond it.
_WINDOW: Final = 0.7
_OUT: Final = 0.12


def fit_strip(plan: Plan, unit: Unit, job: str = "") -> Drawing:
    """Return the fits of all cylinders of a plan side by side, in `unit`.

    Each window is drawn as wide as the next, so that a column is read like the one beside it; the
    least slack over the cylinders stands at the end of a row.
    """
    figures = Figures(unit)
    names = list(dict.fromkeys(_name(fit) for item in plan.cylinders for fit in item.fits))

    def onto(figure: Figure) -> None:
        axes = figure.subplots()
        for column, item in enumerate(plan.cylinders):
            for fit in item.fits:
                _cell(axes, column, names.index(_name(fit)), fit)
        _labels(axes, plan.cylinders, names, figures)
        figure.legend(
            handles=legend(plan.cylinders, figures=False), loc="outside lower left", ncols=4
        )

    said = " ".join(told(item, fit, figures) for item in plan.cylinders for fit in item.fits)
    title = f"Fits of all cylinders{': ' + job if job else ''} ({ON_DIAMETER})"
    return draw(style.WIDTH, len(names) * _ROW + _EXTRA, title, said, onto)


def _name(fit: Fit) -> str:
    return printable(fit_name(fit.fit, fit.groove, fit.port))


def _labels(
    axes: Axes, plans: Sequence[CylinderPlan], names: Sequence[str], figures: Figures
) -> None:
    for row, name in enumerate(names):
        axes.text(len(plans) + 0.05, row, _least_slack(plans, name, figures), va="center", size=7.5)
    axes.text(len(plans) + 0.05, -0.85, f"least slack [{figures.symbol}]", va="center", size=7.5)
    axes.set_xlim(0, len(plans) + 1.2)
    axes.set_ylim(len(names) - 0.4, -0.6)
    axes.set_yticks(range(len(names)), names)
    axes.set_xticks(
        [place + 0.5 for place in range(len(plans))], [printable(p.cylinder) for p in plans]
    )
    axes.xaxis.tick_top()
    axes.tick_params(axis="x", length=0)
    bare(axes, "left")
    axes.spines["bottom"].set_visible(False)


def _least_slack(plans: Sequence[CylinderPlan], name: str, figures: Figures) -> str:
    """Return the least slack of a fit over the cylinders, and the cylinder that has it."""
    found = [
        (slack, plan, fit)
        for plan in plans
        for fit in plan.fits
        if _name(fit) == name
        for slack in (fit.slack_low, fit.slack_high)
        if slack is not None
    ]
    if not found:
        return "no window"
    least, plan, fit = min(found, key=lambda item: item[0])
    return f"{figures.edge(fit, least, 'down')} ({printable(plan.cylinder)})"


def _cell(axes: Axes, column: int, row: int, fit: Fit) -> None:
    """Draw one fit in its window; an edge that is missing leaves the window open."""
    left = column + (1 - _WINDOW) / 2
    scale = scale_of(fit)

    def place(value: float) -> float:
        return left + _WINDOW * min(max(scale(value), -_OUT), 1 + _OUT)

    if fit.low is not None or fit.high is not None:
        window = Rectangle((left, row - 0.22), _WINDOW, 0.44, facecolor=style.PALE, linewidth=0)
        axes.add_patch(window)
    for edge, inwards in ((fit.low, 1), (fit.high, -1)):
        if edge is None:
            continue
        at, inner = place(edge), place(edge + inwards * fit.guard)
        axes.plot([at, at], [row - 0.22, row + 0.22], color=style.TINT, linewidth=1.4, zorder=3)
        if fit.guard:
            axes.add_patch(
                Rectangle(
                    (min(at, inner), row - 0.22),
                    abs(inner - at),
                    0.44,
                    facecolor=style.PAPER,
                    edgecolor=style.TINT,
                    hatch=style.GUARD_HATCH,
                    linewidth=0.3,
                )
            )
    start, end = place(fit.least), place(fit.most)
    axes.add_patch(
        Rectangle(
            (start, row - 0.1),
            max(end - start, 0.01),
            0.2,
            facecolor=style.INK if fit.holds else style.PAPER,
            edgecolor=style.INK,
            linewidth=1,
            zorder=4,
        )
    )
