"""Drawings of the demo jobs, and what an SVG file of them says."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Final
from xml.etree import ElementTree

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from fitsolver import plots
from fitsolver.picking.ready import made_ready
from fitsolver.planning.stages import in_stages
from fitsolver.plots import Drawing
from fitsolver.records.hone import HoneAnswer
from fitsolver.records.job import Job
from fitsolver.records.ladder import LadderAnswer
from fitsolver.records.stages import StagesAnswer
from fitsolver.usecases import files as service
from fitsolver.usecases.loading import load
from tests.unit.reporting.demos import DEMOS, picked, planned

SVG: Final = "{http://www.w3.org/2000/svg}"
PLANNED: Final = ("pump/job", "launch/job", "brushsaw/job")
#: Invented passes of the pump's first cylinder: depth, axis, dial.
LOG: Final = """\
1, 10, 180, 22, 8 thrust 0.106, 8 pin 0.104, 18 thrust 0.104, 18 pin 0.102, 28 thrust 0.101, \
28 pin 0.100, 62 thrust 0.100, 62 pin 0.099, 74 thrust 0.099, 74 pin 0.098
1, 50, 180, 27, 8 thrust 0.180, 8 pin 0.179, 18 thrust 0.179, 18 pin 0.178, 28 thrust 0.178, \
28 pin 0.177, 62 thrust 0.177, 62 pin 0.176, 74 thrust 0.176, 74 pin 0.176
"""


def path(job: str) -> Path:
    return DEMOS / f"{job}.toml"


@cache
def ready(job: str) -> Job:
    """The job with its readings at 20 °C."""
    return made_ready(*load(path(job))).job


@cache
def staged(job: str) -> StagesAnswer:
    return in_stages(picked(job), load(path(job))[1])


@cache
def laddered(job: str) -> LadderAnswer:
    return service.ladder(path(job))


def honed(folder: Path, text: str = LOG) -> HoneAnswer:
    log = folder / "job.hone"
    log.write_text(text, encoding="utf-8")
    return service.hone(path("pump/job"), log=log)


def profile(job: str) -> Drawing:
    return drawing_of("profile", job)


def bars(job: str) -> Drawing:
    return drawing_of("fits", job)


MAKERS: Final[dict[str, Callable[[str], Drawing]]] = {
    "profile": lambda job: plots.bore_profile(ready(job), picked(job).forms, picked(job).plan),
    "measured": lambda job: plots.bore_profile(ready(job), picked(job).forms),
    "fits": lambda job: plots.fit_bars(planned(job), picked(job).unit, picked(job).job),
    "stages": lambda job: plots.stage_bars(staged(job)),
    "ladder": lambda job: plots.size_ladder(laddered(job)),
}


@cache
def drawing_of(kind: str, job: str) -> Drawing:
    return MAKERS[kind](job)


DRAWN: Final = tuple(MAKERS)


def words(svg: bytes | str) -> str:
    """All text that an SVG file shows or tells."""
    return " ".join("".join(node.itertext()) for node in ElementTree.fromstring(svg).iter())


def shown(drawing: Drawing) -> list[str]:
    """The texts that a drawing shows, as they stand."""
    tree = ElementTree.fromstring(drawing.svg())
    return ["".join(node.itertext()).strip() for node in tree.iter(f"{SVG}text")]


def references(svg: str) -> tuple[list[str], set[str]]:
    """The ids in an SVG element, and the ids it refers to."""
    ids = re.findall(r'\bid="([^"]+)"', svg)
    used = re.findall(r'url\(#([^)]+)\)|href="#([^"]+)"', svg)
    return ids, {first or second for first, second in used}


def boxes(axes: Axes) -> list[Rectangle]:
    return [patch for patch in axes.patches if isinstance(patch, Rectangle)]
