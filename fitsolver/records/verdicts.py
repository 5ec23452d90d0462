"""The counter's answer: every part set with a verdict per rule."""

from __future__ import annotations

from typing import Final

from fitsolver.records.base import Length, Money, Record, RuleId
from fitsolver.records.heading import PartsDocument
from fitsolver.records.plan import Fit

SCREEN_SCHEMA: Final = 1


class Verdict(Record):
    """One rule on one choice: does it hold, by how much (negative = missed), in words."""

    rule: RuleId
    holds: bool
    margin: Length | None = None
    sentence: str


class PartSet(Record):
    """A kit, or a piston with the rings and gaskets that serve it best, in one cylinder."""

    cylinder: str
    kit: str = ""
    piston: str
    rings: tuple[str, ...] = ()
    gaskets: tuple[str, ...] = ()
    fits: tuple[Fit, ...]
    verdicts: tuple[Verdict, ...]
    price: Money | None = None
    holds: bool
    worst: Length | None = None


class FitsAnswer(PartsDocument):
    """What `fits` answers, best first."""

    schema_version: int = SCREEN_SCHEMA
    currency: str
    sets: tuple[PartSet, ...]
    cautions: tuple[str, ...] = ()
