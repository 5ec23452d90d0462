"""The machining plan of a job: every cylinder in its stages, or why nothing fits."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from fitsolver.reporting.answer_view import no_fit_view
from fitsolver.reporting.stages_view import cylinder_stages

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.figures import Figures
    from fitsolver.records.stages import StagesAnswer


def stages_report(answer: StagesAnswer, figures: Figures) -> Iterator[RenderableType]:
    """Yield the stages of every cylinder, or the reasons."""
    for plan in answer.cylinders:
        yield from cylinder_stages(plan, figures)
    if answer.no_fit is not None:
        yield from no_fit_view(answer.no_fit)
