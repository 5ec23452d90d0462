"""One sheet of a price or stock list, row by row; what its rows leave open is kept in `Seen`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cached_property
from typing import Final, cast

from fitsolver.reading import list_figures as figures
from fitsolver.reading.list_beside import bore_beside, said_once, without_others
from fitsolver.reading.list_cells import BORES, both_sizes
from fitsolver.reading.list_contents import bare_grade
from fitsolver.reading.list_entries import NO_BORE, Entry, RefusedError
from fitsolver.reading.list_figures import Figure, Mark
from fitsolver.reading.list_headings import Role
from fitsolver.reading.list_kinds import KINDS, NO_PART, PLACED, Kind, place_of, places_words
from fitsolver.reading.list_layout import Layout
from fitsolver.reading.list_mapping import ListMapping
from fitsolver.reading.list_patterns import (
    Described,
    for_kind,
    read_description,
    with_family,
    words_of,
)
from fitsolver.reading.list_pieces import FAMILY_SIGN
from fitsolver.reading.list_seen import PAGE, PRICED, TOP, Seen, family_named
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_words import CYLINDERS, ENDED, LARGER, LINKS, SEVERAL, YES, plain
from fitsolver.records.intake import Unclear

#: What stands for a price that is told when asked.
_ON_REQUEST: Final = frozenset(
    ("", "-", "--", "por", "p o r", "poa", "on request", "call", "auf anfrage", "a a", "anfrage",
     "sur demande", "su richiesta", "a consultar", "consultar", "n a", "tbd")
)  # fmt: skip
_DATE: Final = re.compile(r"\d{4}-\d\d-\d\d")
_POWER: Final = re.compile(r"\d(?:[.,]\d+)?[eE][+-]?\d+")


class Reader:
    """Reads the rows of one sheet."""

    def __init__(
        self, layout: Layout, mapping: ListMapping, sheet: ListSheet, seen: Seen, *, alone: bool
    ) -> None:
        self._layout, self._mapping, self._seen = layout, mapping, seen
        self._sheet = sheet.name
        self._alone = alone
        self._section, self._sure = "", True
        self._headings: list[str] = []
        self._above = ""
        self._told = tuple(mapping.kinds.items())
        self._skip = frozenset(map(plain, mapping.skip))
        self._patterns = {kind: for_kind(mapping.patterns, kind) for kind in KINDS}
        places = layout.places
        self._family_said = places.get("family", -1) == places.get("description", -2)
        self._remarks = {
            at
            for at, title in enumerate(layout.titles)
            if title and (plain(title) in set(map(plain, mapping.remarks)) or at in layout.remarks)
        }
        self._titles = {title.casefold() for title in layout.titles if title}
        self._unworked, self._merged = sheet.unworked, sheet.merged
        self._rows = sheet.rows
        for number, cells in sheet.rows[:TOP]:
            if number >= layout.heading_row:
                break
            texts = [cell for cell in cells if PRICED.search(plain(cell))]
            seen.price_note = texts[0][:80] if texts else seen.price_note

    @cached_property
    def _prices(self) -> Mark:
        return self._mapping.decimal or self._mark("price") or "."

    @cached_property
    def _sizes(self) -> Mark:
        return self._mark("bore") or self._mark("oversize") or self._prices

    @cached_property
    def _weeks(self) -> bool | None:
        """Tell whether a lead time without a unit counts weeks; None where nothing says it."""
        if self._mapping.lead_unit is not None:
            return self._mapping.lead_unit == "weeks"
        at = self._layout.places.get("lead_days")
        title = "" if at is None or at >= len(self._layout.titles) else self._layout.titles[at]
        words = set(plain(title).split())
        if words & _WEEKS:
            return True
        return False if words & _DAYS else None

    def _mark(self, role: Role) -> Mark | None:
        head = self._layout.heading_row
        return figures.decimal_mark(
            self._cell(cells, role) for number, cells in self._rows if number > head
        )

    def _cell(self, cells: Sequence[str], role: Role) -> str:
        return self._layout.cell(cells, role)

    def is_note(self, cells: Sequence[str]) -> bool:
        """Tell a heading or a note; one without a number of its own begins a family."""
        filled = [cell for cell in cells if cell]
        if len(filled) == 1 and PRICED.search(plain(filled[0])):
            self._seen.price_note = filled[0][:80]
            return True
        if len(filled) > 1:
            if filled[0].casefold() not in self._titles:
                return False
            return [plain(c) for c in filled] == [plain(t) for t in self._layout.titles if t]
        text = filled[0]
        beyond = len(text) > 60 or "family" in self._layout.places or plain(text) in self._skip
        page = bool(PAGE.search(plain(text)))
        if not (beyond or page) and words_of(text, self._told).kind is None:
            named, self._bore_above = bore_beside(text)
            self._section, self._sure = family_named(named)
            if self._section not in self._headings:
                self._headings.append(self._section)
        return True

    def unclear(self, row: int, cells: Sequence[str], refused: RefusedError) -> Unclear:
        """Return a row as one that is not understood."""
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
        try:
            named = self._known_family(cells)
        except RefusedError:
            named = ""
        text = without_others(said_once(self._cell(cells, "description")))[0]
        return with_family(text, named)

    def _known_family(self, cells: Sequence[str]) -> str:
        """Return the engine type that a column, the section or a person names, '' if none."""
        if "family" in self._layout.places and not self._family_said:
            return self._from_column(self._cell(cells, "family")) or self._mapping.family
        if self._mapping.family:
            return self._mapping.family
        if self._section:
            return self._from_heading()
        if not self._alone and self._mapping.family_by != "headings":
            if self._mapping.family_by is None:
                self._seen.sheet_names[self._sheet] = 1
            return self._sheet
        return ""

    def _from_column(self, cell: str) -> str:
        if cell:
            self._above = cell
        elif self._above and self._mapping.fill_down is not False:
            if self._mapping.fill_down:
                return self._above
            self._seen.fill += 1
            raise RefusedError("family", "no engine type stands here, but one in a row above")
        return cell

    def _from_heading(self) -> str:
        headings, self._headings = self._headings, []
        if len(headings) > 1:
            self._unclear_headings = headings
            self._section_unclear = True
        elif headings:
            self._section_unclear = False
        if self._section_unclear:
            several = " and ".join(f"'{text}'" for text in self._unclear_headings[-3:])
            raise RefusedError("family", f"two headings stand above it: {several}")
        if not self._sure and self._mapping.family_by is None:
            self._seen.headings[self._section] = 1
        return self._section

    _bore_above = ""
    _section_unclear = False
    _unclear_headings: Sequence[str] = ()

    def entry(self, row: int, cells: Sequence[str]) -> Entry:
        """Return a row as read. Raises RefusedError with the field and the reason."""
        number = self._number(cells)
        self._look_at_cells(row)
        self._look_for_remarks(cells)
        text = self._cell(cells, "description")
        named = self._known_family(cells)
        text_, nth, others = without_others(said_once(text))
        line = with_family(text_, named)
        kind, place = self._kind(line)
        said = self._described(line, kind)
        family = named or said.family
        if not family:
            raise RefusedError("family", "no engine type is named")
        if said.family not in ("", FAMILY_SIGN) and plain(said.family) != plain(family):
            raise RefusedError("family", f"the list says {family}, the description {said.family}")
        self._look_at_words(line, kind, said, others)
        bore, over = both_sizes(self._cell(cells, "bore"))
        bore = bore or self._cell(cells, "bore")
        if not (bore or said.bore) and family == self._section:
            bore = self._bore_above
        overs = (self._cell(cells, "oversize"), over, said.oversize)
        return Entry(
            sheet=self._sheet,
            row=row,
            number=number,
            description=text,
            family=family,
            kind=kind,
            bore=self._bore(bore, said.bore, kind),
            standard=self._bore(self._cell(cells, "standard"), "", kind),
            overs=tuple(filter(None, overs)) if kind not in NO_BORE else (),
            grade=self._grade(cells, said),
            place=place or self._place(text, kind),
            thickness=self._thickness(cells, said, kind),
            price=self._price(cells),
            stock=self._stock(cells),
            lead_days=self._lead(cells),
            nth=nth,
        )

    def _number(self, cells: Sequence[str]) -> str:
        number = self._cell(cells, "number")
        if not number or not any(sign.isdigit() for sign in number):
            raise RefusedError("number", "no part number stands here")
        made = (isinstance(number, Figure) and "." in number) or _POWER.fullmatch(number)
        if made or _DATE.fullmatch(number):
            raise RefusedError("number", "a spreadsheet has made a figure or a date of it")
        return number

    def _look_at_cells(self, row: int) -> None:
        """Raise RefusedError for a formula without a result, and for what stands for several rows.

        A merged price or engine type holds for each of its rows; pieces would count several times.
        """
        if not (self._unworked or self._merged):
            return
        for role, at in self._layout.places.items():
            if (row, at) in self._unworked:
                raise RefusedError(role, "a formula of which no result is stored")
            if role in ("number", "stock") and (row, at) in self._merged:
                raise RefusedError(role, "a merged cell says it for several rows")

    def _look_for_remarks(self, cells: Sequence[str]) -> None:
        for at in self._remarks:
            if at < len(cells) and cells[at] not in ("", "-"):
                title = self._layout.title(at)
                raise RefusedError("remark", f"{title}: {cells[at]}")
        pieces = self._cell(cells, "pieces")
        if pieces and figures.count(pieces) not in (0, 1):
            raise RefusedError("pieces", f"it is sold {pieces} together: a plan counts single ones")

    def _look_at_words(self, line: str, kind: Kind, said: Described, others: Sequence[str]) -> None:
        """Raise RefusedError where a word of a description could say something that is not read."""
        words = (*words_of(line, self._told).words, *others)
        if not words:
            return
        read = set(plain(f"{said.family} {said.grade} {said.oversize}").split())
        read |= {f"{plain(said.oversize)}mm"}
        if kind == "gasket":
            read |= places_words()
        unknown = [
            word
            for word in words
            if word not in self._skip and not set(word.split()) <= read | LINKS
        ]
        if unknown:
            self._seen.words.update(unknown)
            raise RefusedError("description", f"'{unknown[0]}' is not known: it may change it")

    def _kind(self, line: str) -> tuple[Kind, str]:
        """Return what the article is, and where a gasket goes as a person said it."""
        if "description" not in self._layout.places:
            if self._mapping.kind is None:
                raise RefusedError("description", "it does not say what the article is")
            return self._mapping.kind, ""
        if not line:
            raise RefusedError("description", "no description stands here")
        found = words_of(line, self._told).kind
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

    def _bore(self, cell: str, said: str, kind: Kind) -> int | None:
        if kind in NO_BORE:
            return None
        found: list[int] = []
        for text in filter(None, (cell, said)):
            if plain(text) in ("std", "standard"):
                continue
            size = figures.length(text, self._mapping.units, self._size_mark(text))
            if size is None:
                raise RefusedError("bore", f"'{text}' is no size")
            self._seen.bores += 1
            if not BORES[0] <= size <= BORES[1]:
                self._seen.no_bores[text] += 1
                self._seen.bores -= 1
                raise RefusedError("bore", f"'{text}' {self._mapping.units} is no bore")
            found.append(size)
        if len(set(found)) > 1:
            raise RefusedError("bore", f"the column says {cell}, the description {said}")
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

    def _thickness(self, cells: Sequence[str], said: Described, kind: Kind) -> int | None:
        if kind != "gasket":
            return None
        found = {
            figures.length(text, self._mapping.units, self._size_mark(text))
            for text in filter(None, (self._cell(cells, "thickness"), said.thickness))
        }
        if len(found) != 1 or None in found:
            raise RefusedError("thickness", "no thickness stands here")
        return found.pop()

    def _price(self, cells: Sequence[str]) -> int | None:
        text = self._cell(cells, "price")
        if not text[:1].isdecimal() and plain(text) in _ON_REQUEST:
            return None
        found = figures.money(text, "." if isinstance(text, Figure) else self._prices)
        for_ = self._mapping.price_for or 1
        if found is None or found % for_:
            raise RefusedError("price", f"'{text}' is no price")
        if not found:
            raise RefusedError("price", "the price is 0")
        return found // for_

    def _stock(self, cells: Sequence[str]) -> int:
        text = self._cell(cells, "stock")
        found = 1 if plain(text) in YES else figures.count(text)
        if found is None:
            raise RefusedError("stock", f"'{text}' is no number of pieces")
        return found

    def _lead(self, cells: Sequence[str]) -> int | None:
        text = self._cell(cells, "lead_days")
        if not text or text in ("-", "--"):
            return self._mapping.lead_days
        found = figures.lead_time(text)
        if found is None:
            raise RefusedError("lead_days", f"'{text}' is no lead time")
        most, unit = found
        weeks = unit == "weeks" if unit else self._weeks
        if weeks is None:
            self._seen.lead = True
        return most * (7 if weeks else 1)


_WEEKS: Final = frozenset(
    ("week", "weeks", "wochen", "semaines", "settimane", "semanas", "weken", "wk", "wks")
)
_DAYS: Final = frozenset(
    ("day", "days", "tage", "tag", "tg", "jours", "j", "giorni", "gg", "g", "dias", "dagen", "d")
)
_SERIOUS: Final = SEVERAL | ENDED | LARGER | CYLINDERS


def is_serious(word: str) -> bool:
    """Tell whether a word says that a row is for a person: a set of several, no longer sold."""
    return bool(set(word.split()) & _SERIOUS)
