"""Slips of the pen in logs of passes: how many that do harm go unnamed?

Every figure of every check of drawn hones is typed wrong in every way of `slips`. A slip is *named*
where the log is then refused, as no reading of this bore or as a doubt. An unnamed one *does harm*
where the advice changes the parts or the finish: parts are picked anew although the bore is inside
its window; the hone stops more than the window below the lowest size; or the next strokes take the
true bore past the highest size although those advised without the slip do not.

Run it with `python -m tests.bench.slips_hone [HONES] [CLEAN]`.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from typing import NamedTuple

import numpy as np

from fitsolver.base.errors import InputError
from fitsolver.honing.doubts import judged
from fitsolver.honing.log import Entry
from fitsolver.honing.log_line import entry_line, parse_entry
from fitsolver.records.hone import HoneState

from .drawn_hones import Drawn, Step, draw

_ADDED_MM = ("0.2", "0.25", "1")
HEAD = {1: "strokes", 3: "temperature"}


class Slip(NamedTuple):
    """One figure typed wrong: how, and what stands there then."""

    kind: str
    text: str


def slips(figure: str, unit: str, *, length: bool = True) -> Iterator[Slip]:
    """Yield the wrong figures: swapped digits, sign, decimal point, a slip of the dial."""
    for place in range(len(figure) - 1):
        a, b = figure[place : place + 2]
        if a.isdigit() and b.isdigit() and a != b:
            yield Slip("swapped digits", figure[:place] + b + a + figure[place + 2 :])
    value = Decimal(figure)
    yield Slip("x 10", f"{value * 10:f}")
    yield Slip("/ 10", f"{value / 10:f}")
    if not length:
        return
    yield Slip("sign", f"{-value:f}")
    for text in _ADDED_MM:
        added = Decimal(text) / (Decimal("25.4") if unit == "in" else 1)
        added = added.quantize(Decimal("0.00005"))
        yield Slip(f"+-{text} mm", f"{value + added:f}")
        yield Slip(f"+-{text} mm", f"{value - added:f}")


def slipped(step: Step, unit: str) -> Iterator[tuple[str, Slip, tuple[str, ...]]]:
    """Yield every slip of an entry: which figure, how, and its cells then."""
    for place, cell in enumerate(step.cells):
        *before, figure = cell.split()
        if place in HEAD:
            if place == 1 and figure == "0":
                continue
            for slip in slips(figure, unit, length=False):
                yield HEAD[place], slip, _with(step, place, slip.text)
        elif place > 3:
            for slip in slips(figure, unit):
                yield "reading", slip, _with(step, place, " ".join((*before, slip.text)))


def _with(step: Step, place: int, text: str) -> tuple[str, ...]:
    return (*step.cells[:place], text, *step.cells[place + 1 :])


def harms(drawn: Drawn, step: Step, clean: HoneState, now: HoneState) -> bool:
    """Tell whether an advice does harm that the one without the slip does not."""
    low, high = drawn.target.low, drawn.target.high
    if now.advice == "too large":
        return clean.advice != "too large" and step.largest <= high
    if now.advice == "stop":
        return clean.advice != "stop" and step.smallest < low - (high - low)
    after = step.largest + step.pace * (now.next_count or 0)
    with_clean = step.largest + step.pace * (clean.next_count or 0)
    return after > max(high, with_clean) and step.largest <= high


class Tally(NamedTuple):
    """Slips of one kind: all, named, unnamed and harmful, harmful before doubts were raised."""

    slips: int
    named: int
    harmful: int
    before: int


def judge(drawn: Drawn) -> Counter[tuple[str, str, str]]:
    """Count the slips of one hone by figure, kind and outcome."""
    found: Counter[tuple[str, str, str]] = Counter()
    for place, step in enumerate(drawn.steps):
        earlier = drawn.entries(drawn.lines(place))
        clean = drawn.state(drawn.entries(drawn.lines(place + 1)))
        for figure, slip, cells in slipped(step, drawn.job.unit):
            found[figure, slip.kind, "slips"] += 1
            for outcome in _outcomes(drawn, step, clean, earlier, cells):
                found[figure, slip.kind, outcome] += 1
    return found


def _outcomes(
    drawn: Drawn, step: Step, clean: HoneState, earlier: list[Entry], cells: tuple[str, ...]
) -> Iterator[str]:
    try:
        done = parse_entry(entry_line(cells), drawn.job)
    except InputError:
        yield "named"
        return
    entries = [*earlier, Entry(len(earlier) + 1, done)]
    _, doubts = judged(drawn.job, drawn.cylinder, entries, "", drawn.start, frozenset())
    if doubts:
        yield "named"
    bad = harms(drawn, step, clean, drawn.state(entries))
    if bad and not doubts:
        yield "harmful"
    if bad and not any("takes metal away" in doubt.sentence for doubt in doubts):
        yield "before"


def false_alarm(drawn: Drawn) -> bool:
    """Tell whether anything of a clean hone is doubted."""
    entries = drawn.entries(drawn.lines(len(drawn.steps)))
    return bool(judged(drawn.job, drawn.cylinder, entries, "", drawn.start, frozenset())[1])


def tallies(hones: list[Drawn]) -> dict[tuple[str, str], Tally]:
    """Return the tally of each figure and kind of slip over many hones."""
    found: Counter[tuple[str, str, str]] = Counter()
    for drawn in hones:
        found += judge(drawn)
    kinds = dict.fromkeys((figure, kind) for figure, kind, _ in sorted(found))
    return {
        (figure, kind): Tally(
            *(found[figure, kind, name] for name in ("slips", "named", "harmful", "before"))
        )
        for figure, kind in kinds
    }


def main(hones: int = 60, clean: int = 2_000) -> None:
    """Print the table of slips, and the false alarms of clean hones."""
    dice = np.random.default_rng(5)
    drawn = [draw(dice) for _ in range(hones)]
    print(f"{'figure':12} {'slip':15} {'slips':>8} {'named':>8} {'harmful':>8} {'before':>8}")
    for (figure, kind), row in tallies(drawn).items():
        print(f"{figure:12} {kind:15}", *(f"{count:8}" for count in row))
    alarms = sum(false_alarm(draw(dice)) for _ in range(clean))
    print(f"false alarms: {alarms} of {clean} clean hones ({alarms / clean:.2%})")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
