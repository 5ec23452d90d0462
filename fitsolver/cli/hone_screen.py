"""The screen while passes are entered: short, so that the questions stay in sight."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.cli.output import show

if TYPE_CHECKING:
    from fitsolver.base.lengths import Unit
    from fitsolver.records.hone import HoneAnswer, HoneState


class EntryScreen:
    """Shows answers one after the other, in `unit` or their own; what was said is not repeated."""

    def __init__(self, unit: Unit | None) -> None:
        self.unit = unit
        self.said: set[str] = set()
        self.states: dict[str, HoneState] = {}

    def short(self, answer: HoneAnswer) -> None:
        """Show the line of each cylinder and what is new; all of it where parts are picked anew."""
        from fitsolver.records.figures import Figures
        from fitsolver.reporting.hone_view import entry_view
        from fitsolver.reporting.layout import Page

        self.states |= {state.cylinder: state for state in answer.cylinders}
        if answer.repick is not None:
            self.full(answer)
        else:
            figures, every = Figures(self.unit or answer.unit), [*self.states.values()]
            show(Page(*entry_view(answer, figures, every, self.said)))
        self._keep(answer)

    def full(self, answer: HoneAnswer) -> None:
        """Show the report with every figure."""
        from fitsolver.reporting.sections import Opened
        from fitsolver.verbs.report import report

        show(report(answer, self.unit, Opened()))

    def _keep(self, answer: HoneAnswer) -> None:
        """Remember what was said: a caution that went, and comes back, is told again."""
        shown = tuple(f"Cylinder {state.cylinder}: " for state in answer.cylinders)
        gone = {s for s in self.said if s.startswith(shown) and s not in answer.cautions}
        self.said = (self.said - gone) | {*answer.cautions}
