"""Parts on the bench: do those that were ordered still serve, now that they are measured?"""

from __future__ import annotations

from typing import Final, Literal

from fitsolver.records.base import Range, Record
from fitsolver.records.heading import PartsDocument
from fitsolver.records.plan import OrderLine, Plan, Reason

ARRIVED_SCHEMA: Final = 1

ArrivedStatus = Literal["ordered parts serve", "order again", "nothing fits", "undecided"]


class ArrivedRing(Record):
    """A ring that was ordered for a groove. `used`: the plan fits one of that number there, with
    an end gap (ticks) of `end_gap` once it is filed."""

    groove: int
    number: str
    used: bool = False
    end_gap: Range | None = None


class ArrivedCylinder(Record):
    """A cylinder as ordered and as it is now: skirt, finish for smallest and largest piston."""

    cylinder: str
    ordered_piston: str
    ordered_skirt: Range
    ordered_finish: Range
    ordered_route: str
    piston: str = ""
    skirt: Range | None = None
    finish: Range | None = None
    route: str = ""
    rings: tuple[ArrivedRing, ...] = ()


class LeftOver(Record):
    """An ordered part that the new plan does not use."""

    number: str
    count: int


class ArrivedAnswer(PartsDocument):
    """What `arrived` answers.

    `reasons` say why the ordered parts do not serve as ordered; `plan` is the one to work by:
    with the ordered parts alone, or with those of `again` bought besides.
    """

    schema_version: int = ARRIVED_SCHEMA
    currency: str
    status: ArrivedStatus
    cylinders: tuple[ArrivedCylinder, ...]
    reasons: tuple[Reason, ...] = ()
    again: tuple[OrderLine, ...] = ()
    left_over: tuple[LeftOver, ...] = ()
    plan: Plan | None = None
    cautions: tuple[str, ...] = ()
