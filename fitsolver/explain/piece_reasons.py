"""Why a measured piece cannot serve the place that its number was ordered for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from fitsolver.choices.demands import OF_RINGS
from fitsolver.choices.options import choices
from fitsolver.choices.parts import Candidate, RingCandidate, Shelf
from fitsolver.explain.nearest import nearest
from fitsolver.explain.sentences import describe
from fitsolver.records.base import RULES
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import NoFit, Reason
from fitsolver.solving.possible import OWN_RULES, alone, conflict
from fitsolver.solving.problem import Problem, problem


def true_reasons(job: Job, catalogue: Catalogue, told: NoFit) -> tuple[Reason, ...]:
    """Return why a job has no plan; the fit of a measured piece replaces its shortage.

    `job` is at 20 °C and pins every place to the number ordered for it.
    """
    lacking = [reason for reason in told.reasons if reason.rule == "availability"]
    pieces = piece_reasons(job, catalogue) if lacking else ()
    return (*pieces, *(item for item in told.reasons if not pieces or item not in lacking))


def piece_reasons(job: Job, catalogue: Catalogue) -> tuple[Reason, ...]:
    """Return why measured pieces fail whose number is short; `job` pins every place to a number.

    The number is short because a piece does not fit, so the reason is the fit, not the shortage.
    """
    task = problem(job, catalogue)
    needed = Counter(number for cylinder in job.cylinders for number in _pins(cylinder))
    able = Counter(task.shelf.loose)
    for (_, number), count in task.shelf.reserved.items():
        able[number] += count
    failing: list[tuple[str, Reason]] = []
    for candidate in _pieces(task.shelf):
        reasons = [list(_against(task, candidate, c)) for c in job.cylinders if _may(candidate, c)]
        if reasons and all(reasons):
            failing += [(candidate.part.number, reason) for reason in reasons[0]]
        else:
            able[candidate.part.number] += 1
    return tuple(reason for number, reason in failing if able[number] < needed[number])


def _pieces(parts: Shelf) -> Iterator[Candidate]:
    yield from (piston for piston in parts.pistons if piston.piece)
    yield from (ring for ring in parts.rings if ring.piece)


def _pins(cylinder: Cylinder) -> Iterator[str]:
    if cylinder.piston is not None:
        yield cylinder.piston
    yield from (ring.number for ring in cylinder.rings)


def _may(candidate: Candidate, cylinder: Cylinder) -> bool:
    """Tell whether a piece may go into a cylinder that wants its number."""
    wanted = candidate.part.number in _pins(cylinder)
    return wanted and candidate.only_in in (None, cylinder.name)


def _against(task: Problem, candidate: Candidate, cylinder: Cylinder) -> Iterator[Reason]:
    """Yield the rules that a cylinder breaks by itself if this piece supplies its number."""
    single = alone(task, cylinder.name)
    parts = _without_others(single.shelf, candidate)
    single = replace(single, shelf=parts, cylinders=choices(single.job, task.catalogue, parts))
    broken = conflict(single, OWN_RULES)
    state = single.cylinders[0]
    near = nearest(state, parts.rings)
    if not broken or near is None:
        return
    if isinstance(candidate, RingCandidate):
        own = tuple(ring for ring in near.rings if ring.candidate.key == candidate.key)
        near = replace(near, rings=own)
        # The other rules of the conflict are the piston's and the bore's.
        broken = tuple(rule for rule in broken if rule in OF_RINGS)
    name = f"{candidate.named} does not serve as measured"
    for rule in (rule for rule in RULES if rule in broken):
        sentence = f"{name}: {describe(rule, single, state, near)}"
        yield Reason(rule=rule, cylinder=cylinder.name, sentence=sentence)


def _without_others(parts: Shelf, candidate: Candidate) -> Shelf:
    """Return the shelf with this piece as the only one of its number."""

    def stays(other: Candidate) -> bool:
        return other.part.number != candidate.part.number or other.key == candidate.key

    return replace(
        parts,
        pistons=tuple(filter(stays, parts.pistons)),
        rings=tuple(filter(stays, parts.rings)),
    )
