"""A shortage in words: the takers, their pieces, the stock, the size that would serve one more."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from fitsolver.base.lengths import Unit, format_length, places_of
from fitsolver.records.figures import Figures

#: The most takers called by name.
_MOST_NAMED: Final = 6


class Noun(NamedTuple):
    """A word for one and for more than one."""

    one: str
    more: str


BORE: Final = Noun("bore", "bores")
PIECE: Final = Noun("piece", "pieces")
CYLINDER: Final = Noun("cylinder", "cylinders")
PISTON: Final = Noun("piston", "pistons")


def span(low: int, high: int, unit: Unit) -> str:
    """Return sizes to ask for with their unit, rounded inwards; one figure where its ends are one.

    More decimals appear where workshop decimals would leave an empty range.
    """
    return _with_unit(*Figures(unit).permitted(low, high), unit)


def _measured(low: int, high: int, unit: Unit, places: int) -> str:
    low_text, high_text = (format_length(each, unit, places=places) for each in (low, high))
    return _with_unit(low_text, high_text, unit)


def _taken(takes: tuple[int, int], unit: Unit, places: int) -> str:
    return _with_unit(*Figures(unit).permitted(*takes, places=places), unit)


def _with_unit(low: str, high: str, unit: Unit) -> str:
    symbol = Figures(unit).symbol
    return f"{low} {symbol}" if low == high else f"{low} to {high} {symbol}"


def listed(names: Sequence[str]) -> str:
    """Return names as a sentence lists them."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def called(names: Sequence[str], noun: Noun) -> str:
    """Return the names of a few takers, else their number."""
    word = noun.one if len(names) == 1 else noun.more
    return f"{word} {listed(names)}" if len(names) <= _MOST_NAMED else f"{len(names):,} {word}"


class Short(NamedTuple):
    """A shortage: names and sizes of the takers, their pieces with number and sizes.

    `there` are sizes of the pieces, with the smallest and the largest among them.
    """

    names: Sequence[str]
    sizes: tuple[int, int]
    takes: tuple[int, int]
    few: int
    there: Sequence[int]
    named: Sequence[str] = ()


def shortage_words(short: Short, takers: Noun, taken: Noun, unit: Unit, grade: str = "") -> str:
    """Return one sentence: sizes as they were measured, those that serve rounded inwards."""
    places = places_of((*short.sizes, *short.there), unit)
    few, count = short.few, len(short.names)
    verb = "takes" if count == 1 else "take"
    of_grade = f" of grade {grade}" if grade else ""
    which = ""
    if few:
        sizes = _measured(min(short.there), max(short.there), unit, places)
        names = f"{listed(short.named)}, " if 0 < len(short.named) <= _MOST_NAMED else ""
        which = f" ({names}{sizes})"
    lacking = count - few
    fate = "left without" if takers is CYLINDER else "left over"
    another = "it" if count == 1 else "one more of them"
    measured = _measured(*short.sizes, unit, places)
    serving = f"of {_taken(short.takes, unit, places)}"
    return (
        f"{count:,} needed, {f'{few:,}' if few else 'none'} there{which}, {lacking:,} {fate}: "
        f"{called(short.names, takers)} ({measured}) {verb} {taken.more}{of_grade} "
        f"{serving}; one {taken.one} more of that size would serve {another}"
    )
