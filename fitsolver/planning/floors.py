"""Fits that physics forbids, in words (docs/decision.md, 'What physics forbids')."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fitsolver.base.lengths import Unit, format_length
from fitsolver.choices.types import Refusal
from fitsolver.records.base import RuleId
from fitsolver.records.plan import Fit
from fitsolver.records.rules import RULE_OF


def forbidden(fits: Iterable[Fit], unit: Unit) -> Iterator[Refusal]:
    """Yield a refusal for every fit below the physical limit, with or without a window."""
    for fit in fits:
        if fit.short_of_floor:
            rule, place = RULE_OF[fit.fit], "" if fit.groove is None else f"groove {fit.groove}: "
            yield Refusal(rule, place + forbidden_words(rule, fit.least, unit))


def forbidden_words(rule: RuleId, least: int, unit: Unit) -> str:
    """Return the words for a least value (ticks) below the physical limit."""
    by = format_length(-least, unit, "up", symbol=True)
    match rule:
        case "clearance":
            return f"the skirt is larger than the bore by {by}"
        case "end_gap":
            return f"the ends would overlap by {by}" if least else "the ends would meet"
        case "side_clearance":
            return f"the ring is wider than its groove by {by}"
        case _:
            reach = f"reach {by} into" if least else "touch"
            return f"the piston would {reach} the head"
