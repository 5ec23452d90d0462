"""Passes asked for at the hone, one after the other; each is on the disk before the next."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

import typer

from fitsolver.base.errors import InputError
from fitsolver.cli.output import say

if TYPE_CHECKING:
    from fitsolver.base.lengths import Unit
    from fitsolver.records.hone import HoneAnswer, HoneState
    from fitsolver.usecases.hone_file import HoneFile

#: Said at any question.
_DONE, _BACK, _NO_MORE = "done", "back", "."
_KEYS: Final = (
    "Enter takes what stands in [brackets]. 'back' takes the last entry back, 'done' ends.\n"
    "At the figures: Enter means not read, 'back' one place back, '.' no more figures."
)


class EntryPrompts:
    """Questions for entries of a log until `done` or the end of the input.

    What was typed last is offered again: stones and temperature for the next pass, everything
    where an entry was refused. `report` shows an answer on the screen.
    """

    def __init__(
        self,
        opened: HoneFile,
        cylinder: str | None,
        report: Callable[[HoneAnswer], None],
        unit: Unit | None = None,
    ) -> None:
        self.opened, self.report, self.unit = opened, report, unit
        names = opened.machined()
        self.only = cylinder or (names[0] if len(names) == 1 else None)
        self.answer: HoneAnswer | None = None
        self.cylinder = self.only or ""
        self.strokes: dict[str, str] = {}  # advised for a cylinder, or refused a moment ago
        self.typed: dict[str, str] = {}
        self.states: dict[str, HoneState] = {}

    def run(self, first: HoneAnswer) -> HoneAnswer:
        """Ask until the end and return the last answer, `first` where nothing was entered."""
        self._advise(first)
        say(_KEYS, error=True)
        try:
            while self._entry():
                pass
        except (typer.Abort, KeyboardInterrupt):
            say("", error=True)
        if self.answer is not None:
            say(f"Every entry that was answered is in {self.opened.log}.", error=True)
        return self.answer or first

    def _on_top(self) -> None:
        """Say where every cylinder stands, above the questions, where a report has gone by."""
        from fitsolver.records.figures import Figures
        from fitsolver.reporting.hone_view import on_top

        if len(self.states) > 1:
            unit = self.unit or self.opened.job.unit
            for line in on_top(tuple(self.states.values()), Figures(unit)):
                say(line, error=True)

    def _entry(self) -> bool:
        """Ask for one entry; tell whether to go on."""
        self._on_top()
        name = self.only or _ask("Cylinder", self.cylinder)
        if name in {_DONE, ""}:
            return False
        if name not in self.opened.machined():
            known = ", ".join(self.opened.machined())
            say(f"  no cylinder that is machined: {name}; allowed: {known}", error=True)
            return True
        passes = _ask("Strokes, or seconds as '35 s'", self.strokes.get(name, ""))
        if passes in {_DONE, ""}:
            return False
        self.cylinder = name
        try:
            if passes == _BACK:
                self._take_back(name)
            else:
                self._enter(name, passes)
        except InputError as error:
            say(f"  {error}", error=True)
        return True

    def _enter(self, name: str, passes: str) -> None:
        if passes != "0":  # none are fine where readings follow
            self._understood(name, passes)
        self.strokes[name] = passes
        for key, question in (("stones", "Stones"), ("warm", "Bore in °C")):
            self.typed[key] = self._field(name, key, question)
        readings = self._figures(name)
        self.opened.enter(_line(name, passes, self.typed["stones"], self.typed["warm"], *readings))
        self.typed = {key: self.typed[key] for key in ("stones", "warm")}
        self._show(name)

    def _field(self, name: str, key: str, question: str) -> str:
        """Ask for stones or temperature until it is understood."""
        while True:
            said = _ask(question, self.typed.get(key, ""))
            try:
                self._understood(name, "1", *(("", said) if key == "warm" else (said,)))
            except InputError as error:
                say(f"  {error}", error=True)
                continue
            return said

    def _figures(self, name: str) -> list[str]:
        """Ask for a figure at each place of the last check, in its order; return the readings."""
        from fitsolver.base.lengths import exact_text

        unit = self.opened.job.unit
        last = self.opened.last_places(name)
        places = [f"{exact_text(reading.depth, unit)} {reading.axis}" for reading in last]
        was = [exact_text(r.size if r.dial is None else r.dial, unit) for r in last]
        width = max(map(len, places))
        at = 0
        while at < len(places):
            place = places[at]
            said = _ask(f"  {place:<{width}}  (was {was[at]})", self.typed.get(place, ""))
            if said == _NO_MORE:
                break
            if said == _BACK:
                at = max(at - 1, 0)
                continue
            self.typed.pop(place, None)
            if said:
                self.typed[place] = said
                try:
                    self._understood(name, "0", "", "", f"{place} {said}")
                except InputError as error:
                    say(f"  {error}", error=True)
                    continue
            at += 1
        return [f"{place} {self.typed[place]}" for place in places[:at] if place in self.typed]

    def _understood(self, *cells: str) -> None:
        """Raise InputError for invalid cells of an entry."""
        from fitsolver.honing.log import parse_entry

        parse_entry(_line(*cells), self.opened.job)

    def _take_back(self, name: str) -> None:
        entry = self.opened.take_back(name)
        say(f"Taken back, and kept in the log as taken back: line {entry.line}.", error=True)
        self._show(name)

    def _show(self, name: str) -> None:
        self.answer = self.opened.answer(name)
        self._advise(self.answer)
        self.report(self.answer)

    def _advise(self, answer: HoneAnswer) -> None:
        """Offer the strokes that are advised at the next question."""
        for state in answer.cylinders:
            self.states[state.cylinder] = state
            seconds = " s" if state.counted_in == "seconds" else ""
            advised = f"{state.next_count}{seconds}" if state.next_count else ""
            self.strokes[state.cylinder] = advised


def _line(*cells: str) -> str:
    from fitsolver.honing.log import entry_line

    return entry_line(cells)


def _ask(question: str, default: str = "") -> str:
    answer = typer.prompt(question, default=default, show_default=bool(default), err=True)
    return str(answer).strip()
