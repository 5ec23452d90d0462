"""What a look through a catalogue found."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.records.figures import NONE, Figures
from fitsolver.reporting.layout import Kind, heading, indented, pairs, table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.review import CatalogueReview, Doubt, FamilySummary, SizeStep

_SIZES: Final[tuple[tuple[str, Kind], ...]] = (
    ("oversize", "figure"),
    ("nominal bore", "figure"),
    ("step", "figure"),
    ("pistons", "figure"),
    ("rings", "figure"),
    ("sizes skipped before it", "text"),
)
_DOUBTS: Final[tuple[tuple[str, Kind], ...]] = (
    ("", "word"),
    ("table", "word"),
    ("number", "text"),
    ("what was found", "text"),
)


#: Lines of a summary, so that head and families fill one screen.
_SCREEN: Final = 24
_HEAD: Final = 4
_LINE: Final = 76
_FIGURE: Final = re.compile(r"\d+(?:[.,]\d+)*")


class Like(NamedTuple):
    """Doubtful entries alike but for part numbers and figures: the first, and how many."""

    first: Doubt
    number: int


def review_view(
    review: CatalogueReview, figures: Figures, full: bool = False
) -> list[RenderableType]:
    """Return counts, size steps and doubtful entries, the most serious first.

    Entries alike are told once, with their number, unless `full`. Several families are a line each.
    """
    if review.families:
        return _families(review, figures, full=full)
    counts = (
        (table, str(getattr(review.counts, table))) for table in type(review.counts).model_fields
    )
    parts: list[RenderableType] = [heading("Tables"), pairs(counts)]
    parts += [heading("Sizes"), table(_SIZES, [_size_row(step, figures) for step in review.sizes])]
    return [*parts, *_doubts(review, full=full)]


def _doubts(review: CatalogueReview, *, full: bool) -> list[RenderableType]:
    parts: list[RenderableType] = [heading("Doubtful entries")]
    if not review.doubtful:
        return [*parts, indented("Nothing doubtful was found.")]
    if full:
        return [*parts, table(_DOUBTS, [_doubt_row(Like(each, 1)) for each in review.doubtful])]
    return [*parts, table(_DOUBTS, [_doubt_row(like) for like in alike(review.doubtful)])]


def alike(doubts: Sequence[Doubt]) -> list[Like]:
    """Return entries alike but for numbers and figures as one, in the order of their firsts."""
    found: dict[tuple[str, ...], list[Doubt]] = {}
    for each in doubts:
        said = each.sentence.replace(each.number, "") if each.number else each.sentence
        key = (each.seriousness, each.table, each.field, _FIGURE.sub("0", said))
        found.setdefault(key, []).append(each)
    return [Like(each[0], len(each)) for each in found.values()]


def _families(review: CatalogueReview, figures: Figures, *, full: bool) -> list[RenderableType]:
    names = [_cut(one.family, _LINE // 3) for one in review.families]
    room = _LINE - max(map(len, names)) - 2
    lines = [
        (name, _family(one, figures, room))
        for name, one in zip(names, review.families, strict=True)
    ]
    if full:
        return [pairs(lines), *_doubts(review, full=True)]
    kinds = sorted(alike(review.doubtful), key=lambda like: -like.number)
    if not kinds:
        return [pairs(lines), indented("Nothing doubtful was found.")]
    room = max(1, _SCREEN - _HEAD - len(lines))
    shown = kinds if len(kinds) <= room else kinds[: max(1, room - 1)]
    said = [f"{like.number} x {_sentence(like.first)}" for like in shown]
    if left := kinds[len(shown) :]:
        entries = sum(like.number for like in left)
        if room == 1:
            more = f"; {entries} more: --full"
            first = f"{kinds[0].number} x {kinds[0].first.table}: {kinds[0].first.sentence}"
            said = [f"{_cut(first, _LINE - len(more))}{more}"]
        else:
            said.append(
                f"{entries} more doubtful entries of {len(left)} kinds: see them with --full"
            )
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
    said = [sizes, *skipped, f"{one.doubts} doubts", f"{one.in_stock} in stock"]
    return _cut(", ".join(said), room)


def _cut(line: str, room: int) -> str:
    return line if len(line) <= room else f"{line[: room - 3]}..."


def _sentence(each: Doubt) -> str:
    said = f"{each.field}: {each.sentence}" if each.field else each.sentence
    return f"{each.table}, {each.number}: {said}" if each.number else f"{each.table}: {said}"


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
