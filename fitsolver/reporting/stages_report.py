"""The machining plan of a job: where every stage stops, the stages in full, or why nothing fits."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from fitsolver.reporting.answer_view import no_fit_view
from fitsolver.reporting.layout import SCREEN_LINES, lines_of
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.short_answer import status_line
from fitsolver.reporting.stages_short import ahead_view, stages_in_short
from fitsolver.reporting.stages_view import cylinder_stages

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.figures import Figures
    from fitsolver.records.stages import StagesAnswer


def stages_report(
    answer: StagesAnswer, figures: Figures, opened: Opened = WHOLE, used: int = 4
) -> Iterator[RenderableType | Section]:
    """Yield the verdict, where the stages stop, what may go ahead, and every cylinder in full.

    `used` lines of the first screen are taken by what stands above it.
    """
    parts: list[RenderableType] = ["", status_line(answer.status)]
    if answer.cylinders:
        room = None if opened.has("stages") else SCREEN_LINES - used - lines_of(parts)
        parts += stages_in_short(answer, figures, room)
        parts += ahead_view(answer, figures)
    yield from parts
    for plan in answer.cylinders:
        yield Section("stages", cylinder_stages(plan, figures))
    if answer.no_fit is not None:
        yield from no_fit_view(answer.no_fit, opened)
