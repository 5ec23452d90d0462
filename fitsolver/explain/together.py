"""Combinations of each cylinder's smallest change that open the whole job.

With one step less of its own change a failing cylinder stays infeasible: so every step of a
combination is necessary.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from typing import Final

from fitsolver.explain.openings import Change
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.rules import ChangeKind
from fitsolver.records.why import Opening
from fitsolver.solving.few import fits
from fitsolver.solving.problem import Problem, problem

#: The most combinations tried, each by a solve of the whole job; fewer where pistons times
#: cylinders is large.
_MOST_TRIED: Final = 8
_ROWS: Final = 10_000
#: Parts to order: one size for all is tried first, the largest that any cylinder needs.
_FOR_ALL: Final[tuple[ChangeKind, ...]] = ("piston", "ring")


def together(task: Problem, found: Mapping[str, Sequence[Change]]) -> Iterator[Opening]:
    """Yield the combinations of one change a cylinder that open the whole job."""
    for chosen in combinations(task, found):
        yield Opening(
            kind="several",
            by=len(chosen),
            measure="none",
            opens_job=True,
            sentence=_sentence(chosen),
        )


def combinations(
    task: Problem, found: Mapping[str, Sequence[Change]]
) -> Iterator[dict[str, Change]]:
    """Yield the combinations of one change a cylinder that open the job.

    `found` has the changes of every cylinder that fails by itself. Combinations of the same kind of
    change in all cylinders come first; the first change of each cylinder is tried only where none
    of these opens the job.
    """
    if len(found) < 2 or not all(found.values()):
        return
    rows = max(1, len(task.catalogue.pistons) * len(task.cylinders))
    tried = max(1, min(_MOST_TRIED, _ROWS // rows))
    opened: set[str] = set()
    for what, chosen in islice(_combinations(found), tried):
        if what in opened or (not what and opened):
            continue
        if fits(problem(*made(task, chosen))):
            opened.add(what)
            yield chosen


def made(task: Problem, chosen: Mapping[str, Change]) -> tuple[Job, Catalogue]:
    """Return the job and the catalogue with the changes of several cylinders."""
    job, catalogue = task.job, task.catalogue
    for change in dict.fromkeys(chosen.values()):
        job, catalogue = change.make(job, catalogue)
    return job, catalogue


def _combinations(
    found: Mapping[str, Sequence[Change]],
) -> Iterator[tuple[str, dict[str, Change]]]:
    """Yield what is changed and the change of each cylinder; no word for changes that differ."""
    changes = {name: {change.what: change for change in each} for name, each in found.items()}
    first = next(iter(changes.values()))
    for what in first:
        if all(what in each for each in changes.values()):
            same = {name: each[what] for name, each in changes.items()}
            if all(each.kind in _FOR_ALL and each.measure == "ticks" for each in same.values()):
                largest = max(same.values(), key=lambda change: change.by)
                yield what, dict.fromkeys(same, largest)
            yield what, same
    yield "", {name: each[0] for name, each in found.items()}


def _sentence(chosen: Mapping[str, Change]) -> str:
    names: dict[str, list[str]] = {}
    for name, change in chosen.items():
        names.setdefault(change.sentence, []).append(name)
    said = [
        f"cylinder{'s' if len(each) > 1 else ''} {', '.join(each)}: {sentence}"
        for sentence, each in names.items()
    ]
    return "together: " + "; ".join(said)
