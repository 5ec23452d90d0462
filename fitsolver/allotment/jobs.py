"""Every job's own answer: served with its share, left out and why, or never to be served."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from fitsolver.allotment.component import Component
from fitsolver.allotment.hand_out import Shelf
from fitsolver.allotment.left_out import Reasons
from fitsolver.allotment.result import Result
from fitsolver.allotment.serving import due_of
from fitsolver.errors import CheckError
from fitsolver.records.allotment import JobAllotment, JobLeftOut, Serving, ShopJob
from fitsolver.records.plan import Answer, NoFit
from fitsolver.solving.search import Clock


class Claim(NamedTuple):
    """A job with the most it could take, and its share of the shelf (None: it is not served).

    `open_ended`: whatever is left may serve it.
    """

    entry: ShopJob
    most: Mapping[str, int]
    share: Mapping[str, int] | None
    open_ended: bool

    @property
    def name(self) -> str:
        return self.entry.job.name


class Given(NamedTuple):
    """What jobs are told, in their order, and the pieces that they take from the shelf."""

    jobs: list[JobAllotment]
    taken: Counter[str]


def claims(part: Component, result: Result | None) -> list[Claim]:
    """Return what the jobs of a component claim. Without a result it is one job, open-ended."""
    shares = {} if result is None else result.shares
    open_ended = result is None or not result.proven
    return [Claim(j.entry, j.most, shares.get(j.name), open_ended) for j in part.jobs]


def hand_out(shelf: Shelf, jobs: Sequence[Claim], clock: Clock) -> Given:
    """Give every served job its plan, in the order of serving; then say why others have none.

    The jobs are those of one component: what others take is no concern of theirs.
    """
    shelf.keep(job.share for job in jobs if job.share is not None)
    found: dict[str, JobAllotment] = {}
    for job in sorted(jobs, key=lambda job: job.share is None):
        if job.share is None and not job.open_ended:
            continue
        answer = shelf.give(job.entry, job.share or {})
        if answer.plan is not None:
            found[job.name] = _told(shelf, job.entry, "served", answer=answer)
        elif job.share is not None:
            raise CheckError(f"job {job.name} has no plan with the parts kept for it")
    reasons = Reasons(shelf, clock)
    for job in jobs:
        if job.name not in found:
            found[job.name] = _without(shelf, job, reasons)
    return Given([found[job.name] for job in jobs], shelf.taken)


def _without(shelf: Shelf, job: Claim, reasons: Reasons) -> JobAllotment:
    refusal = reasons.never(job.entry)
    if refusal is not None:
        never = _never(refusal.no_fit)
        return _told(shelf, job.entry, "can never be served", left_out=never)
    why = reasons.left_out(job.entry, job.most)
    return _told(shelf, job.entry, "left out", left_out=why)


def _never(no_fit: NoFit | None) -> JobLeftOut:
    sentence = "it has no plan with the whole shelf to itself"
    return JobLeftOut(sentence=sentence, no_fit=no_fit)


def _told(
    shelf: Shelf,
    entry: ShopJob,
    status: Serving,
    *,
    answer: Answer | None = None,
    left_out: JobLeftOut | None = None,
) -> JobAllotment:
    return JobAllotment(
        job=entry.job.name,
        priority=entry.priority,
        due=due_of(entry),
        catalogue=shelf.catalogues[entry.catalogue].name,
        status=status,
        answer=answer,
        left_out=left_out,
    )
