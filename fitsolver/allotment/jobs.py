"""Every job's own answer: served with its share, left out and why, or never to be served."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fitsolver.allotment.component import Component
from fitsolver.allotment.hand_out import Shelf
from fitsolver.allotment.left_out import Reasons
from fitsolver.allotment.prepare import Prepared
from fitsolver.allotment.result import Result
from fitsolver.allotment.serving import due_of
from fitsolver.errors import CheckError
from fitsolver.records.allotment import JobAllotment, JobLeftOut, Serving, ShopJob
from fitsolver.records.plan import Answer, NoFit
from fitsolver.solving.search import Clock


def hand_out(
    shelf: Shelf,
    prepared: Sequence[Prepared],
    parts: Sequence[Component],
    results: Sequence[Result | None],
    clock: Clock,
) -> list[JobAllotment]:
    """Give every served job its plan, in the order of serving; then say why others have none.

    A component without a result is one job. Jobs of a component that is not proven may be
    served by what is left.
    """
    shares: dict[str, Mapping[str, int]] = {}
    open_ended: set[str] = set()  # jobs that whatever is left may serve
    for part, result in zip(parts, results, strict=True):
        if result is not None:
            shares.update(result.shares)
        if result is None or not result.proven:
            open_ended |= {job.name for job in part.jobs}
    shelf.keep(shares.values())
    found: dict[str, JobAllotment] = {}
    for job in [*(j for j in prepared if j.name in shares), *prepared]:
        if job.name in found or (job.name not in shares and job.name not in open_ended):
            continue
        answer = shelf.give(job.entry, shares.get(job.name, {}))
        if answer.plan is not None:
            found[job.name] = _told(shelf, job.entry, "served", answer=answer)
        elif job.name in shares:
            raise CheckError(f"job {job.name} has no plan with the parts kept for it")
    reasons = Reasons(shelf, clock)
    for job in prepared:
        if job.name not in found:
            refusal = reasons.never(job.entry)
            found[job.name] = (
                _told(
                    shelf,
                    job.entry,
                    "left out",
                    left_out=reasons.left_out(job.entry, job.most),
                )
                if refusal is None
                else _told(shelf, job.entry, "can never be served", left_out=_never(refusal.no_fit))
            )
    return [found[job.name] for job in prepared]


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
