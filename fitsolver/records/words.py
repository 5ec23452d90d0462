"""The words a report uses for ids of rules, fits and levels (docs/nomenclature.md)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from fitsolver.base.lengths import exact_text, format_length
from fitsolver.records.rules import REGISTRY
from fitsolver.records.windows import place_words

if TYPE_CHECKING:
    from fitsolver.base.lengths import Unit
    from fitsolver.records.base import FitName, Level, RuleId
    from fitsolver.records.form import BoreForm

ON_DIAMETER: Final = "all on diameter"

UNIT_WORDS: Final[dict[Unit, str]] = {
    "mm": "mm",
    "um": "µm",
    "in": "inches",
    "thou": "thousandths of an inch",
}

RULE_WORDS: Final[dict[RuleId, str]] = {rule.id: rule.label for rule in REGISTRY.values()}
#: A fit is called as its rule is, where the rule has no other.
FIT_WORDS: Final[dict[FitName, str]] = {
    fit: rule.label if rule.fits == (fit,) else place_words(fit)
    for rule in REGISTRY.values()
    for fit in rule.fits
}

LEVEL_WORDS: Final[dict[Level, str]] = {
    "restored": "sleeved or re-plated cylinders",
    "largest_removal": "largest removal",
    "total_removal": "total removal",
    "filing": "filing of all rings",
    "price": "price",
    "days": "days",
    "part_number": "part numbers, lowest first",
    "rebuilds_left": "rebuilds left, at most",
}


def fit_name(fit: FitName, groove: int | None = None, port: str | None = None) -> str:
    """Return the word for a fit, with the groove of its ring, or the port and its unit."""
    if fit == "port_timing":
        return f"{port or 'port'} opens, °"
    return FIT_WORDS[fit] + ("" if groove is None else f" {groove}")


_AXES: Final = {0: "thrust axis", 90: "pin axis"}


def axis_words(angle: int) -> str:
    """Return an axis, given as degrees from the thrust axis, in words."""
    return _AXES.get(angle, f"{angle}° from the thrust axis")


def shape_words(form: BoreForm) -> str:
    """Return the shape and, where it has one, its wide end."""
    return f"{form.shape}, wide at the {form.shape_at}" if form.shape_at else form.shape


def some(names: Sequence[object], most: int) -> str:
    """Return at most so many names, and the number of the others."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(map(str, names[:most])) + more


def counted(number: int, one: str, many: str) -> str:
    """Return a number with its noun."""
    return f"{number} {one if number == 1 else many}"


def size_words(oversize: int, unit: Unit) -> str:
    """Return a size as a shop calls it: std, or its oversize in the unit of the report."""
    if not oversize:
        return "std"
    exact = exact_text(oversize, unit)
    return f"+{exact}" if exact[-1].isdigit() else format_length(oversize, unit, sign=True)


def ready_words(days: int) -> str:
    """Return when all is there and the work done."""
    return f"ready in {counted(days, 'day', 'days')}" if days else "at once"
