"""The history of one cylinder, and the results of a search of the book."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil
from typing import TYPE_CHECKING, Final

from rich.console import RenderableType

from fitsolver.records.figures import NONE, Figures
from fitsolver.records.words import counted
from fitsolver.reporting.layout import Columns, heading, indented, pairs
from fitsolver.reporting.tables import table
from fitsolver.reporting.wear_words import next_wear

if TYPE_CHECKING:
    from fitsolver.records.book import FittedParts, FoundAnswer, FoundLine, HistoryAnswer, Visit

_SIZES: Final[Columns] = (
    ("came in", "word"),
    ("found\nsmallest", "figure"),
    ("found\nlargest", "figure"),
    ("wear since\nthe last", "figure"),
    ("left\nsmallest", "figure"),
    ("left\nlargest", "figure"),
    ("known by", "text"),
)
_DONE: Final[Columns] = (
    ("came in", "word"),
    ("entry", "word"),
    ("passes", "figure"),
    ("parts", "text"),
)
_FOUND: Final[Columns] = (
    ("day", "word"),
    ("entry", "word"),
    ("kind", "word"),
    ("cylinder", "text"),
    ("largest", "figure"),
    ("parts", "text"),
)
_KEY: Final = 10


def history_view(answer: HistoryAnswer, figures: Figures) -> Iterator[RenderableType]:
    """Yield the sizes over the years, then the work done."""
    yield ""
    yield pairs(_facts(answer, figures))
    yield heading("Sizes")
    yield table(_SIZES, [_sizes(visit, figures) for visit in answer.visits])
    yield heading("What was done")
    yield table(_DONE, [_done(visit, figures) for visit in answer.visits])


def found_view(answer: FoundAnswer, figures: Figures) -> Iterator[RenderableType]:
    """Yield a table of the results, newest first."""
    yield ""
    if not answer.lines:
        yield indented("nothing")
        return
    yield table(_FOUND, [_found(line, figures) for line in answer.lines])


def _facts(answer: HistoryAnswer, figures: Figures) -> Iterator[tuple[str, str]]:
    yield "family", answer.family or NONE
    yield "material", answer.material or NONE
    yield "visits", str(len(answer.visits))
    wear = answer.wear
    if wear is not None:
        error = figures.up(ceil(wear.uncertainty))
        known = f"standard uncertainty {error}, from {counted(wear.count, 'rebuild', 'rebuilds')}"
        yield "wear per rebuild", f"{figures.near(wear.mean)}, {known}"
        yield "next wear", next_wear(wear, figures)


def _sizes(visit: Visit, figures: Figures) -> tuple[str, ...]:
    by: str = visit.left_by
    if visit.holds is not None:
        by += ", passes" if visit.holds else ", does not pass"
    elif visit.left_by == "final check":
        by += ", not judged"
    if visit.left_by and visit.left_on != visit.date:
        by += f", {visit.left_on}"
    return (
        visit.date.isoformat(),
        figures.near(visit.found_smallest),
        figures.near(visit.found_largest),
        figures.near(visit.wear, sign=True),
        figures.near(visit.left_smallest),
        figures.near(visit.left_largest),
        by or NONE,
    )


def _done(visit: Visit, figures: Figures) -> tuple[str, ...]:
    said = f"{visit.parts_as}: {_parts(visit.parts, figures)}" if visit.parts else NONE
    if visit.route:
        said += f"; route {visit.route}"
    return visit.date.isoformat(), visit.key[:_KEY], str(visit.passes), said


def _found(found: FoundLine, figures: Figures) -> tuple[str, ...]:
    line = found.line
    return (
        found.date.isoformat(),
        found.key[:_KEY],
        found.kind,
        line.marking,
        figures.near(line.largest),
        _parts(line.parts, figures) if line.parts else NONE,
    )


def _parts(parts: FittedParts, figures: Figures) -> str:
    piston = parts.piston
    if piston and parts.skirt is not None:
        piston += f" (skirt {figures.stated(parts.skirt)})"
    said = (piston, *parts.rings, *parts.gaskets, parts.note)
    return ", ".join(part for part in said if part) or NONE
