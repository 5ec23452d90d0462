"""Two sides paired: the pairs, the rows left over, and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.base.version import __version__
from fitsolver.matching.pair import Expired, Pairing, best_pairing, centred
from fitsolver.matching.shortage import Shortage
from fitsolver.matching.words import BORE, PIECE, Short, shortage_words
from fitsolver.pairing.measured import Side
from fitsolver.planning.cautions import SHEETS
from fitsolver.records.base import Range
from fitsolver.records.pairing import (
    MadePair,
    NotPaired,
    PairAnswer,
    PairShortage,
    PairStatus,
)

#: Longer tables (rows of both) list pairs and leftovers in the output table only.
MOST_LISTED: Final = 20_000
_MOST_SHORT: Final = 100
_CAUTIONS: Final = (
    "Tight skirts seize engines and can throw parts: measure bore and piece again, side by side, "
    "before they go together.",
    "Sizes mean 20 °C, measured where and as the sheet says: the clearance is that of one size of "
    "the bore and one of the piece.",
    SHEETS,
)


@dataclass(frozen=True)
class Paired:
    """Bores and pieces with their pairing.

    `piece_of` and `bore_of` hold numbers of rows (-1: left over); `short_of` and `short_of_piece`
    the number of the shortage that each bore and piece left over stands in.
    """

    bores: Side
    pieces: Side
    window: Range
    pairing: Pairing
    piece_of: list[int]
    bore_of: list[int]
    shortages: list[PairShortage]
    short_of: dict[int, int]
    short_of_piece: dict[int, int]


def paired(
    bores: Side, pieces: Side, window: Range, unit: Unit, expired: Expired = lambda: False
) -> Paired:
    """Return the best pairing of two sides.

    Grades must match where both sides have them. Raises InputError where one side only has
    grades, and where the sizes are of different kinds (a wrong unit).
    """
    _comparable(bores, pieces)
    grades = {grade: at for at, grade in enumerate(sorted({*bores.grades, *pieces.grades}))}
    order_b, order_p = _order(bores, grades), _order(pieces, grades)
    places, offered, reach = centred(
        [bores.sizes[at] for at in order_b],
        [pieces.sizes[at] for at in order_p],
        window.low,
        window.high,
    )
    if len(grades) > 1:
        apart = max(*places, *offered) - min(*places, *offered) + 2 * reach + 2
        places = [
            p + apart * grades[bores.grades[at]] for p, at in zip(places, order_b, strict=True)
        ]
        offered = [
            p + apart * grades[pieces.grades[at]] for p, at in zip(offered, order_p, strict=True)
        ]
    pairing = best_pairing(places, offered, reach, expired)
    piece_of, bore_of = [-1] * len(bores), [-1] * len(pieces)
    for bore, piece in enumerate(pairing.mates):
        if piece >= 0:
            piece_of[order_b[bore]] = order_p[piece]
            bore_of[order_p[piece]] = order_b[bore]
    found: list[PairShortage] = []
    short_of: dict[int, int] = {}
    short_of_piece: dict[int, int] = {}
    of_bores = _Telling(bores, order_b, pieces, order_p, window, unit)
    for short in pairing.short_of_pieces:
        short_of |= dict.fromkeys(
            (order_b[at] for at in short.bores if pairing.mates[at] < 0), len(found)
        )
        found.append(of_bores.told(short, of_bore=True))
    of_pieces = _Telling(pieces, order_p, bores, order_b, window, unit)
    for short in pairing.short_of_bores:
        short_of_piece |= dict.fromkeys(
            (order_p[at] for at in short.bores if bore_of[order_p[at]] < 0), len(found)
        )
        found.append(of_pieces.told(short, of_bore=False))
    return Paired(
        bores, pieces, window, pairing, piece_of, bore_of, found, short_of, short_of_piece
    )


def _comparable(bores: Side, pieces: Side) -> None:
    if bores.has_grades != pieces.has_grades:
        without = pieces if bores.has_grades else bores
        raise InputError(
            "the other table has grades, this one has none", file=without.file, field="grade",
            allowed="grades in both tables, or in neither",
        )  # fmt: skip
    if min(bores.sizes) > 2 * max(pieces.sizes) or min(pieces.sizes) > 2 * max(bores.sizes):
        raise InputError(
            "bores and pieces are not of one size: a wrong unit?", file=pieces.file, field="size",
            found=f"{min(pieces.sizes) / 100_000:g} to {max(pieces.sizes) / 100_000:g} mm, bores "
            f"{min(bores.sizes) / 100_000:g} to {max(bores.sizes) / 100_000:g} mm",
            allowed="less than double",
        )  # fmt: skip


def _order(side: Side, grades: dict[str, int]) -> list[int]:
    """Return the rows by grade and size; ties by name and mark, so that row order has no effect."""
    return sorted(
        range(len(side)),
        key=lambda at: (
            grades[side.grades[at]],
            side.sizes[at],
            side.names[at],
            side.marks[at],
            side.rows[at],
        ),
    )


@dataclass(frozen=True)
class _Telling:
    """Writes shortages of one side out."""

    takers: Side
    order: Sequence[int]
    taken: Side
    order_taken: Sequence[int]
    window: Range
    unit: Unit

    def told(self, short: Shortage, *, of_bore: bool) -> PairShortage:
        rows = [self.order[at] for at in short.bores]
        low, high = self.takers.sizes[rows[0]], self.takers.sizes[rows[-1]]
        if of_bore:
            takes = low - self.window.high, high - self.window.low
        else:
            takes = low + self.window.low, high + self.window.high
        there = [self.taken.sizes[self.order_taken[at]] for at in range(short.first, short.end)]
        grade = self.takers.grades[rows[0]]
        names = [self.takers.label(row) for row in rows]
        nouns = (BORE, PIECE) if of_bore else (PIECE, BORE)
        return PairShortage(
            of="pieces" if of_bore else "bores",
            grade=grade,
            takers=len(rows),
            sizes=Range(low=low, high=high),
            takes=Range(low=takes[0], high=takes[1]),
            there=len(there),
            left_over=short.lacking,
            sentence=shortage_words(
                Short(names, (low, high), takes, len(there), there), *nouns, self.unit, grade
            ),
        )


def answer_of(found: Paired, unit: Unit, like: str | None, out: str | None) -> PairAnswer:
    """Return the document of a pairing."""
    bores, pieces, pairing = found.bores, found.pieces, found.pairing
    count = sum(piece >= 0 for piece in found.piece_of)
    status: PairStatus = "all bores served" if count == len(bores) else "bores left over"
    listed = len(bores) + len(pieces) <= MOST_LISTED
    shortages = found.shortages
    if not listed:
        most = sorted(range(len(shortages)), key=lambda at: (-shortages[at].left_over, at))
        shortages = [shortages[at] for at in sorted(most[:_MOST_SHORT])]
    return PairAnswer(
        program_version=__version__,
        bores=bores.file,
        pieces=pieces.file,
        like=like,
        unit=unit,
        window=found.window,
        status=status if pairing.proven else "best found",
        bore_count=len(bores),
        piece_count=len(pieces),
        paired=count,
        largest_deviation=pairing.largest,
        largest_deviation_bound=pairing.largest_bound,
        sum_of_deviations=pairing.total,
        sum_of_deviations_bound=pairing.total_bound,
        listed=listed,
        pairs=tuple(_pairs(found)) if listed else (),
        left_over=tuple(_left_over(found)) if listed else (),
        shortages=tuple(shortages),
        out=out,
        cautions=_CAUTIONS,
    )


def off_middle(found: Paired, bore: int, piece: int) -> int:
    """Return the clearance of a pair less the middle of the window, in half ticks."""
    clearance = found.bores.sizes[bore] - found.pieces.sizes[piece]
    return 2 * clearance - found.window.low - found.window.high


def _pairs(found: Paired) -> Iterator[MadePair]:
    for bore, piece in enumerate(found.piece_of):
        if piece >= 0:
            yield MadePair(
                bore=found.bores.bore(bore),
                piece=found.pieces.piece(piece),
                clearance=found.bores.sizes[bore] - found.pieces.sizes[piece],
                off_middle=off_middle(found, bore, piece),
            )


def _left_over(found: Paired) -> Iterator[NotPaired]:
    for bore, piece in enumerate(found.piece_of):
        if piece < 0:
            yield NotPaired(bore=found.bores.bore(bore), shortage=found.short_of[bore])
    for piece, bore in enumerate(found.bore_of):
        if bore < 0:
            yield NotPaired(piece=found.pieces.piece(piece), shortage=found.short_of_piece[piece])
