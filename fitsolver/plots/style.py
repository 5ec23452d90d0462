"""The style of every drawing: dark ink on white, one tint, hatches that survive a copier.

The plotting library's settings are global, so ours apply during one drawing, under a lock. Equal
records give equal bytes, with any settings of the user.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import RLock
from typing import Any, Final

import matplotlib as mpl
from matplotlib.axes import Axes

#: Inches that fit between the margins of A4 and of Letter.
WIDTH: Final = 7.0
INK: Final = "#16232b"
SOFT: Final = "#5d6a72"
PALE: Final = "#e9eef0"
TINT: Final = "#12606b"
PAPER: Final = "#ffffff"

#: Fill of each kind of area.
METAL_HATCH: Final = "////"
GUARD_HATCH: Final = "xxxx"
PORT_HATCH: Final = "|||"
STAGE_HATCHES: Final = ("////", "\\\\\\\\", "xxxx", "----", "||||", "++++")
#: Axes of reading, in the order they are drawn: thrust, pin, then any others.
LINES: Final[tuple[Any, ...]] = ("-", "--", "-.", ":")
MARKERS: Final = ("o", "s", "^", "D", "v", "P")

_OURS: Final[dict[str, Any]] = {
    "font.family": ["sans-serif"],
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 8,
    "text.color": INK,
    "text.parse_math": False,  # a part number with dollar signs is no formula
    "axes.titlesize": 9,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.labelsize": 8,
    "axes.edgecolor": SOFT,
    "axes.labelcolor": INK,
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.unicode_minus": False,
    "xtick.color": INK,
    "ytick.color": INK,
    "xtick.labelsize": 7.5,
    "ytick.labelsize": 7.5,
    "legend.frameon": False,
    "legend.fontsize": 7.5,
    "legend.handlelength": 2.6,
    "hatch.linewidth": 0.7,
    "lines.linewidth": 1.2,
    "lines.markersize": 4,
    "figure.facecolor": PAPER,
    "savefig.facecolor": PAPER,
    "svg.fonttype": "none",  # text stays text: read aloud, searched, and sharp
    "svg.hashsalt": "fitsolver",
    "path.simplify": False,
}
_LOCK: Final = RLock()


@contextmanager
def drawn_alike() -> Iterator[None]:
    """Apply our settings, and restore the previous ones afterwards."""
    plain = {key: value for key, value in mpl.rcParamsDefault.items() if "backend" not in key}
    settings: Any = {**plain, **_OURS}
    with _LOCK, mpl.rc_context():
        mpl.rcParams.update(settings)
        yield


def metal(
    axes: Axes, row: int, sizes: tuple[int, int], height: float, hatch: str, width: float
) -> None:
    """Draw metal to be removed in a row, from one size to another (ticks), with a line's width."""
    axes.barh(
        row,
        sizes[1] - sizes[0],
        height,
        left=sizes[0],
        facecolor=PAPER,
        edgecolor=TINT,
        hatch=hatch,
        linewidth=width,
        zorder=2,
    )


def above(axes: Axes, size: int, said: str, color: str = INK) -> None:
    """Write what a size (ticks) is above the axes."""
    axes.annotate(
        said,
        (size, 1),
        xycoords=("data", "axes fraction"),
        xytext=(0, 2),
        textcoords="offset points",
        ha="center",
        va="bottom",
        fontsize=7,
        color=color,
    )
