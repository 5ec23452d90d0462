"""A job at the hone: its targets, its log, the state by the log, and a new entry."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import PurePath

from fitsolver.base.errors import InputError
from fitsolver.doubts.refusal import refusal
from fitsolver.honing.checks import Check, count_since, was_restored
from fitsolver.honing.doubts import judged
from fitsolver.honing.first import paces_of
from fitsolver.honing.log import Entry, Log, LogText, parse_log
from fitsolver.honing.log_line import parse_entry
from fitsolver.honing.start import Start
from fitsolver.honing.state import Next, hone_state, reread, target_of
from fitsolver.planning.stages import cut_before_honing, no_honing
from fitsolver.reading.hints import unknown
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.doubts import Doubt
from fitsolver.records.heading import job_head
from fitsolver.records.hone import HoneAnswer, HonePass
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import Answer, CylinderPlan, Plan
from fitsolver.usecases.parts_arrived import unpinned

Entries = dict[str, list[Entry]]


@dataclass(frozen=True)
class Hone:
    """A job with its plan and its log as text. `again` picks anew for a changed job.

    Nothing is read from a file here, nor written to one (see `fitsolver.usecases.hone_file`).
    `catalogue` has the plan's routes and their stages. `accept` are the ids of doubts that are
    accepted here and now, beside those of the job and of the log.
    """

    job: Job
    plan: Plan
    catalogue: Catalogue
    log: LogText
    risk: float
    again: Callable[[Job], Answer]
    accept: Sequence[str] = field(default=())

    def answer(self, cylinder: str | None = None, stones: str | None = None) -> HoneAnswer:
        """Return the state of every cylinder in the log, or of the named one.

        An empty log gives all cylinders that the plan machines. `stones` are those to be used next,
        where they are others than at the last check. Raises InputError for a log that cannot be
        understood, with its line, for readings of it that are doubted, for a cylinder that is not
        honed, and for a job in which none is.
        """
        self.refuse_nothing_to_hone()
        log = parse_log(self.log, self.job)
        entries = _by_cylinder(log.entries)
        checks = self._checks(entries, self._accepted(log))
        names = self._names(cylinder, entries)
        paces = paces_of(checks.values())
        seen = {
            name: paces_of(found for other, found in checks.items() if other != name)
            for name in names
        }
        states = tuple(
            hone_state(
                self.job,
                self._cylinder(name),
                target_of(self._planned(name), self._start(name).cut_before_log),
                checks.get(name) or self._begun(name),
                count_since(checks[name], entries[name], self._start(name))
                if name in checks
                else 0,
                Next(self.risk, stones, paces, seen[name]),
            )
            for name in names
        )
        cautions = [caution for state in states for caution in state.cautions]
        if log.torn:
            cautions.insert(
                0,
                f"The last line of the log was cut off and is not counted: {log.torn[:80]!r}. "
                "Enter it again; it is kept aside.",
            )
        cautions += [_taken_back(entry) for entry in log.taken_back]
        large = any(state.advice == "too large" for state in states)
        repick, other = self._picked_again(checks) if large else (None, None)
        cautions += [] if repick is None else self._restored_again(repick, checks)
        return HoneAnswer(
            **job_head(self.job),
            log=PurePath(self.log.file).name,
            risk=self.risk,
            cylinders=states,
            repick=repick,
            other_parts=other,
            cautions=tuple(cautions),
        )

    def machined(self) -> list[str]:
        """Return the cylinders that the plan has honed, in the job's order."""
        return [item.cylinder for item in self.plan.cylinders if item.machined]

    def stage_first(self, cylinder: str) -> str:
        """Return the stage of the plan before the hone, which is no honing; "" where none is."""
        return self._start(cylinder).cut_before_log or ""

    def entered(self, line: str) -> tuple[HonePass, tuple[str, ...]]:
        """Return the pass that a new line of the log tells of, and the accepted doubts of the log.

        Their ids are kept in the log, behind the line. Raises InputError for an entry that
        cannot be so or whose readings are doubted.
        """
        self.refuse_nothing_to_hone()
        done = parse_entry(line, self.job)
        log = parse_log(self.log, self.job)
        target_of(self._planned(done.cylinder))
        entries = _by_cylinder([*log.entries, Entry(0, done)])
        accepted = self._accepted(log)
        self._checks(entries, accepted)
        return done, tuple(d.id for d in self._doubts(entries, log.accepted) if d.id in accepted)

    def as_honed(self) -> Job:
        """Return the job with every bore that was honed as the log leaves it.

        Raises InputError for a log that cannot be understood, or whose readings are doubted.
        """
        log = parse_log(self.log, self.job)
        return self._as_honed(self._checks(_by_cylinder(log.entries), self._accepted(log)))

    def newly_accepted(self) -> list[str]:
        """Return the doubts that `accept` names and the log does not hold as accepted yet.

        Raises InputError for an id that no doubt of the log has.
        """
        log = parse_log(self.log, self.job)
        doubted = {doubt.id for doubt in self._doubts(_by_cylinder(log.entries), frozenset())}
        for name in self.accept:
            if name.startswith("pass ") and name not in doubted:
                raise InputError(
                    "no figure of the log is doubted by this name",
                    file=self.log.file,
                    field="accept",
                    found=name,
                    allowed=", ".join(sorted(doubted)) or "nothing: no figure is doubted",
                )
        return [name for name in self.accept if name in doubted and name not in log.accepted]

    def _accepted(self, log: Log) -> frozenset[str]:
        return log.accepted | {*self.job.accept} | {*self.accept}

    def refuse_nothing_to_hone(self) -> None:
        """Raise InputError for finished bores, and for a plan that machines none."""
        if self.job.finishing == "already finished":
            raise InputError(
                "the bores of this job are already finished: nothing is honed, `fitsolver final` "
                "judges them",
                file=self.job.name,
                field="how",
                found=self.job.finishing,
                allowed="a job whose bores are still to be finished",
            )
        if not self.machined():
            raise InputError(
                "the plan leaves every cylinder as it is: nothing is honed", file=self.job.name
            )

    def _names(self, cylinder: str | None, entries: Entries) -> list[str]:
        every = [item.name for item in self.job.cylinders]
        if cylinder is None:
            return [name for name in every if name in entries] or self.machined()
        if cylinder not in every:
            raise unknown("cylinder", cylinder, every, file=self.job.name, field="cylinder")
        return [cylinder]

    def _checks(self, entries: Entries, accepted: frozenset[str]) -> dict[str, list[Check]]:
        """Return the checks of every cylinder of the log; refuse all that is doubted at once."""
        found, doubts = {}, []
        for name in entries:
            found[name], doubted = self._judged(name, entries[name], accepted)
            doubts += doubted
        if doubts:
            raise refusal(doubts)
        return found

    def _doubts(self, entries: Entries, accepted: frozenset[str]) -> list[Doubt]:
        """Return every doubt of the log that can be met: an accepted one shows those behind it."""
        named = accepted
        found: list[Doubt] = []
        while True:
            new = [d for name in entries for d in self._judged(name, entries[name], named)[1]]
            if not new:
                return found
            found += new
            named |= {doubt.id for doubt in new}

    def _judged(
        self, name: str, entries: Sequence[Entry], accepted: frozenset[str]
    ) -> tuple[list[Check], list[Doubt]]:
        cylinder, start = self._cylinder(name), self._start(name)
        return judged(self.job, cylinder, entries, self.log.file, start, accepted)

    def _begun(self, name: str) -> list[Check]:
        return self._judged(name, (), frozenset())[0]

    def _start(self, name: str) -> Start:
        plan = self._planned(name)
        restores = {r.name.lower() for r in self.catalogue.routes if r.kind == "restore"}
        bore = None
        if plan.restored and plan.stock_tightest is not None:
            bore = plan.finish_large - plan.stock_tightest
        return Start(
            bars=frozenset(stage.lower() for stage in no_honing(self.catalogue)),
            restores=frozenset(restores),
            cut_before_log=cut_before_honing(plan, self.catalogue),
            restored_bore=bore,
            high=None if plan.highest is None else plan.highest + plan.half_width,
        )

    def _cylinder(self, name: str) -> Cylinder:
        cylinder = next(item for item in self.job.cylinders if item.name == name)
        if not cylinder.readings:
            raise InputError("the bore has no readings to start from", row=f"cylinder {name}")
        return cylinder

    def _planned(self, name: str) -> CylinderPlan:
        return next(item for item in self.plan.cylinders if item.cylinder == name)

    def _picked_again(self, checks: dict[str, list[Check]]) -> tuple[Answer, Answer | None]:
        """Return the pick for the bores as they are now and, where the pinned parts leave none,
        the one with no part pinned.

        A bore that was restored is restored once more only where nothing else serves.
        """
        now = self._as_honed(checks)
        kept = self._not_restored_again(now, checks)
        first = self.again(kept)
        if first.plan is not None:
            return first, None
        free = freed(kept, self.plan)
        other = None if free == kept else self.again(free)
        if other is not None and other.plan is not None:
            return first, other
        last = first if now == kept else self.again(now)
        return (first if last.plan is None else last), None

    def _restored_again(self, repick: Answer, checks: dict[str, list[Check]]) -> list[str]:
        """Return a caution for each bore restored once more because nothing else serves."""
        planned = () if repick.plan is None else repick.plan.cylinders
        return [
            f"Cylinder {item.cylinder}: it has its new bore already, and nothing but another "
            f"'{item.route}' serves now."
            for item in planned
            if item.restored
            and len(checks.get(item.cylinder, ())) > 1
            and was_restored(checks[item.cylinder], self._start(item.cylinder))
        ]

    def _not_restored_again(self, job: Job, checks: dict[str, list[Check]]) -> Job:
        """Return a job in which no bore with a new sleeve gets another."""
        kinds = {route.name: route.kind for route in self.catalogue.shop_routes}
        cuts = [name for name in kinds if kinds[name] != "restore"]
        cylinders = []
        for item in job.cylinders:
            log = checks.get(item.name, [])
            changed: dict[str, object] = {}
            if len(log) > 1 and was_restored(log, self._start(item.name)):
                listed = [name for name in item.routes or job.routes if name in cuts]
                pinned = item.route if item.route in cuts else None
                changed = {"routes": tuple(listed or cuts), "route": pinned}
            cylinders.append(item.model_copy(update=changed))
        return job.model_copy(update={"cylinders": tuple(cylinders)})

    def _as_honed(self, checks: dict[str, list[Check]]) -> Job:
        cylinders = tuple(
            reread(item, checks[item.name], self._start(item.name))
            if len(checks.get(item.name, ())) > 1
            else item
            for item in self.job.cylinders
        )
        return self.job.model_copy(update={"cylinders": cylinders})


def _taken_back(entry: Entry) -> str:
    done = entry.done
    taken = f"{done.count} {done.counted_in}, {len(done.readings)} readings"
    return (
        f"Cylinder {done.cylinder}: its last entry was taken back (line {entry.line}: {taken}). "
        "Strokes that were really taken must be entered again."
    )


def freed(job: Job, plan: Plan) -> Job:
    """Return a job without pinned parts; a piston that was measured is then one in hand."""
    free = unpinned(job, plan)
    cylinders = tuple(
        item.model_copy(update={"rings": (), **({} if item.piston_kept else {"piston": None})})
        for item in free.cylinders
    )
    return free.model_copy(update={"cylinders": cylinders})


def _by_cylinder(entries: Iterable[Entry]) -> Entries:
    found: Entries = defaultdict(list)
    for entry in entries:
        found[entry.done.cylinder].append(entry)
    return dict(found)
