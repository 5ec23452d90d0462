"""The keys of a legend: a patch of an area, a piece of a line."""

from __future__ import annotations

from typing import Any

from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from fitsolver.plots import style

Key = Patch | Line2D


def area(label: str, face: str = style.PAPER, edge: str = "none", **looks: Any) -> Key:
    """Return the key of an area; `looks` are hatch, linewidth, alpha."""
    return Patch(facecolor=face, edgecolor=edge, label=label, **looks)


def line(label: str, linestyle: Any = "none", color: str = style.INK, **looks: Any) -> Key:
    """Return the key of a line, or of a marker alone; `looks` are marker, markerfacecolor."""
    return Line2D([], [], color=color, linestyle=linestyle, label=label, **looks)
