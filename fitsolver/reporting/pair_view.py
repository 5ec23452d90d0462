"""The pairing of measured bores and pieces: counts, pairs, leftovers and their reasons."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from fitsolver.base.lengths import format_length, in_unit
from fitsolver.reporting.layout import Columns, bullets, heading, pairs, text
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.figures import Figures
    from fitsolver.records.pairing import MadePair, NotPaired, PairAnswer

#: Most pairs and shortages shown.
_SHOWN: Final = 40
_COLUMNS: Final[Columns] = (
    ("bore", "word"),
    ("size", "figure"),
    ("piece", "word"),
    ("size", "figure"),
    ("clearance", "figure"),
    ("off middle", "figure"),
)


def pair_view(answer: PairAnswer, _: Figures) -> Iterator[RenderableType]:
    """Yield the status, the counts, the pairs, and the leftovers with their reasons."""
    yield ""
    yield text(_status(answer), "bold" if answer.proven else "bold yellow")
    yield pairs(_facts(answer))
    if answer.pairs:
        yield heading("Pairs")
        yield table(_COLUMNS, [_row(answer, made) for made in answer.pairs[:_SHOWN]])
        yield from _more(len(answer.pairs), "pairs")
    if answer.left_over:
        yield heading("Left over")
        yield bullets(_left(answer, item) for item in answer.left_over[:_SHOWN])
        yield from _more(len(answer.left_over), "left over")
    if answer.shortages:
        yield heading("Why: what is short")
        yield bullets(short.sentence for short in answer.shortages[:_SHOWN])
        yield from _more(len(answer.shortages), "shortages")
    if not answer.listed and answer.out is None:
        yield ""
        yield text("The tables are too long to list the pairs here; --out TABLE writes them.")


def _status(answer: PairAnswer) -> str:
    if not answer.proven:
        return (
            "BEST FOUND in the time given: the number of pairs is the most there can be; the "
            "deviations may still become smaller."
        )
    return (
        "PROVEN BEST: no other pairing has more pairs, or as many and a smaller largest "
        "deviation, or as small a one and a smaller sum of deviations."
    )


def _facts(answer: PairAnswer) -> Iterator[tuple[str, str]]:
    window = answer.window
    yield "window", f"{_length(answer, window.low)} to {_length(answer, window.high)}"
    yield "bores", f"{answer.bore_count:,}"
    yield "pieces", f"{answer.piece_count:,}"
    yield "pairs", f"{answer.paired:,}"
    yield "bores left over", f"{answer.bore_count - answer.paired:,}"
    yield "pieces left over", f"{answer.piece_count - answer.paired:,}"
    for label, value, bound in (
        ("largest deviation", answer.largest_deviation, answer.largest_deviation_bound),
        ("sum of deviations", answer.sum_of_deviations, answer.sum_of_deviations_bound),
    ):
        gap = "" if value == bound else f"; proven: at least {_half(answer, bound)}"
        yield label, f"{_half(answer, value)} from the middle of the window{gap}"
    if answer.out is not None:
        yield "written to", answer.out


def _row(answer: PairAnswer, made: MadePair) -> tuple[str, ...]:
    return (
        made.bore.name,
        _length(answer, made.bore.size),
        f"{made.piece.number} {made.piece.piece}".strip(),
        _length(answer, made.piece.size),
        _length(answer, made.clearance),
        _half(answer, made.off_middle, sign=True),
    )


def _left(answer: PairAnswer, item: NotPaired) -> str:
    why = f"line {item.shortage + 1} below" if len(answer.shortages) > 1 else "see below"
    if item.bore is not None:
        return f"bore {item.bore.name}, {_length(answer, item.bore.size)}: {why}"
    assert item.piece is not None
    name = f"{item.piece.number} {item.piece.piece}".strip()
    return f"piece {name}, {_length(answer, item.piece.size)}: {why}"


def _more(count: int, what: str) -> Iterator[RenderableType]:
    if count > _SHOWN:
        yield text(f"  ... and {count - _SHOWN:,} more {what}; --json and --out TABLE have all")


def _length(answer: PairAnswer, ticks: int) -> str:
    return format_length(ticks, answer.unit)


def _half(answer: PairAnswer, halves: int, *, sign: bool = False) -> str:
    """Return half ticks as a length: exact in mm, else rounded to the sixth significant place."""
    places = {"mm": 6, "um": 3, "in": 7, "thou": 4}[answer.unit]
    value = in_unit(halves, answer.unit) / 2
    said = f"{float(value):{'+' if sign and halves else ''}.{places}f}"
    whole, _, decimals = said.partition(".")
    kept = decimals.rstrip("0").ljust({"mm": 3, "um": 1, "in": 5, "thou": 2}[answer.unit], "0")
    return f"{whole}.{kept}"
