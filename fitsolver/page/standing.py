"""The state of a job: its five steps with their missing fields, and the answer in a few figures."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.page.content import Content, sheet_of, tables
from fitsolver.records.figures import NONE, Figures, money
from fitsolver.records.plan import Answer, CylinderPlan, Plan
from fitsolver.records.words import RULE_WORDS

if TYPE_CHECKING:
    from fitsolver.page.bench import Bench
    from fitsolver.page.order_kept import OrderKept

STEPS: Final = {
    "measure": "Measure",
    "choose": "Choose",
    "order": "Order",
    "machine": "Machine",
    "check": "Check",
}


class Step(NamedTuple):
    """One step: its name, its title, its state, and the fields missing for the next step."""

    name: str
    title: str
    said: str
    lacks: tuple[str, ...]


class Row(NamedTuple):
    """One cylinder of the answer.

    Until its piston is measured `finish` and `stop` are those for the smallest and the largest
    one, and `first` says which is which.
    """

    cylinder: str
    piston: str
    finish: str
    stop: str
    stock: str
    left: str
    first: str = ""


class Told(NamedTuple):
    """The answer in a few figures; where there is no plan `rows` are empty and `cause` says why."""

    verdict: str
    proof: str
    order: str
    price: str
    removed: str
    next_sizes: str
    rows: tuple[Row, ...]
    cause: str = ""


class Kept(NamedTuple):
    """The records beside a job: the number of log entries, the stages ticked off, the order, the
    verdict of the final check on its present state.
    """

    passes: int
    ticks: int
    ordered: OrderKept | None
    checked: str


def steps(data: Content, bench: Bench, answer: Answer | None, kept: Kept) -> tuple[Step, ...]:
    """Return the five steps of a job."""
    lacks = {name: tuple(item.said for item in bench.lacks if item.step == name) for name in STEPS}
    plan = None if answer is None else answer.plan
    said = {
        "measure": _measured(data, bench),
        "choose": _chosen(bench, answer),
        "order": _ordered(plan, bench, kept.ordered),
        "machine": _machined(plan, kept),
        "check": kept.checked,
    }
    return tuple(Step(name, title, said[name], lacks[name]) for name, title in STEPS.items())


def _measured(data: Content, bench: Bench) -> str:
    sheet = sheet_of(data)
    rows = sum(1 for depth in sheet.depths if depth)
    wanted = rows * len(sheet.axes) * len(tables(data, "cylinder"))
    found = len(sheet.figures)
    doubted = len(bench.doubts)
    parts = [f"{found} of {wanted} in" if wanted else "no readings yet"]
    if doubted:
        parts.append(f"{doubted} doubted")
    return ", ".join(parts)


def _chosen(bench: Bench, answer: Answer | None) -> str:
    missing = sum(1 for item in bench.lacks if item.step == "choose")
    if missing:
        return f"{missing} missing"
    if answer is None:
        return ""
    return f"{len(answer.question.asked)} fits asked"


def _ordered(plan: Plan | None, bench: Bench, ordered: OrderKept | None) -> str:
    if plan is None:
        return "order kept" if ordered else ""
    if ordered is not None:
        return f"kept, {_more(ordered.still_to_order(plan, bench.catalogue))}"
    parts = sum(line.count for line in plan.order if line.source != "in hand")
    days = "at once" if not plan.days else f"in {plan.days} day{'s' if plan.days > 1 else ''}"
    pieces = f"{parts} part{'' if parts == 1 else 's'}"
    return f"{pieces}, {days}"


def _more(count: int) -> str:
    return f"{count} more to order" if count else "nothing more to order"


def _machined(plan: Plan | None, kept: Kept) -> str:
    done = [f"{kept.passes} pass{'es' if kept.passes > 1 else ''}"] if kept.passes else []
    done += [f"{kept.ticks} stage{'s' if kept.ticks > 1 else ''} done"] if kept.ticks else []
    if done:
        return ", ".join(done)
    if plan is None:
        return ""
    return "not begun" if any(item.machined for item in plan.cylinders) else "nothing to hone"


def told_with(answer: Answer, bench: Bench, ordered: OrderKept | None) -> Told:
    """Return an answer as the strip shows it beside a kept order: what is to be ordered besides.

    Where nothing is, the sum is that of the order.
    """
    now = told(answer)
    if ordered is None or answer.plan is None:
        return now
    count = ordered.still_to_order(answer.plan, bench.catalogue)
    price = now.price if count else ordered.price
    return now._replace(order=f"order kept, {_more(count)}", price=price)


def told(answer: Answer) -> Told:
    """Return an answer as the strip shows it."""
    figures, plan = Figures(answer.unit), answer.plan
    asked = f"{len(answer.question.asked)} fits asked"
    not_asked = ", ".join(answer.question.not_asked)
    proof = f"{answer.status}; {asked}" + (f"; not asked: {not_asked}" if not_asked else "")
    if plan is None:
        said = answer.status.capitalize()
        return Told(said, proof, "", "", "", "", (), first_cause(answer))
    sizes = dict.fromkeys(figures.near(item.oversize, sign=True) for item in plan.cylinders)
    largest = max((item.removal for item in plan.cylinders), default=0)
    larger = plan.cylinders[0].larger_sizes
    bought = sum(line.count for line in plan.order if line.source != "in hand")
    return Told(
        verdict=" and ".join(sizes),
        proof=proof,
        order=f"{bought} to order" + (f", {plan.days} days" if plan.days else ""),
        price=money(plan.price, answer.currency),
        removed=f"{figures.up(largest)} off at most" if largest else "nothing to remove",
        next_sizes=", ".join(figures.near(one.oversize, sign=True) for one in larger if one.usable),
        rows=tuple(_row(item, figures) for item in plan.cylinders),
    )


def first_cause(answer: Answer) -> str:
    """Return the first reason that nothing fits, in one line; empty where none is told."""
    if answer.no_fit is None or not answer.no_fit.reasons:
        return ""
    reason = answer.no_fit.reasons[0]
    where = f"cylinder {reason.cylinder}, " if reason.cylinder else ""
    text = f"{where}{RULE_WORDS[reason.rule]}: {reason.sentence}"
    return text[0].upper() + text[1:]


def _row(item: CylinderPlan, figures: Figures) -> Row:
    if not item.machined:
        finish, stop, stock = "left as it is", NONE, NONE
    else:
        finish = _by_piston(_finishes(item, figures))
        stop = _stop(item, figures)
        stock = NONE
        if item.stock_worst is not None:
            stock = f"{figures.down(item.stock_worst)} to {figures.up(item.stock_tightest)}"
    left = figures.down(item.left_to_limit)
    return Row(item.cylinder, item.piston.named, finish, stop, stock, left, _first(item, figures))


def _by_piston(texts: Iterable[str]) -> str:
    return " or ".join(dict.fromkeys(texts))


def _finishes(item: CylinderPlan, figures: Figures) -> tuple[str, str]:
    """Return the finish size for the smallest and for the largest piston."""
    large = figures.aim(item.finish_large, item.lowest, item.highest)
    if item.finish_small == item.finish_large:
        return large, large
    return figures.aim(item.finish_small, item.finish_small, item.highest_small), large


def _first(item: CylinderPlan, figures: Figures) -> str:
    """Return what must be measured before the last pass, as the finish size depends on it."""
    if not item.machined or item.finish_small == item.finish_large:
        return ""
    small, large = _finishes(item, figures)
    low, high = figures.up(item.skirt.low), figures.down(item.skirt.high)
    return (
        f"measure the piston before the last pass: {small} is for one of {low}, "
        f"{large} for one of {high}"
    )


def _stop(item: CylinderPlan, figures: Figures) -> str:
    """Return where the dial stops: with the gauge as zeroed, else zeroed on the new piston.

    For the smallest and the largest piston where these have sizes of their own.
    """
    if item.dial_stop is None or item.dial_zero is None:
        return f"{figures.up(item.dial_on_piston.high, sign=True)} on piston"
    small, zero = item.dial_stop.low, item.dial_zero
    low = None if item.lowest is None else item.lowest - zero
    high = None if item.highest is None else item.highest - zero
    large = figures.aim(item.dial_stop.high, low, high, sign=True)
    if item.finish_small == item.finish_large:
        return large
    highest = None if item.highest_small is None else item.highest_small - zero
    return _by_piston((figures.aim(small, small, highest, sign=True), large))
