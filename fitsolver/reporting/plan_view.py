"""A plan as a person acts on it: what to order, what to do to each cylinder, what is left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import RenderableType
from rich.padding import Padding

from fitsolver.records.base import Range
from fitsolver.records.plan import Answer, CylinderPlan, Fit, ObjectiveValue, Plan
from fitsolver.reporting.show import NONE, Show, bullets, facts, heading, money, table

_LEVELS = {
    "restored": "restored cylinders",
    "largest_removal": "largest removal",
    "total_removal": "total removal",
    "filing": "filing",
    "price": "price",
    "days": "days",
    "part_number": "part numbers",
}
_LENGTHS = ("largest_removal", "total_removal", "filing")


def plan_view(answer: Answer, plan: Plan, show: Show) -> Iterator[RenderableType]:
    """Yield the parts of a plan's report."""
    yield heading("Order list")
    yield _order(plan)
    yield from _totals(answer, plan)
    for item in plan.cylinders:
        yield from _cylinder(item, show)
    yield heading("What was best, in this order")
    yield _levels(plan.objective, answer.currency, show)


def _order(plan: Plan) -> RenderableType:
    columns = ("number", "what", "count", "from", "each", "price", "days")
    found = table(columns, right=("count", "each", "price", "days"))
    for line in plan.order:
        bought = line.source != "in hand"
        found.add_row(
            line.number,
            line.what,
            str(line.count),
            line.source,
            money(line.price_each) if bought else NONE,
            money(line.price) if bought else NONE,
            str(line.days) if line.source == "order" else NONE,
        )
    return Padding(found, (1, 0, 1, 2))


def _totals(answer: Answer, plan: Plan) -> Iterator[RenderableType]:
    currency = answer.currency
    rows = [
        (
            "price",
            f"{money(plan.price, currency)} (parts {money(plan.parts_price)}, "
            f"work {money(plan.route_price)})",
        ),
        ("ready in", f"{plan.days} days"),
    ]
    if plan.displacement is not None:
        rows.append(("displacement", _volume(plan.displacement, answer.unit)))
    rows += [("mass spread", f"up to {spread / 1000:g} g") for spread in plan.mass_spreads]
    yield facts(rows)


def _volume(cubic_ticks: int, unit: str) -> str:
    if unit in ("in", "thou"):
        return f"{cubic_ticks / 2_540_000**3:.3f} in3"
    return f"{cubic_ticks / 1_000_000**3:.2f} cm3"


def _cylinder(item: CylinderPlan, show: Show) -> Iterator[RenderableType]:
    yield heading(f"Cylinder {item.cylinder}: {_named(item.piston)}, {item.route}")
    yield facts([*_parts(item, show), *_sizes(item, show), *_left(item, show)])
    yield from _fits(item.fits, show)
    if item.hot:
        yield facts([("running hot", _hot(item, show))])


def _named(part: object) -> str:
    number, piece = getattr(part, "number", ""), getattr(part, "piece", "")
    kept = ", kept" if getattr(part, "kept", False) else ""
    return f"{number} ({piece}{kept})" if piece else number


def _parts(item: CylinderPlan, show: Show) -> Iterator[tuple[str, str]]:
    oversize = show.size(item.oversize, sign=True)
    yield (
        "piston",
        f"{_named(item.piston)}, skirt {show.between(item.skirt)}, oversize {oversize}",
    )
    for ring in item.rings:
        filed = f", file off up to {show.said(ring.filing, 'up')}" if ring.filing else ""
        yield f"ring {ring.groove}", _named(ring) + filed
    for gasket in item.gaskets:
        yield f"gasket, {gasket.place}", f"{gasket.count} x {gasket.number}"


def _sizes(item: CylinderPlan, show: Show) -> Iterator[tuple[str, str]]:
    if not item.machined:
        yield "bore", f"left as it is, {show.between(_bore(item))} {show.symbol}"
        return
    # The finish is the lowest permitted size, so it is rounded up, never past the highest.
    large, highest = show.permitted(item.finish_large, item.highest)
    if item.finish_small == item.finish_large:
        yield "finish size", f"{large} {show.symbol} (aim), half-width {show.size(item.half_width)}"
    else:
        small, _ = show.permitted(item.finish_small, item.highest_small)
        yield (
            "finish size",
            f"{small} for the smallest piston to {large} {show.symbol} for the largest, "
            f"half-width {show.size(item.half_width)}",
        )
        yield "", "measure the piston first: it decides between the two"
    for_whom = "" if item.finish_small == item.finish_large else " (largest piston)"
    lowest, highest = show.permitted(item.lowest, item.highest)
    limit = "no highest" if item.highest is None else f"highest {highest}"
    yield "permitted", f"lowest {lowest}, {limit}{for_whom}"
    if item.finish_small != item.finish_large and item.highest_small is not None:
        small, most = show.permitted(item.finish_small, item.highest_small)
        yield "", f"lowest {small}, highest {most} (smallest piston)"
    yield from _dial(item, show)
    yield (
        "stock",
        f"{show.size(item.stock_worst, 'up')} at the worst reading, "
        f"{show.size(item.stock_tightest, 'up')} at the tightest; "
        f"removal {show.size(item.removal, 'up')}",
    )


