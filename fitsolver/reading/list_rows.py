"""Rows of a price or stock list as articles; what is not understood is named, row by row."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from fitsolver.base.lengths import format_length
from fitsolver.reading import list_figures as figures
from fitsolver.reading.list_figures import Mark
from fitsolver.reading.list_layout import Layout
from fitsolver.reading.list_mapping import ListMapping
from fitsolver.reading.list_patterns import (
    Described,
    kind_of,
    oversize_of,
    place_of,
    read_description,
)
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_words import Kind, Role, plain
from fitsolver.records.intake import Article, Unclear

#: What stands for a price that is told when asked.
_ON_REQUEST: Final = frozenset(
    ("", "-", "--", "por", "p o r", "poa", "on request", "call", "auf anfrage", "a a", "anfrage",
     "sur demande", "su richiesta", "a consultar", "consultar", "n a", "tbd")
)  # fmt: skip


@dataclass(frozen=True)
class Entry:
    """A row on its way: what its cells and its description say, sizes in ticks."""

    sheet: str
    row: int
    number: str
    description: str
    family: str
    kind: Kind
    bore: int | None
    oversize: int | None
    grade: str
    place: str
    thickness: int | None
    price: int | None
    stock: int
    lead_days: int | None


class _RefusedError(Exception):
    def __init__(self, field: str, reason: str) -> None:
        self.field, self.reason = field, reason
        super().__init__(reason)


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
            except _RefusedError as refused:
                unclear.append(reader.unclear(number, cells, refused))
    kept, doubled = _once(entries)
    articles, unsized = _sized(kept, mapping)
    order = {(item.sheet, item.row): at for at, item in enumerate(entries)}
    found = sorted([*unclear, *doubled, *unsized], key=lambda item: (item.sheet, item.row))
    return sorted(articles, key=lambda a: order[a.sheet, a.row]), found, rows


class _Reader:
    """Reads the rows of one sheet."""

    def __init__(
        self, layout: Layout, mapping: ListMapping, sheet: ListSheet, *, alone: bool
    ) -> None:
        self._layout, self._mapping = layout, mapping
        self._sheet = sheet.name
        self._section = "" if alone else sheet.name
        body = [cells for number, cells in sheet.rows if number > layout.heading_row]
        self._prices = mapping.decimal or self._mark(body, "price") or "."
        self._sizes = self._mark(body, "bore") or self._mark(body, "oversize") or self._prices

    def _mark(self, body: Sequence[Sequence[str]], role: Role) -> Mark | None:
        return figures.decimal_mark(self._cell(cells, role) for cells in body)

    def _cell(self, cells: Sequence[str], role: Role) -> str:
        at = self._layout.places.get(role)
        return "" if at is None or at >= len(cells) else cells[at]

    def is_note(self, cells: Sequence[str]) -> bool:
        """Tell a heading or a note; one without a number of its own begins a family."""
        filled = [cell for cell in cells if cell]
        if len(filled) > 1:
            titles = [cell for cell in self._layout.titles if cell]
            return bool(titles) and [plain(c) for c in filled] == [plain(t) for t in titles]
        described = read_description(filled[0], self._mapping.patterns)
        if described is None and len(filled[0]) <= 60 and "family" not in self._layout.places:
            self._section = filled[0]
        return True

    def unclear(self, row: int, cells: Sequence[str], refused: _RefusedError) -> Unclear:
        return Unclear(
            sheet=self._sheet,
            row=row,
            number=self._cell(cells, "number"),
            description=self._cell(cells, "description"),
            field=refused.field,
            reason=refused.reason,
        )

    def entry(self, row: int, cells: Sequence[str]) -> Entry:
        number = self._cell(cells, "number")
        if not number:
            raise _RefusedError("number", "no part number stands here")
        text = self._cell(cells, "description")
        said = self._described(text, number)
        kind = kind_of(said.kind) if said.kind else self._mapping.kind
        if kind is None:
            raise _RefusedError("description", "it does not say what the article is")
        return Entry(
            sheet=self._sheet,
            row=row,
            number=number,
            description=text,
            family=self._family(cells),
            kind=kind,
            bore=self._size(cells, "bore", said.bore, figures.length),
            oversize=self._size(cells, "oversize", said.oversize, oversize_of),
            grade=self._grade(cells, said),
            place=self._place(said, kind),
            thickness=self._thickness(said, kind),
            price=self._price(cells),
            stock=self._stock(cells),
            lead_days=self._lead(cells),
        )

    def _described(self, text: str, number: str) -> Described:
        if "description" not in self._layout.places:
            return Described()
        if not text:
            raise _RefusedError("description", "no description stands here")
        said = read_description(text, self._mapping.patterns)
        if said is None:
            raise _RefusedError("description", "it keeps to none of the patterns")
        return said

    def _family(self, cells: Sequence[str]) -> str:
        found = self._cell(cells, "family") or self._mapping.family or self._section
        if not found:
            raise _RefusedError("family", "no engine type is named")
        return found

    def _size(self, cells: Sequence[str], role: Role, said: str, parse: object) -> int | None:
        cell = self._cell(cells, role)
        found: list[int] = []
        for text in filter(None, (cell, said)):
            if role == "bore" and plain(text) in ("std", "standard"):
                continue
            size = parse(text, self._mapping.units, self._size_mark(text))  # type: ignore[operator]
            if size is None:
                raise _RefusedError(role, f"'{text}' is no size")
            found.append(size)
        if len(set(found)) > 1:
            raise _RefusedError(role, f"the column says {cell}, the description {said}")
        return found[0] if found else None

    def _size_mark(self, text: str) -> Mark:
        """A size has one mark and no thousands: whichever stands there is the decimal one."""
        if "," in text and "." not in text:
            return ","
        return "." if "." in text and "," not in text else self._sizes

    def _grade(self, cells: Sequence[str], said: Described) -> str:
        cell = self._cell(cells, "grade")
        if cell and said.grade and plain(cell) != plain(said.grade):
            raise _RefusedError("grade", f"the column says {cell}, the description {said.grade}")
        return cell or said.grade

    @staticmethod
    def _place(said: Described, kind: Kind) -> str:
        found = place_of(said.kind)
        if kind == "gasket" and not found:
            raise _RefusedError("description", "it does not say where the gasket goes")
        return found

    def _thickness(self, said: Described, kind: Kind) -> int | None:
        if kind != "gasket":
            return None
        text = said.thickness
        found = figures.length(text, self._mapping.units, self._size_mark(text)) if text else None
        if found is None:
            raise _RefusedError("thickness", "no thickness stands here")
        return found

    def _price(self, cells: Sequence[str]) -> int | None:
        text = self._cell(cells, "price")
        if plain(text) in _ON_REQUEST:
            return None
        found = figures.money(text, self._prices)
        if found is None:
            raise _RefusedError("price", f"'{text}' is no price")
        return found

    def _stock(self, cells: Sequence[str]) -> int:
        text = self._cell(cells, "stock")
        found = figures.count(text)
        if found is None:
            raise _RefusedError("stock", f"'{text}' is no number of pieces")
        return found

    def _lead(self, cells: Sequence[str]) -> int | None:
        text = self._cell(cells, "lead_days")
        if not text or text in ("-", "--"):
            return self._mapping.lead_days
        found = figures.days(text)
        if found is None:
            raise _RefusedError("lead_days", f"'{text}' is no lead time")
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
        bare = {replace(e, sheet="", row=0) for e in same}
        if len(bare) == 1:
            kept.append(first)
            continue
        others = ", ".join(str(e.row) for e in same)
        left += [
            _left(
                e,
                "number",
                f"the number stands {len(same)} times with other figures, rows {others}",
            )
            for e in same
        ]
    return kept, left


def _left(entry: Entry, field: str, reason: str) -> Unclear:
    return Unclear(
        sheet=entry.sheet,
        row=entry.row,
        number=entry.number,
        description=entry.description,
        field=field,
        reason=reason,
    )


def _sized(entries: Sequence[Entry], mapping: ListMapping) -> tuple[list[Article], list[Unclear]]:
    """Return the articles with the bore each is made for, and those whose bore cannot be told."""
    articles: list[Article] = []
    left: list[Unclear] = []
    families: dict[str, list[Entry]] = defaultdict(list)
    for entry in entries:
        if entry.kind == "gasket":
            articles.append(_article(entry, None, None))
        else:
            families[entry.family].append(entry)
    for family, members in families.items():
        standard = standard_bore(members, mapping.standard_bore.get(family))
        for entry in members:
            try:
                nominal, oversize = _nominal(entry, standard, members)
            except _RefusedError as refused:
                left.append(_left(entry, refused.field, refused.reason))
            else:
                articles.append(_article(entry, nominal, oversize))
    return articles, left


def _article(entry: Entry, nominal: int | None, oversize: int | None) -> Article:
    return Article(
        number=entry.number,
        kind=entry.kind,
        family=entry.family,
        description=entry.description,
        nominal_bore=nominal,
        oversize=oversize,
        grade=entry.grade,
        place=entry.place,
        thickness=entry.thickness,
        price=entry.price,
        stock=entry.stock,
        lead_days=entry.lead_days,
        sheet=entry.sheet,
        row=entry.row,
    )


def bores_are_standard(members: Sequence[Entry]) -> bool | None:
    """Tell whether the bore beside an oversize is the standard bore (True) or the oversize's own.

    One bore for several oversizes is the standard one; bores that grow with the oversize are
    their own. None where the rows of a family cannot tell.
    """
    both = {(e.bore, e.oversize) for e in members if e.bore is not None and e.oversize is not None}
    sizes = {oversize for _, oversize in both}
    if len(sizes) < 2:
        return None
    if len({bore for bore, _ in both}) == 1:
        return True
    if (
        len(
            {
                bore - oversize
                for bore, oversize in both
                if bore is not None and oversize is not None
            }
        )
        == 1
    ):
        return False
    return None


def standard_bore(members: Sequence[Entry], told: int | None) -> int | None:
    """Return the bore of oversize 0 of a family, None where its rows cannot tell."""
    if told is not None:
        return told
    plain_ones = {e.bore for e in members if e.oversize == 0 and e.bore is not None}
    if len(plain_ones) == 1:
        return plain_ones.pop()
    kind = bores_are_standard(members)
    both = [e for e in members if e.bore is not None and e.oversize is not None]
    if kind is True:
        return both[0].bore
    if kind is False:
        first = both[0]
        assert first.bore is not None and first.oversize is not None
        return first.bore - first.oversize
    if not any(e.oversize is not None for e in members):
        return min((e.bore for e in members if e.bore is not None), default=None)
    return None


def _nominal(entry: Entry, standard: int | None, members: Sequence[Entry]) -> tuple[int, int]:
    bore, oversize = entry.bore, entry.oversize
    if standard is None:
        raise _RefusedError("bore", f"the standard bore of {entry.family} is not known")
    if bore is None and oversize is None:
        raise _RefusedError("bore", "no size stands here")
    if oversize is None:
        assert bore is not None
        if bore < standard:
            shown = format_length(standard, "mm", symbol=True)
            raise _RefusedError("bore", f"it is below the standard bore of {shown}")
        return bore, bore - standard
    if bore is None or bore in (standard, standard + oversize):
        return standard + oversize, oversize
    shown = format_length(standard, "mm", symbol=True)
    raise _RefusedError("bore", f"bore and oversize do not go with the standard bore of {shown}")


def standard_bores(articles: Iterable[Article]) -> Mapping[str, int]:
    """Return the standard bore of every family that has pistons."""
    return {
        article.family: article.nominal_bore - article.oversize
        for article in articles
        if article.nominal_bore is not None and article.oversize is not None
    }
