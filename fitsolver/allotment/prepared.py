"""A job of a shop made ready: its choices, and the most it could take of each number."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fitsolver.choices.types import Option, RingOption
from fitsolver.metrology.measured import Measured
from fitsolver.records.allotment import ShopJob
from fitsolver.records.job import Job
from fitsolver.solving.problem import Problem


@dataclass(frozen=True, slots=True)
class Prepared:
    """A job with its options and rings by cylinder; `most` counts the pieces it could take.

    `parts` identifies the catalogue, independently of its stock.
    """

    entry: ShopJob
    job: Job
    task: Problem
    options: tuple[tuple[Option, ...], ...] = field(repr=False)
    rings: tuple[tuple[RingOption, ...], ...] = field(repr=False)
    most: Mapping[str, int]
    parts: str
    ready: Measured

    @property
    def name(self) -> str:
        return self.job.name

    @property
    def fingerprint(self) -> str:
        """Equal if the job, its catalogue and its place in the shop are equal."""
        return repr((self.job.model_dump_json(), self.parts, self.entry.priority))
