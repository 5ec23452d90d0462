"""The log of a hone: local sizes at every check, the permitted range, and the next prediction."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from fitsolver.base.lengths import Unit
from fitsolver.base.printable import printable
from fitsolver.plots import style
from fitsolver.plots.drawing import Drawing, draw
from fitsolver.plots.keys import Key, area, line
from fitsolver.plots.scale import ON_DIAMETER, length_axis, widen
from fitsolver.records.figures import Figures
from fitsolver.records.hone import HoneAnswer, HoneState, NoStrokes, StatedRisk

_PANEL_HEIGHT: Final = 3.1
_LEGEND_HEIGHT: Final = 0.55


def hone_log(answer: HoneAnswer, unit: Unit | None = None, width: float = style.WIDTH) -> Drawing:
    """Return the log of every cylinder of an answer, in `unit` or the job's own.

    `width` is in inches; a narrow drawing has its key in one column.
    """
    figures = Figures(unit or answer.unit)
    states = answer.cylinders
    ncols = 3 if width == style.WIDTH else 1
    title = f"At the hone: {answer.job} ({ON_DIAMETER})"

    def onto(figure: Figure) -> None:
        panels = figure.subplots(len(states), 1, squeeze=False).ravel()
        for axes, state in zip(panels, states, strict=True):
            _panel(axes, state, figures)
        figure.legend(handles=_legend(states), loc="outside lower left", ncols=ncols)

    height = len(states) * _PANEL_HEIGHT + _LEGEND_HEIGHT * 3 / ncols
    said = " ".join(_told(state, figures) for state in states)
    return draw(width, height, title, said, onto)


def _panel(axes: Axes, state: HoneState, figures: Figures) -> None:
    counts = [check.count for check in state.checks]
    small = [check.smallest for check in state.checks]
    large = [check.largest for check in state.checks]
    ends = [*small, *large, state.local_low, state.local_high]
    axes.axhspan(
        state.local_low,
        state.local_high,
        facecolor=style.PALE,
        edgecolor=style.TINT,
        linewidth=0,
        zorder=0,
    )
    for edge, dashes, side in ((state.local_low, "--", "top"), (state.local_high, "-", "bottom")):
        axes.axhline(edge, color=style.TINT, linestyle=dashes, linewidth=1.4, zorder=1)
        text = figures.up(edge) if side == "top" else figures.down(edge)
        which = "lowest" if side == "top" else "highest"
        axes.annotate(
            f"{which} {text}",
            (0.008, edge),
            xycoords=("axes fraction", "data"),
            xytext=(0, -2 if side == "top" else 2),
            textcoords="offset points",
            va=side,
            color=style.TINT,
            fontsize=7.5,
        )
    axes.vlines(counts, small, large, color=style.SOFT, linewidth=2.5, zorder=2)
    axes.plot(counts, large, color=style.INK, marker="^", linestyle="-", zorder=3)
    axes.plot(counts, small, color=style.INK, marker="v", linestyle="--", zorder=3)
    _stones(axes, state)
    last = _prediction(axes, state, figures)
    axes.set_xlim(*widen(0, max([*counts, last]), share=0.05, least=1))
    axes.set_ylim(*widen(min(ends), max(ends), share=0.1))
    axes.set_title(f"Cylinder {printable(state.cylinder)}: {printable(state.sentence)}", wrap=True)
    axes.set_xlabel(state.counted_in)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    length_axis(axes.yaxis, figures.unit, "local size, on diameter, at 20 °C")


def _stones(axes: Axes, state: HoneState) -> None:
    """Mark where other stones were taken."""
    before = ""
    for check in state.checks[1:]:
        if check.stones and check.stones != before:
            axes.annotate(
                f"stones {printable(check.stones)}",
                (check.count, 0.02),
                xycoords=("data", "axes fraction"),
                ha="center",
                va="bottom",
                fontsize=7,
                color=style.SOFT,
            )
            before = check.stones


def _largest_then(state: HoneState) -> int | None:
    """Return the predicted largest local size at the next check; None without a prediction."""
    if not state.next_count:
        return None
    return None if isinstance(state.based_on, NoStrokes) else state.based_on.largest


def _prediction(axes: Axes, state: HoneState, figures: Figures) -> int:
    """Draw the prediction of the next check; return the count at that check."""
    now, largest = state.now, _largest_then(state)
    if largest is None:
        return now.count
    steps = state.since_check + (state.next_count or 0)
    then = now.count + steps
    if state.rate is not None and state.first is None:
        mean = [now.largest, now.largest + state.rate.rate * steps]
        axes.plot([now.count, then], mean, color=style.INK, linestyle=":", zorder=3)
    axes.plot(
        then,
        largest,
        color=style.INK,
        marker="D",
        markersize=6,
        markerfacecolor=style.PAPER,
        linestyle="none",
        zorder=4,
    )
    axes.annotate(
        f"{figures.up(largest)} at most,\n{_sure(state)},\nat {then} {state.counted_in}",
        (then, largest),
        xytext=(8, -26),
        textcoords="offset points",
        ha="right",
        va="top",
        fontsize=7.5,
        bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 1, "alpha": 0.8},
        zorder=5,
    )
    return then


def _legend(states: Sequence[HoneState]) -> list[Key]:
    keys = [
        line("largest local size", "-", marker="^"),
        line("smallest local size", "--", marker="v"),
        area("permitted everywhere", style.PALE, style.TINT),
    ]
    diamond = {"marker": "D", "markerfacecolor": style.PAPER}
    foretold = [state for state in states if _largest_then(state) is not None]
    if any(state.first is None for state in foretold):
        keys.append(line("largest, at the rate so far", ":"))
        keys.append(line("largest at the next check, as sure as is said", **diamond))
    if any(state.first is not None for state in foretold):
        keys.append(line("largest at the next check, if it goes no faster", **diamond))
    return keys


def _told(state: HoneState, figures: Figures) -> str:
    now, unit = state.now, figures.symbol
    low, high = figures.permitted(state.local_low, state.local_high)
    said = (
        f"Cylinder {state.cylinder}: after {now.count} {state.counted_in} the bore is "
        f"{figures.nominal(now.smallest, now.largest)} {unit}; permitted {low} to {high} {unit}. "
        f"{state.sentence}"
    )
    largest = _largest_then(state)
    if largest is None:
        return said
    return f"{said} Largest then {figures.up(largest)} {unit} at most, {_sure(state)}."


def _sure(state: HoneState) -> str:
    told = state.based_on
    return f"{1 - told.limit:.1%} sure" if isinstance(told, StatedRisk) else "if it goes no faster"
