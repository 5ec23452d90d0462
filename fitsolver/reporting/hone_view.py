"""The report of bores at the hone: metal left, removal rate, next step."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import TYPE_CHECKING

from fitsolver.base.lengths import small_length
from fitsolver.records.hone import NoStrokes, StatedRisk
from fitsolver.reporting.attention import Item, together
from fitsolver.reporting.caution_view import of_cylinder
from fitsolver.reporting.layout import SCREEN, bullets, heading, indented, pairs, text
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.tables import table
from fitsolver.reporting.targets import Target, sizes

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.figures import Figures
    from fitsolver.records.hone import HoneAnswer, HoneState, RemovalRate

#: Checks shown of each cylinder; the document has all.
_SHOWN = 8
#: Most cylinders shown with all figures.
_FEW = 2


def hone_view(
    answer: HoneAnswer, figures: Figures, opened: Opened = WHOLE
) -> Iterator[RenderableType | Section]:
    """Yield a line a cylinder: next, left, stop; then the advice and the figures it rests on.

    One or two cylinders come with their figures, more by name.
    """
    yield ""
    yield from (text(line, "bold reverse") for line in on_top(answer.cylinders, figures))
    few = len(answer.cylinders) <= _FEW
    asked = [Item(state.cylinder, state.question) for state in answer.cylinders if state.question]
    if asked and not few and not opened.has("cylinders"):
        yield heading("NEEDS ATTENTION")
        yield bullets(together(asked))
    for state in answer.cylinders:
        if not few and not opened.has("cylinders"):
            continue
        yield from _cylinder(state, figures)
    if not few:
        yield Section("cylinders", ())


def entry_view(
    answer: HoneAnswer,
    figures: Figures,
    every: Sequence[HoneState],
    said: Collection[str] = (),
) -> Iterator[RenderableType]:
    """Yield what a screen at the hone shows before its questions: the line of `every` cylinder,
    the advice of one or two answered now, and the cautions that were not `said` before."""
    yield ""
    yield from (text(line, "bold reverse") for line in on_top(every, figures))
    few = len(answer.cylinders) <= _FEW
    told = [Item(state.cylinder, state.sentence) for state in answer.cylinders if few]
    told += [Item(state.cylinder, state.question) for state in answer.cylinders if state.question]
    if told:
        yield bullets(together(told))
    if new := [caution for caution in answer.cautions if caution not in said]:
        yield "Cautions"
        yield bullets(together(map(of_cylinder, new)))


def on_top(states: Sequence[HoneState], figures: Figures) -> Iterator[str]:
    """Yield a line a cylinder: next strokes, metal left at the tightest place, size to stop at.

    In columns; a name that would not fit the screen is cut short.
    """
    rows = [(state.cylinder, *_told(state, figures)) for state in states]
    wide = [max(len(row[place]) for row in rows) for place in range(3)]
    for name, what, left, stop in rows:
        rest = f"  {what:<{wide[1]}}  LEFT {left:>{wide[2]}}  STOP {stop}"
        room = SCREEN - len("CYL. ") - len(rest)
        cut = name if len(name) <= room else f"{name[: room - 3]}..."
        yield f"CYL. {cut:<{min(wide[0], room)}}{rest}"


def _told(state: HoneState, figures: Figures) -> tuple[str, str, str]:
    told = state.based_on
    what = told.why.upper() if isinstance(told, NoStrokes) else _next(state)
    metal = state.now.stock_tightest
    left = figures.down(metal) if metal > 0 else "none"
    size, dial = _stop(state, figures)
    return what, left, f"{size}{f', dial {dial}' if dial else ''}"


def _stop(state: HoneState, figures: Figures) -> tuple[str, str]:
    """Return the size at which the plan stops, and the dial there at 20 °C if it is known."""
    target = Target("", state.stop.high, state.lowest, state.highest, None)
    size = sizes(target, 0, figures).aim
    if state.dial_stop is None:
        return size, ""
    return size, sizes(target, target.size - state.dial_stop.high, figures).aim


def _next(state: HoneState) -> str:
    return f"NEXT {state.next_count} {state.counted_in}"


def _cylinder(state: HoneState, figures: Figures) -> Iterator[RenderableType]:
    yield heading(f"Cylinder {state.cylinder}")
    yield indented(state.sentence, "bold")
    if state.question:
        yield indented(state.question)
    yield ""
    yield pairs(_facts(state, figures))
    yield ""
    yield _checks(state, figures)


def _facts(state: HoneState, figures: Figures) -> Iterator[tuple[str, str]]:
    now = state.now
    yield "finish size", _finish(state, figures)
    low, high = figures.permitted(state.local_low, state.local_high)
    half = figures.near(state.lowest - state.local_low)
    yield "every reading", f"{low} to {high}: the permitted finish sizes, ±{half} around them"
    if state.dial_low is not None and state.dial_high is not None:
        dials = figures.permitted(state.dial_low, state.dial_high, sign=True)
        yield (
            "on the dial",
            f"{dials[0]} to {dials[1]}, the bore at {now.temperature / 1000:g} °C",
        )
    if state.dial_cool is not None:
        cool = figures.permitted(state.dial_cool.low, state.dial_cool.high, sign=True)
        yield "once cooled", f"{cool[0]} to {cool[1]}, the bore at 20 °C"
    read = f", the mean of {now.times} readings" if now.times > 1 else ""
    yield "bore now", f"{figures.near(now.smallest)} to {figures.near(now.largest)} at 20 °C{read}"
    if now.correction:
        yield "warm bore", f"corrected by {figures.near(now.correction, sign=True)} to 20 °C"
    yield (
        "to the lowest",
        f"{figures.down(now.stock_tightest)} where tightest, "
        f"{figures.down(now.stock_worst)} at the worst place",
    )
    yield "to the highest", f"{figures.down(now.room)} at the worst place"
    if state.rate is not None:
        yield "removal", _rate(state.rate, figures)
    if isinstance(state.based_on, StatedRisk):
        yield (
            "largest then",
            f"{figures.up(state.based_on.largest)} at most ({1 - state.based_on.limit:.1%} sure)",
        )
    if state.first is not None and state.first.count:
        yield "largest then", f"{figures.up(state.first.largest)} at most, at that pace"
    yield (
        "form",
        f"out-of-round {figures.near(now.out_of_round)}, taper "
        f"{figures.near(now.taper, sign=True)}, {state.form.shape}; since the check before: "
        f"{state.trend}",
    )


def _finish(state: HoneState, figures: Figures) -> str:
    """Return the size that the plan stops at, as `pick` and the machining plan name it."""
    low, high = figures.permitted(state.lowest, state.highest)
    size, dial = _stop(state, figures)
    at = f", dial {dial} at 20 °C" if dial else ""
    return f"{size}{at}, as in the plan; permitted {low} to {high}"


def _rate(rate: RemovalRate, figures: Figures) -> str:
    unit = figures.unit
    each = rate.counted_in.removesuffix("s")
    stones = f", stones {rate.stones}" if rate.stones else ""
    return (
        f"{small_length(rate.rate, unit, finer=True)} per {each}, standard uncertainty "
        f"{small_length(rate.uncertainty, unit, 'up', finer=True)}{stones} "
        f"({rate.checks} checks); a pass scatters by "
        f"{rate.scatter:.0%}"
    )


def _checks(state: HoneState, figures: Figures) -> RenderableType:
    return table(
        (
            ("check", "figure"),
            (state.counted_in, "figure"),
            ("stones", "text"),
            ("°C", "figure"),
            ("smallest", "figure"),
            ("largest", "figure"),
            ("to lowest", "figure"),
            ("to highest", "figure"),
        ),
        [
            (
                str(check.number) + (" (read again)" if check.replaced else ""),
                str(check.count),
                check.cut or check.stones or "-",
                f"{check.temperature / 1000:g}",
                figures.near(check.smallest),
                figures.near(check.largest),
                figures.down(check.stock_tightest),
                figures.down(check.room),
            )
            for check in state.checks[-_SHOWN:]
        ],
    )
