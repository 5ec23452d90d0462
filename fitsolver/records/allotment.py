"""A shop: many jobs and one shelf; and its allotment: who gets what."""

from __future__ import annotations

from typing import Final, Literal

from pydantic import Field

from fitsolver.base.lengths import Unit
from fitsolver.records.base import LEVELS, Count, Days, Level, Record
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.heading import Document
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer, NoFit, ObjectiveValue, OrderLine

ALLOTMENT_SCHEMA: Final = 1

Serving = Literal["served", "left out", "can never be served"]


class ShopJob(Record):
    """A job of a shop. `priority` 1 is first; None comes after all. `catalogue` is its place."""

    job: Job
    catalogue: int = Field(default=0, ge=0)
    priority: int | None = Field(default=None, ge=1)


class StockLine(Record):
    """Pieces of one number on the shelf."""

    number: str = Field(min_length=1)
    count: Count


class Shop(Record):
    """Jobs that share one shelf; `shelf` None: the catalogues' own stock. See docs/allot.md."""

    name: str = Field(min_length=1)
    note: str = ""
    unit: Unit = "mm"
    jobs: tuple[ShopJob, ...]
    catalogues: tuple[Catalogue, ...] = Field(min_length=1)
    shelf: tuple[StockLine, ...] | None = None
    best: tuple[Level, ...] | None = None

    @property
    def order(self) -> tuple[Level, ...]:
        """The levels in the shop's order: its own, else the jobs' where they agree."""
        own = {entry.job.best for entry in self.jobs}
        named = self.best if self.best is not None else own.pop() if len(own) == 1 else LEVELS
        return (*named, *(level for level in LEVELS if level not in named))


class ServingLevel(Record):
    """Jobs left out of one class of priority: of all its jobs, or of those due in `due` days."""

    priority: int | None
    due: Days | None
    jobs: Count = Field(description="jobs that it counts, those that can never be served left off")
    value: Count
    bound: Count
    proven: bool


class Lacking(Record):
    """What a job that is left out would need: pieces of a part beyond what is left for it."""

    number: str
    count: int = Field(ge=1)
    left: Count


class JobLeftOut(Record):
    """Why a job is left out, in words, and the parts any one line of which would serve it.

    `serves` holds alternatives; in each all pieces are needed. `waits` is in how many days the
    job could be done with parts ordered, were it not due before (None: not even then).
    """

    sentence: str
    serves: tuple[tuple[Lacking, ...], ...] = ()
    waits: Days | None = None
    no_fit: NoFit | None = None


class JobAllotment(Record):
    """One job: served with the answer that `pick` gives with its share, or left out and why."""

    job: str
    priority: int | None
    due: Days | None
    catalogue: str
    status: Serving
    answer: Answer | None = None
    left_out: JobLeftOut | None = None


class ShelfLine(Record):
    """A number on the shelf: how many there were, are taken by jobs, and are left."""

    number: str
    count: Count
    taken: Count
    left: Count


class ComponentResult(Record):
    """Jobs that were decided together; `fingerprint` tells whether anything of it changed.

    `shares` are the pieces from stock kept for each served job; the bounds are one for each
    objective, serving first, None where nothing was proven.
    """

    fingerprint: str
    jobs: tuple[str, ...]
    served: tuple[str, ...]
    shares: tuple[tuple[StockLine, ...], ...]
    values: tuple[int, ...]
    bounds: tuple[int | None, ...]


class AllotmentAnswer(Document):
    """What `allot` answers."""

    schema_version: int = ALLOTMENT_SCHEMA
    shop: str
    unit: Unit
    currency: str
    status: Literal["proven best", "best found"]
    serving: tuple[ServingLevel, ...]
    objective: tuple[ObjectiveValue, ...]
    jobs: tuple[JobAllotment, ...]
    order: tuple[OrderLine, ...]
    shelf: tuple[ShelfLine, ...]
    components: tuple[ComponentResult, ...]
    cautions: tuple[str, ...] = ()
