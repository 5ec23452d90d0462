"""The reasons: rules in conflict and what would open them, or why each choice is as it is."""

from __future__ import annotations

from typing import Final, Literal

from fitsolver.records.base import Record, RuleId
from fitsolver.records.heading import PartsDocument
from fitsolver.records.plan import NearMiss, Reason, Status
from fitsolver.records.rules import ChangeKind

WHY_SCHEMA: Final = 1

Measure = Literal[
    "ticks",
    "parts in 10^9",
    "thousandths",
    "milligrams",
    "hundredths",
    "days",
    "none",
    "cubic millimetres",
    "cylinders",
    "percent",
]
Subject = Literal["size", "finish", "ring", "edge"]


class Opening(Record):
    """The smallest change of one kind that opens a cylinder, or the job (`cylinder` empty).

    `by` counts in `measure`: how far the edge moves, or the skirt size, the ring's gauge diameter
    or the gasket to ask for, or the share of the gauge's uncertainty that must go; of `several`,
    how many cylinders change; of a `pair`, 2, for both of its changes are made. One step less does
    not do. `opens_job` tells whether the whole job has a plan with this change.
    """

    kind: ChangeKind
    cylinder: str = ""
    by: int
    measure: Measure
    opens_job: bool
    sentence: str


class ChoiceReason(Record):
    """Why one choice of a cylinder is as it is; `rules` are those that decide it."""

    cylinder: str
    subject: Subject
    rules: tuple[RuleId, ...] = ()
    sentence: str


class WhyAnswer(PartsDocument):
    """What `why` answers: conflicts and openings where nothing fits, else reasons of choices.

    Not `complete`: the time was over before all of them were found out. Choices of a plan that is
    not proven best are not told.
    """

    schema_version: int = WHY_SCHEMA
    currency: str
    status: Status
    conflicts: tuple[Reason, ...] = ()
    near_misses: tuple[NearMiss, ...] = ()
    openings: tuple[Opening, ...] = ()
    choices: tuple[ChoiceReason, ...] = ()
    complete: bool = True
    cautions: tuple[str, ...] = ()
