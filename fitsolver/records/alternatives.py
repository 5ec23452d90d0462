"""Other plans than the best one, with what each costs against it."""

from __future__ import annotations

from typing import Final

from pydantic import Field

from fitsolver.records.base import Length, Record
from fitsolver.records.heading import PartsDocument
from fitsolver.records.job import Finishing
from fitsolver.records.plan import (
    ChosenGasket,
    ChosenPart,
    ChosenRing,
    NoFit,
    OrderLine,
    Status,
)

ALTERNATIVES_SCHEMA: Final = 1


class Totals(Record):
    """What a plan comes to, or by how much it differs from the best plan (then with a sign).

    `price` in hundredths of the currency; `sizes_left`: larger sizes of the catalogue that a
    later rebuild can use, `rebuilds_left`: the most rebuilds afterwards, both in the cylinder
    with the fewest. Without the wear of every cylinder rebuilds are not counted: None.
    """

    restored: int
    largest_removal: Length
    total_removal: Length
    filing: Length
    price: int = Field(description="hundredths of the currency")
    days: int
    sizes_left: int
    rebuilds_left: int | None = None


class Change(Record):
    """What is taken in place of what the best plan takes; empty = nothing."""

    cylinder: str
    what: str
    best: str
    here: str


class CylinderChoice(Record):
    """The parts, the route and the finish size (ticks) of one cylinder; see CylinderPlan."""

    cylinder: str
    piston: ChosenPart
    rings: tuple[ChosenRing, ...]
    gaskets: tuple[ChosenGasket, ...]
    route: str
    finish_small: Length
    finish_large: Length
    removal: Length


class Alternative(Record):
    """One plan, checked without the solver.

    `rank` counts from 1, the best plan. `proven`: no plan with other parts comes between it and
    the one before; on a front: no plan beats it.
    """

    rank: int
    proven: bool
    totals: Totals
    against_best: Totals
    changes: tuple[Change, ...]
    cylinders: tuple[CylinderChoice, ...]
    order: tuple[OrderLine, ...]


class AlternativesAnswer(PartsDocument):
    """What `alternatives` answers.

    `complete`: proven that there are no plans with other parts or routes than those shown; where
    as many are shown as were asked for, none more was looked for. `front` is None where it was
    not asked for; `front_complete`: it holds every plan that none beats. Where it does not,
    those that are missing have a total removal of `front_open_from` or more.
    """

    schema_version: int = ALTERNATIVES_SCHEMA
    currency: str
    finishing: Finishing
    status: Status
    asked: int
    complete: bool
    plans: tuple[Alternative, ...]
    front: tuple[Alternative, ...] | None = None
    front_complete: bool = False
    front_open_from: Length | None = None
    no_fit: NoFit | None = None
    cautions: tuple[str, ...] = ()
