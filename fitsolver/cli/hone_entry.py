"""Passes asked for at the hone, one after the other; each is on the disk before the next."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

import typer

from fitsolver.base.errors import InputError
from fitsolver.cli.output import say
from fitsolver.doubts.refusal import DoubtedError

if TYPE_CHECKING:
    from fitsolver.cli.hone_screen import EntryScreen
    from fitsolver.records.hone import HoneAnswer, NoHoning
    from fitsolver.usecases.hone_file import HoneFile

#: Said at any question, at the cylinder or its strokes, and at the figures.
_DONE, _BACK, _FULL, _ACCEPT, _NO_MORE = "done", "back", "full", "accept", "."
_KEYS: Final = (
    "Enter takes what stands in [brackets]. 'back' takes the last entry back, 'full' shows every\n"
    "figure, 'done' ends at any question.\n"
    "At the figures: Enter means not read, 'back' one place back, '.' no more figures."
)


class Refused(NamedTuple):
    """An entry as a line of the log, and the ids of the doubts of it that were told."""

    cylinder: str
    line: str
    doubts: tuple[str, ...] = ()


class EntryPrompts:
    """Questions for entries of a log until `done` or the end of the input.

    What was typed last is offered again: stones and temperature for the next pass, all that was
    not itself refused where an entry was. `screen` shows the answers.
    """

    def __init__(self, opened: HoneFile, cylinder: str | None, screen: EntryScreen) -> None:
        self.opened, self.screen = opened, screen
        self.names = opened.machined()
        self.only = cylinder or (self.names[0] if len(self.names) == 1 else None)
        self.answer: HoneAnswer | None = None
        self.cylinder = self.only or ""
        self.added, self.begun = 0, False
        self.strokes: dict[str, str] = {}  # advised for a cylinder, or typed a moment ago
        self.typed: dict[str, str] = {}
        self.doubted: dict[str, str] = {}  # by place, of the entry that was refused
        self.stages: dict[str, str] = {}  # before the hone, by cylinder
        self.refused: Refused | None = None

    def run(self, first: HoneAnswer) -> HoneAnswer:
        """Ask until the end and return the last answer, `first` where nothing was entered."""
        self.answer = first
        self._advise(first)
        say(_KEYS, error=True)
        try:
            while True:
                self._entry()
        except (typer.Abort, KeyboardInterrupt):
            say(f"\n{self._ended()}", error=True)
        return self.answer

    def _ended(self) -> str:
        """Return what the log holds of what was typed."""
        log, many = self.opened.log, self.added
        lost = " What was typed of the next entry is not in it." if self.begun else ""
        if many:
            return f"{many} entr{'y was' if many == 1 else 'ies were'} added to {log}.{lost}"
        return f"No entry was added{f' to {log}' if log.exists() else ''}."

    def _entry(self) -> None:
        """Ask for one entry, or take the last one back."""
        name = self._which()
        passes = self._strokes(name) if name else ""
        try:
            if _ACCEPT in {name, passes} and self.refused is not None:
                name = self.refused.cylinder
                self._write(self.refused)
            elif passes == _BACK:
                self._take_back(name)
            elif name:
                self._enter(name, passes)
        except DoubtedError as error:
            self._doubt(name, error)
        except InputError as error:
            self.refused = None
            say(f"  {error}", error=True)

    def _which(self) -> str:
        """Ask for a cylinder that is honed until one is named; "" once an entry was taken back.

        It is `accept` where an entry that was refused is taken as it is.
        """
        while self.only is None:
            said = self._at_start(f"Cylinder ({', '.join(self.names)})", self.cylinder)
            if said == _ACCEPT and self.refused is not None:
                return said
            try:
                if said == _BACK and said not in self.names:
                    self._take_back(self._last_entered())
                    return ""
                self._refuse_other(said)
            except InputError as error:
                say(f"  {error}", error=True)
                continue
            if said != self.cylinder:  # what stands in brackets is the other cylinder's
                self.typed = {key: self.typed[key] for key in _KEPT if key in self.typed}
                self.doubted = {}
            self.cylinder = said
            return said
        return self.only

    def _last_entered(self) -> str:
        if not self.added:
            raise InputError("of which cylinder? Name it, then 'back' at its strokes")
        return self.cylinder

    def _refuse_other(self, name: str) -> None:
        """Raise InputError for a cylinder that the job does not have, or that is not honed."""
        from fitsolver.reading.hints import unknown

        if name in self.names:
            return
        if any(item.name == name for item in self.opened.job.cylinders):
            raise InputError(
                "the plan leaves this cylinder as it is: nothing to hone",
                field="cylinder",
                found=name,
                allowed=", ".join(self.names),
            )
        raise unknown("cylinder", name, self.names, file="", field="cylinder")

    def _strokes(self, name: str) -> str:
        """Ask for strokes until they are understood, or for `back` or `accept`."""
        if name == _ACCEPT and self.refused is not None:
            return name
        if stage := self.stages.get(name):
            say(f"  {_FIRST.format(name=name, stage=stage)}", error=True)
        while True:
            said = self._at_start("Strokes, or seconds as '35 s'", self.strokes.get(name, ""))
            if said == _BACK or (said == _ACCEPT and self.refused is not None):
                return said
            if not said:
                say("  Type the strokes taken; 0 where readings alone follow.", error=True)
                continue
            try:
                if said != "0":  # none are fine where readings follow
                    self._understood(name, said)
            except InputError as error:
                say(f"  {error}", error=True)
                continue
            return said

    def _at_start(self, question: str, default: str) -> str:
        """Ask before anything of an entry is typed: `full` shows every figure, and asks again."""
        while (said := _ask(question, default)) == _FULL and said not in self.names:
            assert self.answer is not None
            self.screen.full(self.answer)
        return said

    def _enter(self, name: str, passes: str) -> None:
        self.begun, self.refused = True, None
        before = {key: self.typed.get(key, "") for key in _KEPT}
        self.strokes[name] = passes
        for key, question in (("stones", "Stones"), ("warm", "Bore in °C")):
            self.typed[key] = self._field(name, key, question)
        readings = self._figures(name)
        cells = (name, passes, self.typed["stones"], self.typed["warm"], *readings)
        try:
            self._write(Refused(name, _line(*cells)))
        except DoubtedError as error:
            if any(_what(doubt.id, name) == "temperature" for doubt in error.doubts):
                self.typed["warm"] = before["warm"]
            raise

    def _write(self, entry: Refused) -> None:
        """Add an entry to the log, and show what follows from it."""
        self.refused = entry
        self.opened.enter(entry.line, entry.doubts)
        self.refused = None
        of_stage = self.typed.get("stones") == self.stages.get(entry.cylinder)
        kept = _KEPT[1:] if of_stage else _KEPT  # the next stones are no bar
        self.typed = {key: self.typed[key] for key in kept if key in self.typed}
        self.doubted = {}
        self.added += 1
        self._show(entry.cylinder)

    def _doubt(self, name: str, error: DoubtedError) -> None:
        """Tell what is doubted of an entry, and how it is mended or taken as it is."""
        assert self.refused is not None
        ids = tuple(doubt.id for doubt in error.doubts)
        self.refused = self.refused._replace(doubts=(*self.refused.doubts, *ids))
        for doubt in error.doubts:
            what = _what(doubt.id, name)
            named = (
                doubt.id if what is None else f"cylinder {name} {what.replace('/', ' ')}".strip()
            )
            say(f"  Doubted: {named}: {doubt.sentence}.", error=True)
        at = "the strokes" if self.only else "the cylinder or the strokes"
        say(f"  {_MEND.format(at=at)}", error=True)
        self._forget(name, error)

    def _forget(self, name: str, refused: DoubtedError) -> None:
        """Offer nothing again that is doubted."""
        for doubt in refused.doubts:
            what = _what(doubt.id, name)
            if doubt.file or what is None:
                continue  # of an entry before
            if what in {"strokes", "seconds"}:
                self.strokes[name] = ""
            depth, _, axis = what.rpartition("/")
            for place in [*self.typed] if not what else [f"{depth} {axis}"]:
                if place in self.typed and place not in _KEPT:
                    self.doubted[place] = self.typed.pop(place)

    def _field(self, name: str, key: str, question: str) -> str:
        """Ask for stones or temperature until it is understood."""
        while True:
            proposed = self.stages.get(name) if key == "stones" else None
            said = _ask(question, proposed or self.typed.get(key, ""))
            if key == "warm":
                said = said.replace(",", ".")
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
            doubted = f"; doubted: {self.doubted[place]}" if place in self.doubted else ""
            question = f"  {place:<{width}}  (was {was[at]}{doubted})"
            said = _ask(question, self.typed.get(place, "")).replace(",", ".")
            if said == _NO_MORE:
                break
            if said == _BACK:
                at = max(at - 1, 0)
                continue
            if said:
                try:
                    self._understood(name, "0", "", "", f"{place} {said}")
                except InputError as error:
                    self.typed.pop(place, None)
                    say(f"  {error}", error=True)
                    continue
                self.typed[place] = said
            at += 1
        return [f"{place} {self.typed[place]}" for place in places[:at] if place in self.typed]

    def _understood(self, *cells: str) -> None:
        """Raise InputError for invalid cells of an entry."""
        from fitsolver.honing.log_line import parse_entry

        parse_entry(_line(*cells), self.opened.job)

    def _take_back(self, name: str) -> None:
        entry = self.opened.take_back(name)
        say(f"Taken back, and kept in the log as taken back: line {entry.line}.", error=True)
        self._show(name)

    def _show(self, name: str) -> None:
        self.begun = False
        self.answer = self.opened.answer(name)
        self._advise(self.answer)
        self.screen.short(self.answer)

    def _advise(self, answer: HoneAnswer) -> None:
        """Offer the strokes that are advised at the next question: none are 0."""
        for state in answer.cylinders:
            name = state.cylinder
            seconds = " s" if state.counted_in == "seconds" and state.next_count else ""
            self.strokes[name] = f"{state.next_count}{seconds}"
            why = getattr(state.based_on, "why", "")
            self.stages[name] = self.opened.stage_first(name) if why == _STAGE else ""


_STAGE: Final[NoHoning] = "another stage first"
_FIRST: Final = (
    "Cylinder {name}: first the plan's stage '{stage}', which is no honing. The check after it has "
    "0 strokes,\n  and '{stage}' as its stones."
)
_MEND: Final = (
    "Type the entry again: all but what is doubted is offered. Is it right? 'accept', at {at}, "
    "takes it as it was typed."
)
#: What is typed of a pass and offered for the next.
_KEPT: Final = ("stones", "warm")


def _what(doubt: str, name: str) -> str | None:
    """Return what of a cylinder's pass a doubt is of, "" the whole; None of another cylinder's."""
    rest = doubt.partition("/")[2]
    if rest == name:
        return ""
    return rest.removeprefix(f"{name}/") if rest.startswith(f"{name}/") else None


def _line(*cells: str) -> str:
    from fitsolver.honing.log_line import entry_line

    return entry_line(cells)


def _ask(question: str, default: str = "") -> str:
    answer = typer.prompt(question, default=default, show_default=bool(default), err=True)
    if (said := str(answer).strip()) == _DONE:
        raise typer.Abort
    return said
