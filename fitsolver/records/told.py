"""What reports, drawings and the sheet say alike of an answer."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.records.figures import NONE, Figures, money
from fitsolver.records.plan import Answer, Plan, RowLeftOut
from fitsolver.records.stages import StageCut


def headlines(answer: Answer) -> Iterator[str]:
    """Yield what was asked and not, accepted against a doubt, passed over, and left out."""
    question = answer.question
    yield f"asked: {', '.join(question.asked) or 'no fit'}"
    if question.not_asked:
        yield f"NOT ASKED: {', '.join(question.not_asked)}"
    yield from (f"ACCEPTED against a doubt: {sentence}" for sentence in question.accepted)
    yield from (f"PASSED OVER: {sentence}" for sentence in answer.passed_over)
    yield from map(_left_out, answer.left_out)


def _left_out(row: RowLeftOut) -> str:
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
