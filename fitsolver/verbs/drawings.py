"""The drawing of an answer in a unit (None: its own), or None where there is nothing to draw."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fitsolver.plots import Drawing, fit_bars, fit_strip, hone_log, size_ladder, stage_bars

if TYPE_CHECKING:
    from fitsolver.base.lengths import Unit
    from fitsolver.records.hone import HoneAnswer
    from fitsolver.records.ladder import LadderAnswer
    from fitsolver.records.plan import Answer
    from fitsolver.records.stages import StagesAnswer


#: Cylinders whose fits are drawn row by row, with all their figures.
MOST_IN_FULL: Final = 4


def fits_of(answer: Answer, unit: Unit | None = None) -> Drawing | None:
    """Return the drawing of every fit in its window; of more than four cylinders side by side."""
    if answer.plan is None:
        return None
    if len(answer.plan.cylinders) > MOST_IN_FULL:
        return fit_strip(answer.plan, unit or answer.unit, answer.job)
    return fit_bars(answer.plan, unit or answer.unit, answer.job)


def stages_of(answer: StagesAnswer, unit: Unit | None = None) -> Drawing | None:
    """Return the drawing of the stages."""
    return stage_bars(answer, unit) if answer.cylinders else None


def sizes_of(answer: LadderAnswer, unit: Unit | None = None) -> Drawing | None:
    """Return the drawing of the larger sizes left."""
    return size_ladder(answer, unit)


def log_of(answer: HoneAnswer, unit: Unit | None = None) -> Drawing | None:
    """Return the drawing of the log of passes."""
    return hone_log(answer, unit) if answer.cylinders else None
