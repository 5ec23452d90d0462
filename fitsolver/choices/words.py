"""Lengths in sentences on choices: rounded to the safe side."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from fitsolver.base.lengths import Side, Unit, format_length
from fitsolver.records.base import Range

#: The most parts named in one sentence; the others are counted.
_NAMED: Final = 3


def say(ticks: int, unit: Unit, side: Side = "nearest") -> str:
    """Return a length with its unit."""
    return format_length(ticks, unit, side, symbol=True)


def range_words(value: Range, unit: Unit) -> str:
    """Return a part's size: one figure, or its least and most."""
    if value.known:
        return say(value.low, unit)
    return f"{format_length(value.low, unit, 'down')} to {say(value.high, unit, 'up')}"


def asked_words(low: int | None, high: int | None, unit: Unit) -> str:
    """Return the required edges of a fit (ticks); None: no limit on that side."""
    if low is None:
        return "any" if high is None else f"up to {say(high, unit, 'down')}"
    if high is None:
        return f"from {say(low, unit, 'up')}"
    return f"{format_length(low, unit, 'up')} to {say(high, unit, 'down')}"


def some_of(numbers: Sequence[str]) -> str:
    """Return part numbers as a list in words; a long list ends in a count."""
    named = numbers if len(numbers) <= _NAMED + 1 else numbers[:_NAMED]
    rest = [f"{len(numbers) - len(named)} more"] if len(named) < len(numbers) else []
    *first, last = [*named, *rest]
    return f"{', '.join(first)} and {last}" if first else last


def told_alike(told: Iterable[tuple[str, str]]) -> list[str]:
    """Return sentences on parts (number, sentence), one for all with equal figures.

    A sentence that ends with its part's number can cover several parts.
    """
    alike: dict[str, list[str]] = {}
    for number, sentence in sorted(set(told)):
        ends = sentence.endswith(number)
        numbers = alike.setdefault(sentence.removesuffix(number), [])
        numbers += [number] if ends else []
    return [f"{said}{some_of(numbers)}" if numbers else said for said, numbers in alike.items()]
