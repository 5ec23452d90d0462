"""A job at the hone with its log in a file: read before every answer, and only ever added to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from fitsolver.honing.log import Entry, append_entry, log_text, parse_log, taking_back
from fitsolver.records.hone import HoneAnswer, HonePass
from fitsolver.records.job import Job
from fitsolver.records.readings import Reading
from fitsolver.usecases.honing import Hone


@dataclass(frozen=True)
class HoneFile:
    """A job at the hone (`begun`, its log not read yet), and the file of its log."""

    begun: Hone
    log: Path

    @property
    def job(self) -> Job:
        """The job whose bores are honed."""
        return self.begun.job

    def now(self) -> Hone:
        """Return the job at the hone with its log as the file has it now.

        Raises InputError where nothing is honed, and for a file that cannot be read.
        """
        self.begun.refuse_nothing_to_hone()
        return replace(self.begun, log=log_text(self.log))

    def answer(self, cylinder: str | None = None, stones: str | None = None) -> HoneAnswer:
        """Return where the bores stand by the log; see `Hone.answer`."""
        return self.now().answer(cylinder, stones)

    def machined(self) -> list[str]:
        """Return the cylinders that the plan has honed, in the job's order."""
        return self.begun.machined()

    def stage_first(self, cylinder: str) -> str:
        """Return the plan's stage before the hone, by which its check is entered; "" for none."""
        return self.begun.stage_first(cylinder)

    def enter(self, line: str, accept: Sequence[str] = ()) -> HonePass:
        """Add one entry to the log, once it is understood, and return it.

        `accept` are the ids of doubts of it that are taken; the log keeps them behind the entry.
        Raises InputError, and writes nothing, for an entry that cannot be so or whose readings are
        doubted.
        """
        now = self.now()
        done, accepted = replace(now, accept=(*now.accept, *accept)).entered(line)
        append_entry(self.log, line, accepted)
        return done

    def take_back(self, cylinder: str) -> Entry:
        """Add to the log that the last entry of a cylinder is taken back, and return that entry.

        Both stay in the log. Raises InputError, and writes nothing, where no entry is left.
        """
        log, line = self.now().log, taking_back(cylinder)
        after = parse_log(log._replace(content=log.whole + line.encode() + b"\n"), self.job)
        append_entry(self.log, line)
        return next(entry for entry in after.taken_back if entry.done.cylinder == cylinder)

    def last_places(self, cylinder: str) -> list[Reading]:
        """Return what was read last of a cylinder, in that order: of the log, else of the job."""
        entries = parse_log(log_text(self.log), self.job).entries
        read = [e.done.readings for e in entries if e.done.cylinder == cylinder]
        own = next(item.readings for item in self.job.cylinders if item.name == cylinder)
        return list(next((found for found in reversed(read) if found), own))

    def keep_accepted(self) -> None:
        """Write the doubts that are accepted by name into the log, so that they stay accepted.

        Raises InputError, and writes nothing, for an id that no doubt of the log has.
        """
        if new := self.now().newly_accepted():
            append_entry(self.log, "", new)
