"""A shop's allotment: who is served with what, what is ordered, who is left out and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

from rich.console import RenderableType

from fitsolver.records.amounts import amount
from fitsolver.records.figures import NONE, Figures
from fitsolver.records.words import LEVEL_WORDS, RULE_WORDS
from fitsolver.reporting.layout import Kind, bullets, heading, pairs, table
from fitsolver.reporting.sections import Section

if TYPE_CHECKING:
    from fitsolver.records.allotment import AllotmentAnswer, JobAllotment, Lacking
    from fitsolver.records.plan import CylinderPlan, ObjectiveValue, OrderLine

_JOBS: Final[tuple[tuple[str, Kind], ...]] = (
    ("job", "text"),
    ("prio-\nrity", "figure"),
    ("due", "figure"),
    ("done\nin", "figure"),
    ("cyl.", "word"),
    ("piston", "text"),
    ("rings", "text"),
    ("finish", "figure"),
    ("removal", "figure"),
)
_ORDER: Final[tuple[tuple[str, Kind], ...]] = (
    ("number", "text"),
    ("what", "word"),
    ("pieces", "figure"),
    ("each", "figure"),
    ("price", "figure"),
    ("days", "figure"),
)
_SHELF: Final[tuple[tuple[str, Kind], ...]] = (
    ("number", "text"),
    ("counted", "figure"),
    ("taken", "figure"),
    ("left", "figure"),
)
#: Rows of a section that still come with the answer.
_MOST: Final = 12
_LENGTHS: Final = ("largest_removal", "total_removal", "filing")


def allotment_view(answer: AllotmentAnswer, figures: Figures) -> Iterator[RenderableType | Section]:
    """Yield the result, what to order and who is left out; then who is served, and the shelf."""
    yield heading(f"Result: {answer.status}")
    yield pairs(_levels(answer, figures))
    ordered = [line for line in answer.order if line.source == "order"]
    if ordered:
        yield heading("To order")
        yield table(_ORDER, map(_order_row, ordered))
    for status, title in (
        ("left out", "Jobs left out"),
        ("can never be served", "Jobs that can never be served"),
    ):
        lines = [_why(item) for item in answer.jobs if item.status == status]
        if lines:
            yield heading(title)
            yield bullets(lines)
    served = [item for item in answer.jobs if item.answer is not None]
    if served:
        rows = [row for item in served for row in _rows(item, figures)]
        parts = (heading("Jobs served"), table(_JOBS, rows))
        yield Section("jobs", parts, shut=len(rows) > _MOST)
    used = [line for line in answer.shelf if line.taken]
    if used:
        counts = [(i.number, str(i.count), str(i.taken), str(i.left)) for i in used]
        parts = (heading("From the shelf"), table(_SHELF, counts))
        yield Section("shelf", parts, shut=len(counts) > _MOST)


def _order_row(line: OrderLine) -> tuple[str, ...]:
    each, price = amount(line.price_each), amount(line.price)
    return line.number, line.what, str(line.count), each, price, str(line.days)


def _levels(answer: AllotmentAnswer, figures: Figures) -> Iterator[tuple[str, str]]:
    for level in answer.serving:
        if level.due is not None and level.proven and not level.value:
            continue  # the class says it
        of = "without priority" if level.priority is None else f"priority {level.priority}"
        due = "" if level.due is None else f", due in {level.due} days"
        gap = "" if level.proven else f" (at least {level.bound})"
        yield f"left out, {of}{due}", f"{level.value} of {level.jobs}{gap}"
    for value in answer.objective:
        yield LEVEL_WORDS[value.level], _value(value, answer.currency, figures)


def _value(value: ObjectiveValue, currency: str, figures: Figures) -> str:
    def said(ticks: int) -> str:
        if value.level in _LENGTHS:
            return figures.up(ticks)
        return f"{amount(ticks)} {currency}".strip() if value.level == "price" else str(ticks)

    gap = "" if value.proven else f" (at least {said(value.bound)})"
    return f"{said(value.value)}{gap}"


def _rows(item: JobAllotment, figures: Figures) -> Iterator[tuple[str, ...]]:
    assert item.answer is not None
    plan = item.answer.plan
    assert plan is not None
    head = (
        item.job,
        NONE if item.priority is None else str(item.priority),
        NONE if item.due is None else str(item.due),
        str(plan.days),
    )
    for cylinder in plan.cylinders:
        yield (*head, *_cylinder(cylinder, figures))
        head = ("", "", "", "")


def _cylinder(cylinder: CylinderPlan, figures: Figures) -> tuple[str, ...]:
    finish = NONE
    if cylinder.machined:
        finish = figures.up(cylinder.finish_large)
    return (
        cylinder.cylinder,
        cylinder.piston.number,
        ", ".join(ring.number for ring in cylinder.rings) or NONE,
        finish,
        figures.up(cylinder.removal),
    )


def _why(item: JobAllotment) -> str:
    told = item.left_out
    assert told is not None
    sentence = f"{item.job}: {told.sentence}"
    if told.serves:
        sentence += f"; {_more(told.serves)} would serve it"
    if told.waits is not None:
        sentence += f"; not due before, it could be done in {told.waits} days"
    if told.no_fit is not None:
        sentence += ": " + "; ".join(
            f"{RULE_WORDS[reason.rule]}: {reason.sentence}" for reason in told.no_fit.reasons
        )
    return sentence


def _more(serves: Sequence[Sequence[Lacking]]) -> str:
    """Return the pieces more that would do, numbers of which as many would told together."""
    alike: dict[int, list[str]] = {}
    said = []
    for lacking in serves:
        if len(lacking) > 1:
            said.append(_pieces(lacking))
        else:
            alike.setdefault(lacking[0].count, []).append(lacking[0].number)
    said += [f"{count} more of {' or '.join(numbers)}" for count, numbers in alike.items()]
    return ", or ".join(said)


def _pieces(lacking: Iterable[Lacking]) -> str:
    return " and ".join(f"{item.count} more of {item.number}" for item in lacking)
