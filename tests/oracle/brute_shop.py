"""The best allotment by trying everything: every way to split the shelf among the jobs.

An independent reading of docs/decision.md, "Many jobs, one shelf": with its part of the shelf as
all its stock a job has the best plan that `brute.best_plan` finds, and is served if it has one.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from typing import Any

from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

from .brute import best_plan
from .brute_cylinder import TooManyError

Entry = tuple[Job, int | None]
MOST_SPLITS = 400


def best_allotment(jobs: list[Entry], catalogue: Catalogue) -> tuple[list[int], list[int]]:
    """Return the best values: jobs left out by level of serving, then the sums over those served.

    All jobs want the same order of levels. Jobs that cannot be served alone are left aside.
    Raises TooManyError where there are too many ways to try.
    """
    stock = {number: count for number, count in _stock(catalogue) if count}
    plans: dict[tuple[int, tuple[int, ...]], dict[str, int] | None] = {}

    def plan(at: int, share: tuple[int, ...]) -> dict[str, int] | None:
        if (at, share) not in plans:
            counts = dict(zip(stock, share, strict=True))
            found = best_plan(jobs[at][0], _stocked(catalogue, counts))
            plans[at, share] = None if found is None else dict(found.levels)
        return plans[at, share]

    every = tuple(stock.values())
    able = [at for at in range(len(jobs)) if plan(at, every) is not None]
    names = _order(jobs[0][0])
    best: tuple[list[int], list[int]] | None = None
    splits = [list(_splits(count, len(able))) for count in every]
    number = 1
    for some in splits:
        number *= len(some)
    if number > MOST_SPLITS:
        raise TooManyError
    for split in product(*splits):
        told = {at: plan(at, tuple(part[k] for part in split)) for k, at in enumerate(able)}
        out = [jobs[at] for at in able if told[at] is None]
        sums = [sum(p[name] for p in told.values() if p is not None) for name in names]
        value = (_left_out(out, [jobs[at] for at in able]), sums)
        if best is None or value < best:
            best = value
    assert best is not None
    return best


def _left_out(out: list[Entry], able: list[Entry]) -> list[int]:
    """Return the jobs left out: class by class, then in each class due by due."""
    late = 10**6

    def rank(value: int | None) -> int:
        return late if value is None else value

    found = []
    for priority in sorted({rank(p) for _, p in able}):
        mine = [rank(job.terms.needed_in_days) for job, p in able if rank(p) == priority]
        missed = [rank(job.terms.needed_in_days) for job, p in out if rank(p) == priority]
        found.append(len(missed))
        found += [missed.count(due) for due in sorted(set(mine))[:-1]]
    return found


def _order(job: Job) -> list[str]:
    """The levels that are summed: those before the part number."""
    default = ["restored", "largest_removal", "total_removal", "filing", "price", "days"]
    named = [*job.best, *(level for level in (*default, "part_number") if level not in job.best)]
    return [str(level) for level in named[: named.index("part_number")]]


def _splits(count: int, among: int) -> Iterator[tuple[int, ...]]:
    """Yield every way to give all pieces of a number to jobs; more stock never hurts one."""
    if among == 0:
        yield ()
    elif among == 1:
        yield (count,)
    else:
        for first in range(count + 1):
            for rest in _splits(count - first, among - 1):
                yield (first, *rest)


def _stock(catalogue: Catalogue) -> Iterator[tuple[str, int]]:
    for kind in ("pistons", "rings", "gaskets", "kits"):
        for item in getattr(catalogue, kind):
            yield item.number, item.stock


def _stocked(catalogue: Catalogue, counts: dict[str, int]) -> Catalogue:
    changed: dict[str, Any] = {
        kind: tuple(
            item.model_copy(update={"stock": counts.get(item.number, 0)})
            for item in getattr(catalogue, kind)
        )
        for kind in ("pistons", "rings", "gaskets", "kits")
    }
    return catalogue.model_copy(update=changed)
