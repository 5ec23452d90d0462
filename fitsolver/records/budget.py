"""Uncertainty budgets: what a fit's figure is worth, and what spoils it most."""

from __future__ import annotations

from typing import Final, Literal

from pydantic import Field

from fitsolver.records.base import FitName, Length, Record
from fitsolver.records.heading import BoreDocument
from fitsolver.records.measuring import Decision

BUDGET_SCHEMA: Final = 1

DistributionName = Literal["normal", "rectangular", "triangular"]
EvaluationType = Literal["A", "B"]


class Contribution(Record):
    """One source of uncertainty in one fit.

    `standard` is its standard uncertainty at the fit (ticks, sensitivity included), `share`
    its part of the combined variance (0 to 1).
    """

    name: str
    distribution: DistributionName
    evaluation: EvaluationType
    standard: float
    share: float


class Budget(Record):
    """The budget of one fit in one cylinder (ticks).

    `combined` is the standard uncertainty, `expanded` that times `coverage` (2, JCGM 100
    6.3). `improvement` names the cause whose halving helps most: an
    instrument's figure in all its uses, the temperatures or the expansions. `guard` is
    what a guarded decision gives up on each side.
    """

    cylinder: str
    fit: FitName
    groove: int | None = None
    contributions: tuple[Contribution, ...]
    combined: float
    expanded: float
    coverage: float = 2.0
    guard: Length = 0
    improvement: str = ""


class Correction(Record):
    """How much a size was corrected to 20 °C (ticks, corrected minus read)."""

    cylinder: str
    what: Literal["bore", "piston"]
    correction: Length
    sentence: str


class Batch(Record):
    """A batch of cylinders finished alike (ticks): the clearances they truly have.

    Normal, with standard deviation `spread`, about `mean`; without it about the middle of the
    window.
    """

    spread: Length = Field(gt=0)
    mean: Length | None = None


class BatchRisk(Record):
    """What a decision does to a batch like one cylinder's clearance; shares of the whole batch.

    `accepted`; `consumer`: accepted though out of the window; `producer`: rejected though in it
    (JCGM 106:2012, 9.5). `guard` (ticks) is what the decision gives up on each side.
    """

    cylinder: str
    decision: Decision
    guard: Length
    mean: Length
    spread: Length
    accepted: float
    consumer: float
    producer: float


class BudgetAnswer(BoreDocument):
    """What `budget` answers."""

    schema_version: int = BUDGET_SCHEMA
    budgets: tuple[Budget, ...]
    batch: tuple[BatchRisk, ...] = ()
    corrections: tuple[Correction, ...] = ()
    cautions: tuple[str, ...] = ()
