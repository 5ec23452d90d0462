"""A shop's allotment: the jobs served with their parts, the order, the jobs left out and why."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

from rich.console import RenderableType

from fitsolver.records.amounts import amount
from fitsolver.records.figures import NONE, Figures, money
from fitsolver.records.words import LEVEL_WORDS, RULE_WORDS, counted
from fitsolver.reporting.layout import (
    SCREEN_LINES,
    Columns,
    as_many,
    bullets,
    heading,
    indented,
    lines_of,
    pairs,
    text,
)
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from fitsolver.records.allotment import (
        AllotmentAnswer,
        JobAllotment,
        Lacking,
        Serving,
        ServingLevel,
    )
    from fitsolver.records.plan import CylinderPlan, ObjectiveValue, OrderLine

_JOBS: Final[Columns] = (
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
_SHELF: Final[Columns] = (
    ("number", "text"),
    ("counted", "figure"),
    ("taken", "figure"),
    ("left", "figure"),
)
#: Most rows of a section that the short report still shows.
_MOST: Final = 12
#: Most lines of the order as running text.
_ORDER_LINES: Final = 4
#: The reasons why jobs are not served, and their headings.
_TITLES: Final[tuple[tuple[Serving, str], ...]] = (
    ("left out", "Jobs left out"),
    ("can never be served", "Jobs that can never be served"),
)
#: Levels that are shown even at 0.
_SAID: Final = ("price", "days")
_LENGTHS: Final = ("largest_removal", "total_removal", "filing")


def allotment_view(
    answer: AllotmentAnswer, figures: Figures, opened: Opened = WHOLE, used: int = 4
) -> Iterator[RenderableType | Section]:
    """Yield the result, the order and the jobs left out; then the jobs served, and the shelf.

    `used` lines of the first screen are taken by what stands above it.
    """
    parts = [heading(f"Result: {answer.status}"), pairs(_result(answer, figures))]
    ordered = [line for line in answer.order if line.source == "order"]
    if not opened.has("order"):
        parts += _to_order(ordered, answer.currency)
    waiting = [item for item in answer.jobs if item.left_out is not None]
    whole = list(_left_out(waiting, _why))
    room = SCREEN_LINES - used - lines_of(parts)
    if opened.has("left") or lines_of(whole) <= room:
        parts += whole
        whole = []
    else:
        parts += _in_short(waiting, room)
    yield from parts
    if ordered:
        table_of = (heading("To order"), table(_order_columns(answer), map(_order_row, ordered)))
        yield Section("order", table_of)
    if whole:
        yield Section("left", whole)
    served = [item for item in answer.jobs if item.answer is not None]
    if served:
        rows = [row for item in served for row in _rows(item, figures)]
        shown = (heading("Jobs served"), table(_JOBS, rows))
        yield Section("jobs", shown, shut=len(rows) > _MOST)
    taken = [line for line in answer.shelf if line.taken]
    if taken:
        counts = [(i.number, str(i.count), str(i.taken), str(i.left)) for i in taken]
        shown = (heading("From the shelf"), table(_SHELF, counts))
        yield Section("shelf", shown, shut=len(counts) > _MOST)


def _to_order(ordered: Sequence[OrderLine], currency: str) -> list[RenderableType]:
    """Return the order as running text, or the count of its numbers if that text is long."""
    if not ordered:
        return ["", text("ORDER: nothing, the shelf has it all", "bold")]
    cost, ready = sum(line.price for line in ordered), max(line.days for line in ordered)
    days = counted(ready, "day", "days")
    head = text(f"ORDER: {money(cost, currency)}; there in {days}", "bold")
    said = indented(
        "; ".join(f"{i.count} x {i.number} ({i.what}, {amount(i.price)})" for i in ordered)
    )
    if lines_of([said]) > _ORDER_LINES:
        said = indented(f"{counted(len(ordered), 'number', 'numbers')}: --show order")
    return ["", head, said]


def _left_out(
    waiting: Sequence[JobAllotment], say: Callable[[JobAllotment], str]
) -> Iterator[RenderableType]:
    for status, title in _TITLES:
        lines = [say(item) for item in waiting if item.status == status]
        if lines:
            yield heading(title)
            yield bullets(lines)


def _in_short(waiting: Sequence[JobAllotment], room: int) -> list[RenderableType]:
    """Return the jobs left out with the parts that each needs, as many as `room` lines hold."""
    ranks = [status for status, _ in _TITLES]
    waiting = sorted(waiting, key=lambda item: ranks.index(item.status))

    def parts(shown: int) -> list[RenderableType]:
        more = len(waiting) - shown
        below = [indented(f"{counted(more, 'job', 'jobs')} more left out: --show left")]
        return [*_left_out(waiting[:shown], _lacks), *below * bool(more)]

    return as_many(parts, len(waiting), room, least=0)


def _lacks(item: JobAllotment) -> str:
    """Return what a job that is left out lacks, in short."""
    told = item.left_out
    assert told is not None
    if told.serves:
        others = len(told.serves) - 1
        ways = f" (or {counted(others, 'other way', 'other ways')})" if others else ""
        return f"{item.job}: {_pieces(told.serves[0])} would serve it{ways}"
    if told.waits is not None:
        return f"{item.job}: could be done in {told.waits} days, due before"
    if told.no_fit is not None:
        rules = dict.fromkeys(RULE_WORDS[reason.rule] for reason in told.no_fit.reasons)
        return f"{item.job}: no plan with the whole shelf to itself: {', '.join(rules)}"
    return f"{item.job}: {told.sentence}"


def _order_columns(answer: AllotmentAnswer) -> Columns:
    each, price = (f"{name}, {answer.currency}".removesuffix(", ") for name in ("each", "price"))
    return (
        ("number", "text"),
        ("what", "word"),
        ("pieces", "figure"),
        (each, "figure"),
        (price, "figure"),
        ("days", "figure"),
    )


def _order_row(line: OrderLine) -> tuple[str, ...]:
    each, price = amount(line.price_each), amount(line.price)
    return line.number, line.what, str(line.count), each, price, str(line.days)


def _result(answer: AllotmentAnswer, figures: Figures) -> Iterator[tuple[str, str]]:
    """Yield the number of jobs served, the classes with jobs left out, and the level values."""
    jobs = answer.jobs
    served = sum(item.status == "served" for item in jobs)
    never = sum(item.status == "can never be served" for item in jobs)
    said = [f"{served} of {counted(len(jobs), 'job', 'jobs')}"]
    said += [f"{len(jobs) - served - never} left out"] * (served + never < len(jobs))
    said += [f"{never} can never be served"] * bool(never)
    yield "served", "; ".join(said)
    classes = list(_classes(answer))
    if classes:
        yield "left out", "; ".join(classes)
    told = (
        f"{LEVEL_WORDS[value.level]} {_value(value, answer.currency, figures)}"
        for value in answer.objective
        if value.value or not value.proven or value.level in _SAID
    )
    yield "comes to", "; ".join(told)


def _classes(answer: AllotmentAnswer) -> Iterator[str]:
    """Yield the number of jobs left out by priority class, and how many of them are due soon."""
    for level in answer.serving:
        if level.due is not None:
            continue  # told with its class
        of = "without priority" if level.priority is None else f"of priority {level.priority}"
        due = [
            f"{_of_class(each)} due in {each.due} days"
            for each in answer.serving
            if each.due is not None and each.priority == level.priority
            if each.value or not each.proven
        ]
        more = f" ({', '.join(due)})" if due else ""
        yield f"{_of_class(level)} {of}{more}"


def _of_class(level: ServingLevel) -> str:
    gap = "" if level.proven else f" (at least {level.bound})"
    return f"{level.value} of {level.jobs}{gap}"


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
    """Return the extra pieces that would suffice; numbers with equal counts share a line."""
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
