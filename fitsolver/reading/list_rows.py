"""Rows of a price or stock list as articles; what is not understood is named, row by row."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from typing import Final, cast

from fitsolver.reading import list_figures as figures
from fitsolver.reading.list_figures import Mark
from fitsolver.reading.list_kinds import KINDS, NO_PART, PLACED, Kind, place_of
from fitsolver.reading.list_layout import Layout, bare_grade
from fitsolver.reading.list_mapping import ListMapping
from fitsolver.reading.list_patterns import (
    Described,
    for_kind,
    kind_in,
    oversize_of,
    read_description,
    with_family,
)
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_sizes import NO_BORE, Entry, RefusedError, left_out, sized
from fitsolver.reading.list_words import Role, heading_likeness, plain
from fitsolver.records.intake import Article, Unclear

#: What stands for a price that is told when asked.
_ON_REQUEST: Final = frozenset(
    ("", "-", "--", "por", "p o r", "poa", "on request", "call", "auf anfrage", "a a", "anfrage",
     "sur demande", "su richiesta", "a consultar", "consultar", "n a", "tbd")
)  # fmt: skip


def articles_of(
    sheets: Iterable[tuple[ListSheet, Layout]], mapping: ListMapping
) -> tuple[list[Article], list[Unclear], int]:
    """Return the articles of a list, the rows that are not understood, and how many rows there are.

    A row with nothing but one text is a heading or a note and counts as neither; where no column
    tells the family it names that of the rows below it.
    """
    entries: list[Entry] = []
    unclear: list[Unclear] = []
    rows = 0
    taken = list(sheets)
    for sheet, layout in taken:
        reader = _Reader(layout, mapping, sheet, alone=len(taken) == 1)
        for number, cells in sheet.rows:
            if number <= layout.heading_row or reader.is_note(cells):
                continue
            rows += 1
            try:
                entries.append(reader.entry(number, cells))
            except RefusedError as refused:
                unclear.append(reader.unclear(number, cells, refused))
    kept, doubled = _once(entries)
    articles, unsized = sized(kept, mapping)
    order = {(item.sheet, item.row): at for at, item in enumerate(entries)}
    found = sorted([*unclear, *doubled, *unsized], key=lambda item: (item.sheet, item.row))
    return sorted(articles, key=lambda a: order[a.sheet, a.row]), found, rows


def lines_of(sheets: Iterable[tuple[ListSheet, Layout]], mapping: ListMapping) -> Iterator[str]:
    """Yield the descriptions of a list, the engine type of each row as its sign where known."""
    taken = list(sheets)
    for sheet, layout in taken:
        reader = _Reader(layout, mapping, sheet, alone=len(taken) == 1)
        for number, cells in sheet.rows:
            if number > layout.heading_row and not reader.is_note(cells):
                line = reader.line(cells)
                if line:
                    yield line


def family_named(text: str) -> str:
    """Return the engine type that a heading between rows names, without the word for it."""
    bare = text.strip(" *-=#:_>")
    first, _, rest = bare.partition(" ")
    return rest.strip(" :") if rest and heading_likeness(first, "family") == 1 else bare


class _Reader:
    """Reads the rows of one sheet."""

    def __init__(
        self, layout: Layout, mapping: ListMapping, sheet: ListSheet, *, alone: bool
    ) -> None:
        self._layout, self._mapping = layout, mapping
        self._sheet = sheet.name
        self._section = "" if alone else sheet.name
        self._told = tuple(mapping.kinds.items())
        self._patterns = {kind: for_kind(mapping.patterns, kind) for kind in KINDS}
        places = layout.places
        self._family_said = places.get("family", -1) == places.get("description", -2)
        self._rows = sheet.rows

    @cached_property
    def _prices(self) -> Mark:
        return self._mapping.decimal or self._mark("price") or "."

    @cached_property
    def _sizes(self) -> Mark:
        return self._mark("bore") or self._mark("oversize") or self._prices

    def _mark(self, role: Role) -> Mark | None:
        head = self._layout.heading_row
        return figures.decimal_mark(
            self._cell(cells, role) for number, cells in self._rows if number > head
        )

    def _cell(self, cells: Sequence[str], role: Role) -> str:
        at = self._layout.places.get(role)
        return "" if at is None or at >= len(cells) else cells[at]

    def is_note(self, cells: Sequence[str]) -> bool:
        """Tell a heading or a note; one without a number of its own begins a family."""
        filled = [cell for cell in cells if cell]
        if len(filled) > 1:
            titles = [cell for cell in self._layout.titles if cell]
            return (
                bool(titles)
                and filled[0] in titles
                and [plain(c) for c in filled] == [plain(t) for t in titles]
            )
        if (
            kind_in(filled[0], self._told) is None
            and len(filled[0]) <= 60
            and "family" not in self._layout.places
        ):
            self._section = family_named(filled[0])
        return True

    def unclear(self, row: int, cells: Sequence[str], refused: RefusedError) -> Unclear:
        return Unclear(
            sheet=self._sheet,
            row=row,
            number=self._cell(cells, "number"),
            description=self._cell(cells, "description"),
            field=refused.field,
            reason=refused.reason,
        )

    def line(self, cells: Sequence[str]) -> str:
        """Return the description of a row, its engine type as a sign."""
        return with_family(self._cell(cells, "description"), self._known_family(cells))

    def _known_family(self, cells: Sequence[str]) -> str:
        """Return the engine type that a column, the section or a person names, '' if none."""
        cell = "" if self._family_said else self._cell(cells, "family")
        return cell or self._mapping.family or self._section

    def entry(self, row: int, cells: Sequence[str]) -> Entry:
        number = self._cell(cells, "number")
        if not number:
            raise RefusedError("number", "no part number stands here")
        text = self._cell(cells, "description")
        named = self._known_family(cells)
        line = with_family(text, named)
        kind, place = self._kind(line)
        said = self._described(line, kind)
        family = named or said.family
        if not family:
            raise RefusedError("family", "no engine type is named")
        return Entry(
            sheet=self._sheet,
            row=row,
            number=number,
            description=text,
            family=family,
            kind=kind,
            bore=self._size(cells, "bore", said.bore, figures.length),
            oversize=self._size(cells, "oversize", said.oversize, oversize_of),
            grade=self._grade(cells, said),
            place=place or self._place(text, kind),
            thickness=self._thickness(said, kind),
            price=self._price(cells),
            stock=self._stock(cells),
            lead_days=self._lead(cells),
        )

    def _kind(self, line: str) -> tuple[Kind, str]:
        """Return what the article is, and where a gasket goes as a person said it."""
        if "description" not in self._layout.places:
            if self._mapping.kind is None:
                raise RefusedError("description", "it does not say what the article is")
            return self._mapping.kind, ""
        if not line:
            raise RefusedError("description", "no description stands here")
        found = kind_in(line, self._told)
        if found == NO_PART:
            raise RefusedError("description", "it is no part of a catalogue, as you said")
        if found in PLACED:
            return "gasket", PLACED[found]
        kind = found or self._mapping.kind
        if kind is None:
            raise RefusedError("description", "it does not say what the article is")
        return cast(Kind, kind), ""

    def _described(self, line: str, kind: Kind) -> Described:
        if "description" not in self._layout.places or kind in NO_BORE[1:]:
            return Described()
        said = read_description(line, self._patterns[kind])
        if said is None:
            raise RefusedError("description", "it keeps to none of the patterns")
        return said

    def _size(self, cells: Sequence[str], role: Role, said: str, parse: object) -> int | None:
        cell = self._cell(cells, role)
        found: list[int] = []
        for text in filter(None, (cell, said)):
            if role == "bore" and plain(text) in ("std", "standard"):
                continue
            size = parse(text, self._mapping.units, self._size_mark(text))  # type: ignore[operator]
            if size is None:
                raise RefusedError(role, f"'{text}' is no size")
            found.append(size)
        if len(set(found)) > 1:
            raise RefusedError(role, f"the column says {cell}, the description {said}")
        return found[0] if found else None

    def _size_mark(self, text: str) -> Mark:
        """A size has one mark and no thousands: whichever stands there is the decimal one."""
        if "," in text and "." not in text:
            return ","
        return "." if "." in text and "," not in text else self._sizes

    def _grade(self, cells: Sequence[str], said: Described) -> str:
        cell = bare_grade(self._cell(cells, "grade"))
        if cell and said.grade and plain(cell) != plain(said.grade):
            raise RefusedError("grade", f"the column says {cell}, the description {said.grade}")
        return cell or said.grade

    @staticmethod
    def _place(text: str, kind: Kind) -> str:
        found = place_of(text) if kind == "gasket" else ""
        if kind == "gasket" and not found:
            raise RefusedError("description", "it does not say where the gasket goes")
        return found

    def _thickness(self, said: Described, kind: Kind) -> int | None:
        if kind != "gasket":
            return None
        text = said.thickness
        found = figures.length(text, self._mapping.units, self._size_mark(text)) if text else None
        if found is None:
            raise RefusedError("thickness", "no thickness stands here")
        return found

    def _price(self, cells: Sequence[str]) -> int | None:
        text = self._cell(cells, "price")
        if not text[:1].isdecimal() and plain(text) in _ON_REQUEST:
            return None
        found = figures.money(text, self._prices)
        if found is None:
            raise RefusedError("price", f"'{text}' is no price")
        return found

    def _stock(self, cells: Sequence[str]) -> int:
        text = self._cell(cells, "stock")
        found = figures.count(text)
        if found is None:
            raise RefusedError("stock", f"'{text}' is no number of pieces")
        return found

    def _lead(self, cells: Sequence[str]) -> int | None:
        text = self._cell(cells, "lead_days")
        if not text or text in ("-", "--"):
            return self._mapping.lead_days
        found = figures.days(text)
        if found is None:
            raise RefusedError("lead_days", f"'{text}' is no lead time")
        return found


def _once(entries: Sequence[Entry]) -> tuple[list[Entry], list[Unclear]]:
    """Return entries of which each number stands once; those that differ are all left out."""
    by_number: dict[str, list[Entry]] = defaultdict(list)
    for entry in entries:
        by_number[entry.number].append(entry)
    kept: list[Entry] = []
    left: list[Unclear] = []
    for same in by_number.values():
        first = same[0]
        if len(same) == 1 or len({replace(e, sheet="", row=0) for e in same}) == 1:
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
