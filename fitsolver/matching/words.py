"""A shortage in words: who takes what, how many of these there are, what would serve one more."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from fitsolver.base.lengths import Unit, exact_text, format_length, parse_length

#: So many are called by name.
_MOST_NAMED: Final = 6


class Noun(NamedTuple):
    """A word for one and for more than one."""

    one: str
    more: str


BORE: Final = Noun("bore", "bores")
PIECE: Final = Noun("piece", "pieces")
CYLINDER: Final = Noun("cylinder", "cylinders")
PISTON: Final = Noun("piston", "pistons")


def figure(ticks: int, unit: Unit) -> str:
    """Return a length with the decimals of a workshop, with more where it needs them."""
    text = format_length(ticks, unit)
    return text if parse_length(text, unit) == ticks else exact_text(ticks, unit)


def span(low: int, high: int, unit: Unit) -> str:
    """Return a range of lengths with its unit; one figure where its ends are one."""
    symbol = format_length(0, unit, symbol=True).split(" ")[1]
    if low == high:
        return f"{figure(low, unit)} {symbol}"
    return f"{figure(low, unit)} to {figure(high, unit)} {symbol}"


def listed(names: Sequence[str]) -> str:
    """Return names as a sentence lists them."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def called(names: Sequence[str], noun: Noun) -> str:
    """Return the takers by name where they are few, else their number."""
    word = noun.one if len(names) == 1 else noun.more
    return f"{word} {listed(names)}" if len(names) <= _MOST_NAMED else f"{len(names):,} {word}"


class Short(NamedTuple):
    """A shortage: names of the takers, their sizes, what they take, how few of it, sized how.

    `there` are sizes of what there is, its smallest and its largest among them.
    """

    names: Sequence[str]
    sizes: tuple[int, int]
    takes: tuple[int, int]
    few: int
    there: Sequence[int]
    named: Sequence[str] = ()


def shortage_words(short: Short, takers: Noun, taken: Noun, unit: Unit, grade: str = "") -> str:
    """Return one sentence; all figures are exact."""
    few, count = short.few, len(short.names)
    verb = "takes" if count == 1 else "take"
    of_grade = f" of grade {grade}" if grade else ""
    which = ""
    if few:
        sizes = span(min(short.there), max(short.there), unit)
        names = f"{listed(short.named)}, " if 0 < len(short.named) <= _MOST_NAMED else ""
        which = f" ({names}{sizes})"
    lacking = count - few
    fate = "left without" if takers is CYLINDER else "left over"
    another = "it" if count == 1 else "one more of them"
    return (
        f"{count:,} needed, {f'{few:,}' if few else 'none'} there{which}, {lacking:,} {fate}: "
        f"{called(short.names, takers)} ({span(*short.sizes, unit)}) {verb} {taken.more}{of_grade} "
        f"of {span(*short.takes, unit)}; one {taken.one} more of that size would serve {another}"
    )
