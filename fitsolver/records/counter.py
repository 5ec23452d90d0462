"""What the counter answers: for bores of one size each, which kits or parts after which work."""

from __future__ import annotations

from typing import Final, Literal

from pydantic import Field

from fitsolver.records.base import Count, Days, Length, Money, Record
from fitsolver.records.heading import PartsDocument
from fitsolver.records.job import Finishing
from fitsolver.records.plan import OrderLine, Question

COUNTER_SCHEMA: Final = 1


class CounterBore(Record):
    """One bore as it was told: `over` is how far it lies above the standard bore.

    `between` are the sizes made next below and next above it (None: no such size is made).
    """

    cylinder: str
    size: Length
    over: Length
    between: tuple[Length | None, Length | None]


class CounterCylinder(Record):
    """What one cylinder gets. `finish` is the largest finish size; left as it is, the bore.

    `serves_to`: the largest reading of the bore with which the same parts and work still serve;
    None where it is left as it is.
    """

    cylinder: str
    oversize: Length
    piston: str
    rings: tuple[str, ...] = ()
    route: str
    machined: bool
    finish: Length
    removal: Length
    serves_to: Length | None = None


class CounterPlan(Record):
    """What all cylinders get, checked without the solver.

    `removal` is the largest of them, `left_to_limit` the least metal that is left to the bore
    limit afterwards, `larger_sizes` how many sizes are made above it, where there are fewest.
    """

    cylinders: tuple[CounterCylinder, ...]
    order: tuple[OrderLine, ...]
    removal: Length
    price: Money
    parts_price: Money
    days: Days
    in_stock: bool
    left_to_limit: Length | None
    larger_sizes: Count


class CounterLine(Record):
    """One size of the shelf: its plan, or what is in the way, short and in a sentence.

    `cylinder` is the one that misses most, empty where there is one, or where all do together.
    `work` is the one that comes nearest, where none cuts deep enough.
    """

    oversize: Length
    nominal_bore: Length
    advised: bool = False
    plan: CounterPlan | None = None
    cylinder: str = ""
    work: str = ""
    short: str = ""
    sentence: str = ""


class IfLarger(Record):
    """What the answer would be with every bore larger by `by`; `plan` None: nothing fits."""

    by: Length
    plan: CounterPlan | None
    same: bool = Field(description="the same parts and work")


class CounterAnswer(PartsDocument):
    """What `counter` answers: the advised plan, why, and a line for every size of the shelf."""

    schema_version: int = COUNTER_SCHEMA
    family: str
    standard_bore: Length
    currency: str
    finishing: Finishing
    kits_only: bool = False
    in_stock: bool = False
    status: Literal["proven best", "nothing fits"]
    question: Question
    bores: tuple[CounterBore, ...]
    advised: CounterPlan | None
    why: str
    lines: tuple[CounterLine, ...]
    larger: IfLarger
    no_work: str = Field(
        default="",
        description="material of the bores for which no work that takes metal is known",
    )
    set_aside: Count = Field(default=0, description="doubted rows that are left out")
    doubted: tuple[str, ...] = Field(
        default=(), description="a sentence for every doubt that rows are left out for"
    )
    look_up: tuple[str, ...] = Field(
        default=(), description="what is doubtful of the parts, kits and work that the lines take"
    )
    measure: tuple[str, ...]
    left_open: tuple[str, ...]
    warnings: tuple[str, ...] = Field(
        default=(), description="what can hurt with these bores, as `pick` says it"
    )
