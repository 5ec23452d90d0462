"""Compares what a page shows with what came out. A line `...` stands for any lines."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import SequenceMatcher

ANY = "..."
#: Below this likeness a line is not taken for the changed form of another.
ALIKE = 0.6


class NoPlaceError(ValueError):
    """A part of the output between two `...` cannot be found again: edit the page by hand."""


def parts(shown: Sequence[str]) -> list[list[str]]:
    """Split at the lines `...`: parts that must appear in this order."""
    found: list[list[str]] = [[]]
    for line in shown:
        if line == ANY:
            found.append([])
        else:
            found[-1].append(line)
    return found


def agrees(shown: Sequence[str], actual: Sequence[str]) -> bool:
    """Tell whether the page shows the output; nothing but `...` is fuzzy."""
    first, *rest = parts(shown)
    if not rest:
        return list(actual) == first
    if list(actual[: len(first)]) != first:
        return False
    at = len(first)
    for part in rest[:-1]:
        places = range(at, len(actual) - len(part) + 1)
        place = next((p for p in places if list(actual[p : p + len(part)]) == part), None)
        if place is None:
            return False
        at = place + len(part)
    last = rest[-1]
    return len(actual) - len(last) >= at and list(actual[len(actual) - len(last) :]) == last


def refreshed(shown: Sequence[str], actual: Sequence[str]) -> list[str]:
    """Return what the page should show: the output, left out where the page left it out.

    Each part keeps its first and last line where they are found again, or their nearest
    likeness. Raises NoPlaceError when there is none.
    """
    if agrees(shown, actual):
        return list(shown)
    found = parts(shown)
    lines: list[str] = []
    at = 0
    for number, part in enumerate(found):
        if number:
            lines.append(ANY)
        start, end = at, len(actual)
        if number and part:
            start = _place(part[0], actual, at, at)
        if number < len(found) - 1:
            end = _place(part[-1], actual, start, start + len(part) - 1) + 1 if part else start
        if part or len(found) == 1:
            lines += actual[start:end]
            at = end
    return lines


def _place(line: str, actual: Sequence[str], least: int, likely: int) -> int:
    """Find a line from `least` on: the same one nearest to `likely`, else the one most alike."""
    rows = range(least, len(actual))
    same = [row for row in rows if actual[row] == line]
    if same:
        return min(same, key=lambda row: abs(row - likely))
    alike = [(SequenceMatcher(None, line, actual[row]).ratio(), -row) for row in rows]
    best, row = max(alike, default=(0.0, 0))
    if best < ALIKE:
        raise NoPlaceError(f"no line is like {line!r}")
    return -row