def _bore(item: CylinderPlan) -> Range:
    return Range(low=item.bore_low, high=item.bore_high)


def _dial(item: CylinderPlan, show: Show) -> Iterator[tuple[str, str]]:
    """What the gauge reads at the finish size, as zeroed and zeroed on the new piston."""
    if item.dial_stop is not None and item.dial_zero is not None:
        on = "the piston, " if item.dial_zero_on_piston else ""
        yield (
            "dial stops at",
            f"{_reading(item.dial_stop, show)}, gauge zeroed at {on}{show.said(item.dial_zero)}",
        )
    yield (
        "dial stops at" if item.dial_stop is None else "or dial at",
        f"{_reading(item.dial_on_piston, show)}, gauge zeroed on the new piston",
    )


def _reading(value: Range, show: Show) -> str:
    low = show.size(value.low, "up", sign=True)
    if value.known:
        return low
    return f"{low} to {show.size(value.high, 'up', sign=True)}"


def _left(item: CylinderPlan, show: Show) -> Iterator[tuple[str, str]]:
    said = []
    if item.left_to_limit is not None:
        said.append(f"{show.size(item.left_to_limit, 'down')} to the bore limit")
    for larger in item.larger_sizes:
        over = "" if larger.within_limit else ", beyond the limit"
        said.append(
            f"{show.size(larger.metal_to_it, 'down')} to "
            f"{show.size(larger.oversize, sign=True)}{over}"
        )
    if said:
        yield "left afterwards", "; ".join(said)
    else:
        yield "left afterwards", "no larger size in the catalogue, no bore limit given"


def _fits(fits: Sequence[Fit], show: Show) -> Iterator[RenderableType]:
    notes = list(dict.fromkeys(_note(fit, show) for fit in fits if _note(fit, show)))
    columns = ("fit", "window", "expect", "below", "above")
    found = table(columns, right=("below", "above"))
    for fit in fits:
        note = _note(fit, show)
        letter = f" {_letter(notes.index(note))}" if note else ""
        found.add_row(
            _fit_name(fit) + letter,
            show.window(fit.low, fit.high),
            show.expected(fit.least, fit.most, fit.low, fit.high),
            show.size(fit.slack_low, "down"),
            show.size(fit.slack_high, "down"),
        )
    yield Padding(found, (1, 0, 1, 0))
    yield facts((_letter(index), note) for index, note in enumerate(notes))


def _note(fit: Fit, show: Show) -> str:
    """Who says so, what was given up to measurement, and whether the limit for used parts holds."""
    said = [fit.source] if fit.source else []
    if fit.guard:
        said.append(f"slack is left after a guard of {show.size(fit.guard, 'up')} on each side")
    if fit.service and (fit.low is not None or fit.high is not None):
        said.append("limit for used parts")
    return ", ".join(said)


def _letter(index: int) -> str:
    return chr(ord("a") + index) if index < 26 else str(index)


def _fit_name(fit: Fit) -> str:
    groove = "" if fit.groove is None else f" {fit.groove}"
    return fit.fit.replace("_", " ").replace("out of round", "out-of-round") + groove


def _hot(item: CylinderPlan, show: Show) -> str:
    return "; ".join(
        f"{hot.what.replace('_', ' ')}{'' if hot.groove is None else f' {hot.groove}'} at least "
        f"{show.size(hot.least, 'down')}"
        for hot in item.hot
    )


def _levels(levels: Sequence[ObjectiveValue], currency: str, show: Show) -> RenderableType:
    said = []
    for item in levels:
        if item.level == "part_number":
            said.append(f"part numbers: {'first of all equals' if item.proven else 'not proven'}")
            continue
        value = _value(item.level, item.value, currency, show)
        bound = _value(item.level, item.bound, currency, show)
        proof = "proven" if item.proven else f"not proven, at least {bound}"
        said.append(f"{_LEVELS[item.level]}: {value} ({proof})")
    return bullets(said)


def _value(level: str, value: int, currency: str, show: Show) -> str:
    if level in _LENGTHS:
        return show.said(value, "up")
    return money(value, currency) if level == "price" else str(value)
