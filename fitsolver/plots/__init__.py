"""Drawings: bore profiles, fits in their windows, stages, sizes left, the log of a hone.

Each function takes records and returns a `Drawing`, which is written as SVG or PNG or set into a
page as inline SVG. Everything tells itself apart without colour: hatches, line styles, markers.
The plotting library is loaded here and nowhere else, without its global figures.
"""

from __future__ import annotations

from fitsolver.plots.bore import bore_profile, inline_profiles
from fitsolver.plots.drawing import Drawing
from fitsolver.plots.fit_bars import fit_bars
from fitsolver.plots.fit_strip import fit_strip
from fitsolver.plots.hone_log import hone_log
from fitsolver.plots.rungs import size_ladder
from fitsolver.plots.stage_bars import stage_bars

__all__ = [
    "Drawing",
    "bore_profile",
    "fit_bars",
    "fit_strip",
    "hone_log",
    "inline_profiles",
    "size_ladder",
    "stage_bars",
]
