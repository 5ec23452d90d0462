"""A plan as a whole: order list, totals, and the levels of the decision."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from fitsolver.base.lengths import TICKS_PER, Unit
from fitsolver.records.figures import NONE, Figures, likely, money
from fitsolver.records.told import order_rows
from fitsolver.records.words import LEVEL_WORDS, counted
from fitsolver.reporting.cylinder_view import cylinder_blocks
from fitsolver.reporting.layout import Columns, heading, indented, lines_of, pairs
from fitsolver.reporting.ring_table import ring_table
from fitsolver.reporting.sections import Opened, Section
from fitsolver.reporting.short_answer import order_in_words
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.plan import ObjectiveValue, Plan

_ORDER: Final[Columns] = (
    ("number", "text"),
    ("what", "word"),
    ("count", "figure"),
    ("from", "word"),
    ("each", "figure"),
    ("price", "figure"),
    ("days", "figure"),
)
_ROUNDED: Final = (
    "Lowest permitted figures are rounded up and highest ones down; expected ones outwards; slack "
    "is worked out before rounding, the measuring allowance taken off."
)
_LENGTHS: Final = ("largest_removal", "total_removal", "filing")
_MG_PER_TENTH: Final = 100


def plan_sections(
    plan: Plan,
    figures: Figures,
    currency: str,
    opened: Opened,
    *,
    room: int = 0,
    order_first: bool = False,
) -> Iterator[RenderableType | Section]:
    """Yield the sections of a plan: rings and gaskets, order list, cylinders, levels and bounds.

    Rings and gaskets come with the answer where they take no more than `room` lines; the bounds
    do where the plan is not proven. `order_first`: the order list comes before them, in words
    where the table takes more.
    """
    order = list(_order_list(plan, figures, currency))
    order_shown = order_first and (lines_of(order) <= room or opened.has("order"))
    if order_shown:
        yield Section("order", order, shut=False)
        room -= lines_of(order)
    elif order_first:
        words = [heading("Order list"), order_in_words(plan)]
        yield from words
        room -= lines_of(words)
    proven = all(level.proven for level in plan.objective)
    best = Section("best", _best(plan, figures, currency), shut=proven)
    if not proven:
        yield best
    if not opened.has("work"):
        rings = ring_table(plan.cylinders, figures)
        yield Section("rings", rings, shut=lines_of(rings) > room)
    yield from cylinder_blocks(plan.cylinders, figures, opened)
    if opened.has("work") or opened.has("fits"):
        yield ""
        yield indented(_ROUNDED)
    if not order_shown:
        yield Section("order", order)
    if proven:
        yield best


def _order_list(plan: Plan, figures: Figures, currency: str) -> Iterator[RenderableType]:
    yield heading("Order list")
    yield table(_ORDER, order_rows(plan))
    yield ""
    yield pairs(_totals(plan, figures.unit, currency))


def _best(plan: Plan, figures: Figures, currency: str) -> Iterator[RenderableType]:
    yield heading("What it goes by, what matters most first")
    yield from level_table(plan, figures, currency)


def _totals(plan: Plan, unit: Unit, currency: str) -> Iterator[tuple[str, str]]:
    yield "parts", money(plan.parts_price, currency)
    yield "work", money(plan.route_price, currency)
    yield "together", money(plan.price, currency)
    yield ("ready in", counted(plan.days, "day", "days")) if plan.days else ("ready", "at once")
    if plan.displacement is not None:
        yield "displacement", _volume(plan.displacement, unit)
    if plan.probability is not None:
        yield "all fits in their windows", likely(plan.probability, plan.odds_of)
    for spread in plan.mass_spreads:
        yield "pistons differ by", f"{_grams(spread)} g at most"


def _grams(milligrams: int) -> str:
    """Return a mass in grams, rounded up to a tenth."""
    whole, tenth = divmod(-(-milligrams // _MG_PER_TENTH), 10)
    return f"{whole}.{tenth}"


def _volume(cubic_ticks: int, unit: Unit) -> str:
    """Return a volume in the cubic unit that goes with a unit of length, rounded up."""
    inch = unit in ("in", "thou")
    cube = TICKS_PER["in"] ** 3 if inch else (10 * TICKS_PER["mm"]) ** 3
    hundredths = -(-cubic_ticks * 100 // cube)
    return f"{money(hundredths)} {'in3' if inch else 'cm3'}"


def level_table(plan: Plan, figures: Figures, currency: str) -> list[RenderableType]:
    """Return the levels in their order, with their bounds if one is not proven."""
    rows = [_level_row(level, plan, figures, currency) for level in plan.objective]
    if all(level.proven for level in plan.objective):
        columns: Columns = (("what matters", "text"), ("comes to", "figure"))
        return [table(columns, [row[:2] for row in rows])]
    columns = (("what matters", "text"), ("found", "figure"), ("cannot be\nbelow", "figure"))
    columns = (*columns, ("proven", "word"))
    return [table(columns, rows)]


def _level_row(
    level: ObjectiveValue, plan: Plan, figures: Figures, currency: str
) -> tuple[str, ...]:
    proven = "yes" if level.proven else "no"
    label = LEVEL_WORDS[level.level]
    if level.level == "part_number":
        return label, "settled" if level.proven else "open", NONE, proven
    if level.level in _LENGTHS:
        unit = figures.symbol
        found, bound = f"{figures.up(level.value)} {unit}", f"{figures.down(level.bound)} {unit}"
    elif level.level == "rebuilds_left":  # more is better, and its bound is above it
        left = plan.rebuilds_left or 0
        found, bound = str(left), f"not above {left + level.value - level.bound}"
    elif level.level == "price":
        found, bound = money(level.value, currency), money(level.bound, currency)
    else:
        found, bound = str(level.value), str(level.bound)
    return label, found, bound, proven
