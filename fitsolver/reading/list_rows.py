"""Rows of a price or stock list as articles; what is not understood is named, row by row."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from fitsolver.reading.list_doubts import without_doubts
from fitsolver.reading.list_entries import NO_BORE, Entry, Open, RefusedError, left_out
from fitsolver.reading.list_layout import Layout
from fitsolver.reading.list_mapping import ListMapping
from fitsolver.reading.list_reader import Reader
from fitsolver.reading.list_seen import Seen
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_sizes import sized
from fitsolver.reading.list_words import plain
from fitsolver.records.intake import Article, Unclear


@dataclass(frozen=True)
class Taken:
    """What a list comes to: articles, rows that are not understood, how many rows, what is open."""

    articles: list[Article]
    unclear: list[Unclear]
    rows: int
    open: Open


def articles_of(
    sheets: Iterable[tuple[ListSheet, Layout]],
    mapping: ListMapping,
    sheet_bores: Mapping[str, int] | None = None,
) -> Taken:
    """Return the articles of a list, and the rows that are not understood, each with its reason.

    A row with nothing but one text is a heading or a note and counts as neither; where no column
    tells the family it names that of the rows below it. `sheet_bores` are the standard bores of
    the family sheets of the catalogue (ticks).
    """
    entries: list[Entry] = []
    unclear: list[Unclear] = []
    nameless: list[tuple[Reader, int, tuple[str, ...]]] = []
    rows = 0
    taken = list(sheets)
    seen = Seen()
    for sheet, layout in taken:
        reader = Reader(layout, mapping, sheet, seen, alone=_are_one(taken))
        for number, cells in sheet.rows:
            if number <= layout.heading_row or reader.is_note(cells):
                continue
            rows += 1
            try:
                entry = reader.entry(number, cells)
                if reader.names_in_text and entry.kind in NO_BORE:
                    nameless.append((reader, number, cells))
                else:
                    entries.append(entry)
            except RefusedError as refused:
                if reader.names_in_text and refused.field in ("family", "description"):
                    nameless.append((reader, number, cells))
                else:
                    unclear.append(reader.unclear(number, cells, refused))
    named, left = _named_elsewhere(nameless, {plain(e.family): e.family for e in entries})
    entries += named
    unclear += left
    kept, doubled = _once(entries)
    articles, unsized, open_ = sized(kept, mapping, sheet_bores or {})
    sound, doubted = without_doubts(articles)
    order = {(item.sheet, item.row): at for at, item in enumerate(entries)}
    found = sorted(
        [*unclear, *doubled, *unsized, *doubted], key=lambda item: (item.sheet, item.row)
    )
    return Taken(sorted(sound, key=lambda a: order[a.sheet, a.row]), found, rows, seen.open(open_))


def _named_elsewhere(
    rows: Iterable[tuple[Reader, int, tuple[str, ...]]], families: Mapping[str, str]
) -> tuple[list[Entry], list[Unclear]]:
    """Return the rows whose descriptions name an engine type of other rows, and those left."""
    found: list[Entry] = []
    left: list[Unclear] = []
    for reader, number, cells in rows:
        try:
            family = reader.in_text(cells, families)
            entry = reader.entry(number, cells, family)
            if families and not family:
                raise RefusedError("family", f"no piston of this list is for '{entry.family}'")
            found.append(entry)
        except RefusedError as refused:
            left.append(reader.unclear(number, cells, refused))
    return found, left


def lines_of(sheets: Iterable[tuple[ListSheet, Layout]], mapping: ListMapping) -> Iterator[str]:
    """Yield the descriptions of a list, the engine type of each row as its sign where known."""
    taken = list(sheets)
    for sheet, layout in taken:
        reader = Reader(layout, mapping, sheet, Seen(), alone=_are_one(taken))
        for number, cells in sheet.rows:
            if number > layout.heading_row and not reader.is_note(cells):
                line = reader.line(cells)
                if line:
                    yield line


def _are_one(taken: Sequence[tuple[ListSheet, Layout]]) -> bool:
    """Tell whether the tables of a list stand on one sheet."""
    return len({sheet.name for sheet, _ in taken}) == 1


def _once(entries: Sequence[Entry]) -> tuple[list[Entry], list[Unclear]]:
    """Return entries of which each number stands once; those that differ are all left out."""
    by_number: dict[str, list[Entry]] = defaultdict(list)
    for entry in entries:
        by_number[entry.number].append(entry)
    kept: list[Entry] = []
    left: list[Unclear] = []
    for same in by_number.values():
        first = same[0]
        if len(same) == 1 or all(e.figures() == first.figures() for e in same):
            kept.append(first)
            continue
        others = ", ".join(str(e.row) for e in same)
        left += [
            left_out(
                e,
                "number",
                f"the number stands {len(same)} times with other figures, rows {others}",
            )
            for e in same
        ]
    return kept, left
