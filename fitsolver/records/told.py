"""What reports, drawings and the sheet say alike of an answer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from fitsolver.records.figures import NONE, Figures, money
from fitsolver.records.plan import Answer, Plan, RowLeftOut
from fitsolver.records.stages import StageCut

#: How many consecutive numbers are told as a range.
_RUN: Final = 3


def headlines(answer: Answer) -> Iterator[str]:
    """Yield what was asked and not, accepted against a doubt, passed over, and left out."""
    yield from asked_lines(answer)
    yield from (f"ACCEPTED against a doubt: {sentence}" for sentence in answer.question.accepted)
    yield from (f"PASSED OVER: {sentence}" for sentence in answer.passed_over)
    yield from map(left_out, answer.left_out)


def asked_lines(answer: Answer) -> Iterator[str]:
    """Yield which fits were asked and which were not: what a proof is about."""
    question = answer.question
    yield f"asked: {fits_together(question.asked) or 'no fit'}"
    if question.not_asked:
        yield f"NOT ASKED: {fits_together(question.not_asked)}"


def left_out(row: RowLeftOut) -> str:
    """Return which row of the catalogue is left out, why, and what would change with it."""
    kits = f", and with it {', '.join(row.kits)}" if row.kits else ""
    return f"row {row.number} left out{kits} ({row.sentence}): {row.change}"


def order_rows(plan: Plan) -> Iterator[tuple[str, ...]]:
    """Yield the cells of the order list, line by line."""
    for line in plan.order:
        bought = line.source != "in hand"
        yield (
            line.number,
            line.what,
            str(line.count),
            line.source,
            money(line.price_each) if bought else NONE,
            money(line.price) if bought else NONE,
            str(line.days) if line.source == "order" else NONE,
        )


def dial_reading(cut: StageCut, reading: int | None, figures: Figures) -> str:
    """Return a dial reading, rounded as the size it stands for."""
    if reading is None:
        return figures.near(None)
    zero = cut.diameter - reading
    low = None if cut.lowest is None else cut.lowest - zero
    high = None if cut.highest is None else cut.highest - zero
    return figures.aim(reading, low, high, sign=True)


def cylinder_words(names: Sequence[str]) -> str:
    """Return cylinders by their names: `cylinder 2`, `cylinders 1 to 4, 7`."""
    return f"{'cylinder' if len(names) == 1 else 'cylinders'} {names_together(names)}"


def in_order(names: Iterable[str], order: Sequence[str]) -> tuple[str, ...]:
    """Return names, each once, in the order of the job."""
    return tuple(sorted(dict.fromkeys(names), key=order.index))


def names_together(names: Sequence[str]) -> str:
    """Return names in their order, numbers that follow each other as a range: `1 to 4, 7`."""
    runs: list[list[str]] = []
    for name in names:
        if runs and _follows(runs[-1][-1], name):
            runs[-1].append(name)
        else:
            runs.append([name])
    return ", ".join(
        f"{run[0]} to {run[-1]}" if len(run) >= _RUN else ", ".join(run) for run in runs
    )


def _follows(name: str, after: str) -> bool:
    plain = name.isascii() and name.isdigit() and after.isascii() and after.isdigit()
    return plain and str(int(name) + 1) == after


def fits_together(names: Sequence[str]) -> str:
    """Return names of fits, those that differ in the ring's groove as one: `end gap 1 to 3`."""
    found: dict[str, list[str]] = {}
    for name in names:
        word, _, groove = name.rpartition(" ")
        known = bool(word) and groove.isascii() and groove.isdigit()
        found.setdefault(word if known else name, []).extend([groove] if known else [])
    return ", ".join(
        f"{word} {names_together(grooves)}" if grooves else word for word, grooves in found.items()
    )
