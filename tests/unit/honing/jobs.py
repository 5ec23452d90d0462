"""The demo pump with a log beside it, and its places."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from fitsolver.records.hone import HoneState, StatedRisk
from tests.unit.cli.run import ROOT

WHOLE = ROOT / "tests" / "format1" / "pump"
DEPTHS, AXES = (8, 18, 28, 62, 74), ("thrust", "pin")


def pump(folder: Path) -> Path:
    """Return the job file of a copy of the demo pump whose job holds every figure."""
    for file in WHOLE.iterdir():
        if file.suffix in (".toml", ".csv"):
            shutil.copy(file, folder / file.name)
    return folder / "job.toml"


def line(
    count: int | str,
    dial: Callable[[int, str], float],
    *,
    cylinder: str = "1",
    stones: str = "180",
    warmth: str = "20",
) -> str:
    """Return a line of a log that reads every deciding place of a pump's cylinder."""
    places = (f"{depth} {axis} {dial(depth, axis):.3f}" for depth in DEPTHS for axis in AXES)
    return ", ".join((cylinder, str(count), stones, warmth, *places))


def flat(dial: float) -> Callable[[int, str], float]:
    """Return a bore that reads the same all over."""
    return lambda _depth, _axis: dial


def stated_largest(state: HoneState) -> int | None:
    """Return the largest local size at the next check (ticks), where a risk is stated for it."""
    return state.based_on.largest if isinstance(state.based_on, StatedRisk) else None
