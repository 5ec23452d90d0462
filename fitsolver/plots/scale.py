"""Lengths on an axis: the record's ticks are drawn, the workshop's figures are written."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.ticker import Formatter, MaxNLocator
from numpy import asarray

from fitsolver.base.lengths import TICKS_PER, Unit, exact_text, format_length
from fitsolver.records.figures import Figures

ON_DIAMETER: Final = "all sizes on diameter"
#: Inches that are left for axes beside the labels of their rows, and the width of a sign as a
#: share of its height.
_AXES_WIDTH: Final = 5.9
_SIGN_WIDTH: Final = 0.62
_MOST_PLACES: Final = 5


def length_axis(axis: Axis, unit: Unit, label: str, most: int = 6) -> None:
    """Write an axis whose data are ticks of 10 nm in `unit`, at round figures of that unit."""
    axis.set_major_locator(_Round(unit, most))
    axis.set_major_formatter(_SamePlaces(unit))
    axis.set_label_text(f"{label} [{Figures(unit).symbol}]")


class _Round(MaxNLocator):
    """Ticks at round figures of a unit."""

    def __init__(self, unit: Unit, most: int) -> None:
        super().__init__(nbins=most, steps=[1, 2, 5, 10])
        self._per = TICKS_PER[unit]

    def tick_values(self, vmin: float, vmax: float) -> Any:
        return asarray(super().tick_values(vmin / self._per, vmax / self._per)) * self._per


class _SamePlaces(Formatter):
    """Figures at an axis, all with the decimals that the longest of them needs."""

    def __init__(self, unit: Unit) -> None:
        self._unit = unit

    def format_ticks(self, values: Iterable[float]) -> list[str]:
        ticks = [round(value) for value in values]
        texts = (exact_text(tick, self._unit) for tick in ticks)
        places = max((len(text.partition(".")[2]) for text in texts), default=0)
        return [format_length(tick, self._unit, places=min(places, _MOST_PLACES)) for tick in ticks]


def widen(low: float, high: float, share: float = 0.08, least: float = 500) -> tuple[float, float]:
    """Return limits with room on both sides, also where both are one."""
    room = max((high - low) * share, least)
    return low - room, high + room


def _text_room(lines: Iterable[str], span: float, points: float = 7.5) -> float:
    """Return how far an axis that shows `span` has to go on for lines of text beside it."""
    longest = max((len(part) for line in lines for part in line.split("\n")), default=0)
    text = longest * points * _SIGN_WIDTH / 72
    return span * text / max(_AXES_WIDTH - text, 1)


def words_beside(axes: Axes, low: float, high: float, lines: Iterable[str]) -> None:
    """Show sizes from `low` to `high`, with room for `lines` of text to the right of them."""
    span = max(high - low, 500)
    left, right = low - 0.08 * span, high + 0.06 * span
    axes.set_xlim(left, right + _text_room(lines, span))
    axes.spines["bottom"].set_bounds(left, high)
    axes.set_xticks([tick for tick in axes.get_xticks() if left <= tick <= high])


def bare(axes: Axes, *sides: str) -> None:
    """Take away some sides of the frame with their ticks."""
    for side in sides:
        axes.spines[side].set_visible(False)
    if "left" in sides:
        axes.tick_params(axis="y", length=0)
    if "bottom" in sides:
        axes.tick_params(axis="x", length=0, labelbottom=False)
