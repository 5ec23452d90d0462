"""The findings of a catalogue review."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import NONE, Figures
from fitsolver.records.review import Like, alike
from fitsolver.records.words import counted
from fitsolver.reporting.layout import (
    SCREEN_LINES,
    Columns,
    as_many,
    heading,
    indented,
    lines_of,
    pairs,
)
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.review import CatalogueReview, FamilySummary, SizeStep

_SIZES: Final[Columns] = (
    ("oversize", "figure"),
    ("nominal bore", "figure"),
    ("step", "figure"),
    ("pistons", "figure"),
    ("rings", "figure"),
    ("sizes skipped before it", "text"),
)
_DOUBTS: Final[Columns] = (
    ("", "word"),
    ("table", "word"),
    ("number", "text"),
    ("what was found", "text"),
)


_HEAD: Final = 4
_LINE: Final = 76


def review_view(
    review: CatalogueReview,
    figures: Figures,
    opened: Opened = WHOLE,
    full: bool = False,
    used: int = _HEAD,
) -> Iterator[RenderableType | Section]:
    """Yield counts, size steps and doubtful entries, the most serious first.

    Entries alike are told once, with their number, unless `full`. Several families are a line each.
    `used` lines of the first screen are taken by what stands above it.
    """
    if review.families:
        yield from _families(review, figures, used, full=full)
        return
    counts = type(review.counts).model_fields
    tables = "  ".join(f"{table} {getattr(review.counts, table)}" for table in counts)
    parts: list[RenderableType] = [heading("Tables"), indented(tables)]
    sizes = [heading("Sizes"), table(_SIZES, [_size_row(step, figures) for step in review.sizes])]
    found = [Like(each, 1) for each in review.doubtful] if full else alike(review.doubtful)
    room = SCREEN_LINES - used - lines_of(parts)
    doubts = _doubts(found)
    if opened.has("sizes") or lines_of([*sizes, *doubts]) <= room:
        parts += sizes
        yield from parts
    else:
        parts.append(indented(_span(review.sizes, figures)))
        yield from parts
        yield Section("sizes", sizes)
    if not found or opened.has("doubts") or lines_of([*parts, *doubts]) + used <= SCREEN_LINES:
        yield from doubts
        return
    yield from _in_room(found, SCREEN_LINES - used - lines_of(parts))
    yield Section("doubts", ())


def _span(sizes: Sequence[SizeStep], figures: Figures) -> str:
    """Return the sizes in one line: their number, their range, and the number skipped."""
    bores = [step.nominal_bore for step in sizes]
    skipped = sum(len(step.skipped) for step in sizes)
    said = f"{len(sizes)} sizes, bores of {figures.nominal(min(bores), max(bores))}"
    return f"{said}, {skipped} sizes skipped between them" if skipped else said


def _in_room(found: Sequence[Like], room: int) -> list[RenderableType]:
    """Return as many kinds of doubtful entries as `room` lines hold, and how many there are."""

    def parts(shown: int) -> list[RenderableType]:
        left = found[shown:]
        entries = sum(like.number for like in left)
        more = [indented(f"{entries} more of {len(left)} kinds: --show doubts")] * bool(left)
        return [*_doubts(found[:shown]), *more]

    return as_many(parts, len(found), room)


def _doubts(found: Sequence[Like]) -> list[RenderableType]:
    parts: list[RenderableType] = [heading("Doubtful entries")]
    if not found:
        return [*parts, indented("Nothing doubtful was found.")]
    return [*parts, table(_DOUBTS, [_doubt_row(like) for like in found])]


def _families(
    review: CatalogueReview, figures: Figures, used: int, *, full: bool
) -> list[RenderableType]:
    names = [_cut(one.family, _LINE // 3) for one in review.families]
    room = _LINE - max(map(len, names)) - 2
    lines = [
        (name, _family(one, figures, room))
        for name, one in zip(names, review.families, strict=True)
    ]
    if full:
        return [pairs(lines), *_doubts([Like(each, 1) for each in review.doubtful])]
    kinds = sorted(alike(review.doubtful), key=lambda like: -like.number)
    if not kinds:
        return [pairs(lines), indented("Nothing doubtful was found.")]
    room = max(1, SCREEN_LINES - used - len(lines))
    shown = kinds[: max(1, room - (len(kinds) > room))]
    said = [_kind(like) for like in shown]
    if left := kinds[len(shown) :]:
        entries = sum(like.number for like in left)
        more = f"{entries} more of {counted(len(left), 'kind', 'kinds')}: --full"
        if room > 1:
            said.append(more)
        else:
            said = [f"{_cut(said[0], _LINE - len(more) - 2)}; {more}"]
    return [pairs(lines), *(indented(_cut(line, _LINE)) for line in said)]


def _family(one: FamilySummary, figures: Figures, room: int) -> str:
    """Return a family in one line: sizes, those skipped, doubts, what is on the shelf."""
    if one.note:
        return _cut(one.note, room)
    sizes = f"{one.sizes} size{'s' if one.sizes != 1 else ''}"
    if one.smallest_bore is not None:
        sizes += f" {figures.near(one.smallest_bore)}"
        if one.largest_bore != one.smallest_bore:
            sizes += f" to {figures.near(one.largest_bore)}"
    skipped = [f"{one.skipped} skipped"] if one.skipped else []
    doubts = [counted(one.own_doubts, "doubt", "doubts")] if one.own_doubts else []
    said = [sizes, *skipped, *doubts, f"{one.in_stock} in stock"]
    return _cut(", ".join(said), room)


def _cut(line: str, room: int) -> str:
    return line if len(line) <= room else f"{line[: room - 3]}..."


def _kind(like: Like) -> str:
    """Return entries of one kind in a line; of several the sentence holds for each."""
    each = like.first
    number = "" if like.number > 1 else f" {each.number}"
    return f"{like.number} x {each.table}{number}: {each.sentence}"


def _size_row(step: SizeStep, figures: Figures) -> tuple[str, ...]:
    return (
        figures.near(step.oversize, sign=True),
        figures.near(step.nominal_bore),
        figures.near(step.step),
        str(step.pistons),
        str(step.rings),
        ", ".join(figures.near(size, sign=True) for size in step.skipped) or NONE,
    )


def _doubt_row(like: Like) -> tuple[str, ...]:
    doubt = like.first
    said = f"{doubt.field}: {doubt.sentence}" if doubt.field else doubt.sentence
    if like.number > 1:
        said += f" (and {like.number - 1} more like it)"
    return doubt.seriousness, doubt.table, doubt.number or NONE, said
