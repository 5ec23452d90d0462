"""Parts on the bench: whether the ordered parts serve, the new finish, the parts to order again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import NONE, Figures, money
from fitsolver.records.told import cylinder_words, names_together
from fitsolver.records.words import RULE_WORDS
from fitsolver.reporting.folded import by_cylinder, folded
from fitsolver.reporting.layout import SCREEN_LINES, Columns, bullets, heading, lines_of, text
from fitsolver.reporting.plan_view import plan_sections
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.short_answer import plan_in_short
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.arrived import (
        ArrivedAnswer,
        ArrivedCylinder,
        ArrivedRing,
        ArrivedStatus,
    )
    from fitsolver.records.base import Range
    from fitsolver.records.plan import Plan

_STATUS: Final[dict[ArrivedStatus, tuple[str, str]]] = {
    "ordered parts serve": (
        "THE ORDERED PARTS SERVE: nothing has to be ordered again. The finish is that of the "
        "plan below.",
        "bold green",
    ),
    "order again": (
        "ORDER AGAIN: the ordered parts do not serve as they are. The best plan that uses what "
        "is on the bench is below.",
        "bold yellow",
    ),
    "nothing fits": ("NOTHING FITS, with these parts or with others.", "bold red"),
    "undecided": ("UNDECIDED: the search was broken off before it found a plan.", "bold yellow"),
}
#: Words for a part that is as ordered.
_SAME: Final = "the same"
_ENDLESS: Final = 10_000
#: Most lines of a section that the short report still shows.
_ROOM: Final = 16
_CYLINDERS: Final[Columns] = (
    ("cylinder", "word"),
    ("", "word"),
    ("piston", "text"),
    ("skirt", "text"),
    ("finish", "text"),
    ("route", "text"),
)


def arrived_view(
    answer: ArrivedAnswer, figures: Figures, opened: Opened = WHOLE, used: int = 4
) -> Iterator[RenderableType | Section]:
    """Yield the verdict, the parts to order again, the plan, and the reasons; then each cylinder as
    ordered.

    `used` lines of the first screen are taken by what stands above it.
    """
    parts: list[RenderableType] = ["", text(*_STATUS[answer.status])]
    parts += _to_buy(answer)
    if answer.plan is not None:
        room = _ENDLESS if opened.all else SCREEN_LINES - used - lines_of(parts)
        parts += plan_in_short(answer.plan, figures, answer.currency, room).parts
    yield from parts
    yield from _why_not(answer, opened)
    ordered = list(_ordered(answer, figures))
    taken = lines_of(ordered)
    yield Section("ordered", ordered, shut=taken > _ROOM)
    if answer.plan is not None:
        room = _ROOM - taken if taken <= _ROOM else _ROOM
        yield from plan_sections(answer.plan, figures, answer.currency, opened, room=room)


def _to_buy(answer: ArrivedAnswer) -> Iterator[RenderableType]:
    """Yield the parts to order again, and the ordered parts left over."""
    if answer.again:
        cost = money(sum(line.price for line in answer.again), answer.currency)
        said = "; ".join(
            f"{line.count} x {line.number} ({line.what}, {line.source})" for line in answer.again
        )
        yield text(f"ORDER AGAIN, {cost}: {said}", "bold")
    if answer.left_over:
        said = ", ".join(f"{item.count} x {item.number}" for item in answer.left_over)
        yield text(f"Ordered, and not used: {said}")


def _why_not(answer: ArrivedAnswer, opened: Opened) -> Iterator[RenderableType]:
    """Yield why the ordered parts do not serve; cylinders that differ in figures only once."""
    if not answer.reasons:
        return
    told = by_cylinder(
        (item.cylinder, f"{RULE_WORDS[item.rule]}: {item.sentence}") for item in answer.reasons
    )
    groups = told if opened.has("ordered") else folded(told)
    yield heading("Why the ordered parts do not serve")
    for group in groups:
        named = f"{group.words}, " if any(group.cylinders) else ""
        yield bullets(f"{named}{sentence}" for sentence in group.sentences)


def _ordered(answer: ArrivedAnswer, figures: Figures) -> Iterator[RenderableType]:
    """Yield every cylinder as ordered and as it is now, and the changes of its rings."""
    yield heading("As ordered, and now")
    yield table(_CYLINDERS, _alike(answer.cylinders, figures))
    if answer.plan is None:
        return
    rings: dict[str, list[str]] = {}
    for item in answer.cylinders:
        for line in _rings(item, figures, answer.plan):
            rings.setdefault(line, []).append(item.cylinder)
    if rings:
        yield heading("The ordered rings")
        yield bullets(f"{cylinder_words(names)}, {line}" for line, names in rings.items())


def _alike(cylinders: Iterable[ArrivedCylinder], figures: Figures) -> Iterator[tuple[str, ...]]:
    """Yield the rows of every cylinder; equal cylinders share rows, and a dash marks no change."""
    found: dict[tuple[tuple[str, ...], ...], list[str]] = {}
    for item in cylinders:
        found.setdefault(tuple(_rows(item, figures)), []).append(item.cylinder)
    for (before, now), names in found.items():
        yield names_together(names), *before
        same = (_SAME if new == old else new for old, new in zip(before[1:], now[1:], strict=True))
        yield "", now[0], *same


def _rows(item: ArrivedCylinder, figures: Figures) -> Iterator[tuple[str, ...]]:

    def row(
        when: str, piston: str, skirt: Range, finish: Range, route: str
    ) -> tuple[str, str, str, str, str]:
        stated = figures.stated(skirt.low, skirt.high)
        return when, piston, stated, _finish(finish, figures), route

    ordered = item.ordered_piston, item.ordered_skirt, item.ordered_finish, item.ordered_route
    yield row("ordered", *ordered)
    if item.skirt is None or item.finish is None:
        yield "now", NONE, NONE, NONE, NONE
        return
    yield row("now", item.piston, item.skirt, item.finish, item.route)


def _rings(item: ArrivedCylinder, figures: Figures, plan: Plan) -> Iterator[str]:
    for ring in item.rings:
        gap = ring.end_gap
        told = (
            "" if gap is None else f", end gap {kept_gap(gap, _limit(item, ring, plan), figures)}"
        )
        verdict = f"serves{told}" if ring.used else "is not used"
        yield f"groove {ring.groove}: {ring.number} {verdict}"


def _limit(item: ArrivedCylinder, ring: ArrivedRing, plan: Plan) -> int | None:
    """Return the lowest permitted end gap of a ring in its cylinder."""
    return next(
        (
            fit.low + fit.guard
            for found in plan.cylinders
            for fit in found.fits
            if found.cylinder == item.cylinder
            and fit.low is not None
            and (fit.fit, fit.groove) == ("end_gap", ring.groove)
        ),
        None,
    )


def kept_gap(gap: Range, limit: int | None, figures: Figures) -> str:
    """Return an end gap, never below the figure of the limit that it keeps."""
    if limit is None or gap.low < limit:
        return figures.expected(gap.low, gap.high)
    lowest = figures.near(gap.low) if gap.known else figures.down(gap.low)
    lowest = max(lowest, figures.up(limit), key=Decimal)
    return lowest if gap.known else f"{lowest} to {figures.up(gap.high)}"


def _finish(size: Range, figures: Figures) -> str:
    """Return the finish to aim at, for the smallest and the largest piston; rounded up."""
    low, high = figures.up(size.low), figures.up(size.high)
    return low if size.known else f"{low} to {high}"
