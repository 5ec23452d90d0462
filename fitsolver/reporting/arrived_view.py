"""Parts on the bench: whether what was ordered serves, the new finish, what to order again."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import NONE, Figures, money
from fitsolver.records.words import RULE_WORDS
from fitsolver.reporting.layout import Kind, bullets, heading, table, text
from fitsolver.reporting.plan_view import plan_sections
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.short_answer import plan_in_short

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.arrived import ArrivedAnswer, ArrivedCylinder, ArrivedStatus
    from fitsolver.records.base import Range

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
#: Lines that rings and gaskets may take by default.
_ROOM: Final = 24
_CYLINDERS: Final[tuple[tuple[str, Kind], ...]] = (
    ("cylinder", "word"),
    ("", "word"),
    ("piston", "text"),
    ("skirt", "text"),
    ("finish", "text"),
    ("route", "text"),
)


def arrived_view(
    answer: ArrivedAnswer, figures: Figures, opened: Opened = WHOLE
) -> Iterator[RenderableType | Section]:
    """Yield the verdict, each cylinder as ordered and now, what to order, and the plan."""
    line, style = _STATUS[answer.status]
    yield ""
    yield text(line, style)
    if answer.plan is not None:
        yield from plan_in_short(answer.plan, figures, answer.currency)
    yield heading("As ordered, and now")
    yield table(_CYLINDERS, (row for item in answer.cylinders for row in _rows(item, figures)))
    rings = [line for item in answer.cylinders for line in _rings(item, figures)]
    if rings and answer.plan is not None:
        yield heading("The ordered rings")
        yield bullets(rings)
    if answer.reasons:
        yield heading("Why the ordered parts do not serve")
        yield bullets(
            f"{f'cylinder {item.cylinder}, ' if item.cylinder else ''}"
            f"{RULE_WORDS[item.rule]}: {item.sentence}"
            for item in answer.reasons
        )
    if answer.again:
        yield heading("To be ordered again")
        yield bullets(
            f"{line.count} x {line.number} ({line.what}), from {line.source}: "
            f"{money(line.price, answer.currency)}"
            for line in answer.again
        )
    if answer.left_over:
        yield heading("Ordered, and not used")
        yield bullets(f"{item.count} x {item.number}" for item in answer.left_over)
    if answer.plan is not None:
        yield from plan_sections(answer.plan, figures, answer.currency, opened, room=_ROOM)


def _rows(item: ArrivedCylinder, figures: Figures) -> Iterator[tuple[str, ...]]:
    yield (
        item.cylinder,
        "ordered",
        item.ordered_piston,
        figures.stated(item.ordered_skirt.low, item.ordered_skirt.high),
        _finish(item.ordered_finish, figures),
        item.ordered_route,
    )
    if item.skirt is None or item.finish is None:
        yield "", "now", NONE, NONE, NONE, NONE
        return
    yield (
        "",
        "now",
        item.piston,
        figures.stated(item.skirt.low, item.skirt.high),
        _finish(item.finish, figures),
        item.route,
    )


def _rings(item: ArrivedCylinder, figures: Figures) -> Iterator[str]:
    for ring in item.rings:
        gap = ring.end_gap
        told = "" if gap is None else f", end gap {figures.expected(gap.low, gap.high)}"
        verdict = f"serves{told}" if ring.used else "is not used"
        yield f"cylinder {item.cylinder}, groove {ring.groove}: {ring.number} {verdict}"


def _finish(size: Range, figures: Figures) -> str:
    """Return the finish to aim at, for the smallest and the largest piston; rounded up."""
    low, high = figures.up(size.low), figures.up(size.high)
    return low if size.known else f"{low} to {high}"
