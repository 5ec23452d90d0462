"""The stages of one bore in their order, each to be ticked off when it is done."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterator
from typing import Final, NamedTuple

from fitsolver.records.figures import NONE, Figures
from fitsolver.records.stages import CylinderStages, StageCut, StagesAnswer
from fitsolver.records.told import dial_reading

_WAITS: Final = "waits for the piston to be measured"


class Stage(NamedTuple):
    """One stage as it is told at the machine; `tick` names it, empty where it has no size yet."""

    name: str
    takes: str
    stop: str
    dial: str
    tick: str
    done: bool


def stages_of(answer: StagesAnswer, cylinder: str, ticks: Collection[str]) -> list[Stage]:
    """Return the stages of a cylinder; those of an unmeasured piston as far as they may go.

    A stage is ticked for the size it goes to: where a new plan has another, it is open again.
    """
    figures = Figures(answer.unit)
    found = [item for item in answer.cylinders if item.cylinder == cylinder]
    return [stage for item in found for stage in _stages(item, figures, ticks)]


def _stages(item: CylinderStages, figures: Figures, ticks: Collection[str]) -> Iterator[Stage]:
    if item.ahead is None:
        for target in item.targets[:1]:
            for cut in target.cuts:
                yield _stage(item, cut, figures, ticks)
        return
    for cut in item.ahead.cuts:
        yield _stage(item, cut, figures, ticks)
    for name in item.ahead.waits:
        yield Stage(name, "", _WAITS, "", "", False)


def _stage(item: CylinderStages, cut: StageCut, figures: Figures, ticks: Collection[str]) -> Stage:
    dial = dial_reading(cut, cut.dial, figures)
    if dial == NONE and cut.dial_on_piston is not None:
        dial = f"{dial_reading(cut, cut.dial_on_piston, figures)} on piston"
    told = f"{item.cylinder}\0{cut.stage}\0{cut.diameter}"
    tick = hashlib.sha256(told.encode()).hexdigest()[:16]
    return Stage(
        cut.stage,
        figures.up(cut.stock),
        figures.aim(cut.diameter, cut.lowest, cut.highest),
        dial,
        tick,
        tick in ticks,
    )
