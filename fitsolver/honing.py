"""A job at the hone: its targets, its log, what the log says, and a new entry."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from fitsolver import __version__
from fitsolver.at_hone.checks import checks_of
from fitsolver.at_hone.first import Paces, paces_of
from fitsolver.at_hone.log import Entry, append_entry, parse_entry, read_log
from fitsolver.at_hone.state import Next, Target, hone_state, reread, target_of
from fitsolver.errors import InputError
from fitsolver.parts_arrived import unpinned
from fitsolver.reading.hints import unknown
from fitsolver.records.hone import HoneAnswer, HonePass, HoneState
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import Answer, Plan


@dataclass(frozen=True)
class Hone:
    """A job with its plan, beside its log. `again` picks anew for a changed job."""

    job: Job
    plan: Plan
    log: Path
    risk: float
    again: Callable[[Job], Answer]

    def answer(self, cylinder: str | None = None, stones: str | None = None) -> HoneAnswer:
        """Return where every cylinder stands that the log speaks of, or the one named.

        Without entries all that the plan machines. `stones` are those to be used next, where they
        are others than at the last check. Raises InputError for a log that cannot be
        understood, with its line, and for a cylinder that is not honed.
        """
        log = read_log(self.log, self.job)
        entries: dict[str, list[Entry]] = defaultdict(list)
        for entry in log.entries:
            entries[entry.done.cylinder].append(entry)
        names = self._names(cylinder, entries)
        ahead = Next(self.risk, stones, self._paces(entries))
        states = tuple(self._state(name, entries[name], ahead) for name in names)
        cautions = [caution for state in states for caution in state.cautions]
        if log.torn:
            cautions.insert(
                0,
                f"The last line of the log was cut off and is not counted: {log.torn[:80]!r}. "
                "Enter it again; it is kept aside.",
            )
        large = any(state.advice == "too large" for state in states)
        now = self._as_honed(entries) if large else None
        repick = None if now is None else self.again(now)
        other = None if now is None or repick is None else self._with_other_parts(now, repick)
        return HoneAnswer(
            program_version=__version__,
            job=self.job.name,
            unit=self.job.unit,
            log=self.log.name,
            risk=self.risk,
            cylinders=states,
            repick=repick,
            other_parts=other,
            cautions=tuple(cautions),
        )

    def machined(self) -> list[str]:
        """Return the cylinders that the plan has honed, in the job's order."""
        return [item.cylinder for item in self.plan.cylinders if item.machined]

    def enter(self, line: str) -> HonePass:
        """Add one entry to the log, once it is understood, and return it.

        Raises InputError, and writes nothing, for an entry that cannot be so.
        """
        done = parse_entry(line, self.job)
        before = [
            entry
            for entry in read_log(self.log, self.job).entries
            if entry.done.cylinder == done.cylinder
        ]
        self._state(done.cylinder, [*before, Entry(0, done)], Next(self.risk))
        append_entry(self.log, line)
        return done

    def _names(self, cylinder: str | None, entries: dict[str, list[Entry]]) -> list[str]:
        every = [item.name for item in self.job.cylinders]
        if cylinder is None:
            return [name for name in every if name in entries] or self.machined()
        if cylinder not in every:
            raise unknown("cylinder", cylinder, every, file=self.job.name, field="cylinder")
        return [cylinder]

    def _state(self, name: str, entries: Sequence[Entry], ahead: Next) -> HoneState:
        cylinder, target = self._cylinder(name), self._target(name)
        return hone_state(self.job, cylinder, target, entries, ahead, str(self.log))

    def _paces(self, entries: dict[str, list[Entry]]) -> Paces:
        """Return how fast stones were in any cylinder of the log."""
        return paces_of(
            checks_of(self.job, item, entries[item.name], str(self.log))
            for item in self.job.cylinders
            if item.name in entries and item.readings
        )

    def _cylinder(self, name: str) -> Cylinder:
        cylinder = next(item for item in self.job.cylinders if item.name == name)
        if not cylinder.readings:
            raise InputError("the bore has no readings to start from", row=f"cylinder {name}")
        return cylinder

    def _target(self, name: str) -> Target:
        return target_of(next(item for item in self.plan.cylinders if item.cylinder == name))

    def _with_other_parts(self, now: Job, repick: Answer) -> Answer | None:
        """Return the pick with no part pinned, where the pinned ones leave none and it has one."""
        free = freed(now, self.plan)
        if repick.plan is not None or free == now:
            return None
        other = self.again(free)
        return None if other.plan is None else other

    def _as_honed(self, entries: dict[str, list[Entry]]) -> Job:
        cylinders = tuple(
            reread(item, checks_of(self.job, item, entries[item.name], str(self.log)))
            if entries.get(item.name)
            else item
            for item in self.job.cylinders
        )
        return self.job.model_copy(update={"cylinders": cylinders})


def freed(job: Job, plan: Plan) -> Job:
    """Return a job without pinned parts; a piston that was measured is then one in hand."""
    free = unpinned(job, plan)
    cylinders = tuple(
        item.model_copy(update={"rings": (), **({} if item.piston_kept else {"piston": None})})
        for item in free.cylinders
    )
    return free.model_copy(update={"cylinders": cylinders})
