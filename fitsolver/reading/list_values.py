"""Cells of a row as figures: number, sizes, price, stock, lead time; what keeps a row out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from functools import cached_property
from typing import Final

from fitsolver.reading import list_figures as figures
from fitsolver.reading.list_cells import BORES, is_oversize
from fitsolver.reading.list_contents import bare_grade
from fitsolver.reading.list_entries import NO_BORE, RefusedError
from fitsolver.reading.list_figures import Figure, Mark
from fitsolver.reading.list_headings import Role
from fitsolver.reading.list_kinds import Kind
from fitsolver.reading.list_layout import Layout
from fitsolver.reading.list_legend import nth_of, size_behind
from fitsolver.reading.list_mapping import ListMapping
from fitsolver.reading.list_packs import is_of_prices, pack_of
from fitsolver.reading.list_patterns import Described
from fitsolver.reading.list_seen import Seen
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_words import AT_ONCE, CURRENT, ENDED, YES, plain

#: What stands for a price that is told when asked.
_ON_REQUEST: Final = frozenset(
    ("", "-", "--", "por", "p o r", "poa", "on request", "call", "auf anfrage", "a a", "anfrage",
     "sur demande", "su richiesta", "a consultar", "consultar", "n a", "tbd", "on application",
     "op aanvraag", "n c", "nc", "s d", "p o a", "nach vereinbarung", "consulter", "nous consulter")
)  # fmt: skip
_ASKED: Final = frozenset(
    (
        "anfrage", "demande", "richiesta", "request", "consultar", "consulta", "aanvraag", "aftale",
        "forfragan", "foresporgsel", "foresporsel", "dotaz", "zapytanie", "telefon", "call",
        "vereinbarung", "sorunuz", "pyynnosta", "application", "quote", "pedido", "tba", "tbc",
        "consulter", "poa", "prezzo", "tagespreis", "tagesprijs",
    )
)  # fmt: skip
_ERRORS: Final = frozenset(
    ("#N/A", "#REF!", "#VALUE!", "#DIV/0!", "#NAME?", "#NULL!", "#NUM!", "#NV", "#BEZUG!", "#WERT!")
)
_DATE: Final = re.compile(r"\d{4}-\d\d-\d\d")
_POWER: Final = re.compile(r"\d(?:[.,]\d+)?[eE][+-]?\d+")
_THREES: Final = re.compile(r"\d{1,3}[.,]\d{3}")
_DECIMALS: Final = re.compile(r"(\d+)[.,]0+")
_WEEKS: Final = frozenset(
    ("week", "weeks", "wochen", "semaines", "settimane", "semanas", "weken", "wk", "wks")
)
_DAYS: Final = frozenset(
    ("day", "days", "tage", "tag", "tg", "jours", "j", "giorni", "gg", "g", "dias", "dagen", "d")
)


class Values:
    """Reads the figures of the rows of one sheet."""

    def __init__(self, layout: Layout, mapping: ListMapping, sheet: ListSheet, seen: Seen) -> None:
        self._layout, self._mapping, self._seen, self._sheet = layout, mapping, seen, sheet
        self._places = dict(layout.places)
        remarks = set(map(plain, mapping.remarks))
        self._skip = frozenset(map(plain, mapping.skip))
        self._remarks = {
            at
            for at, title in enumerate(layout.titles)
            if title and (plain(title) in remarks or at in layout.remarks)
        }

    def cell(self, cells: Sequence[str], role: Role) -> str:
        """Return the cell of a row that holds a role, '' where none does."""
        at = self._places.get(role)
        return "" if at is None or at >= len(cells) else cells[at]

    @cached_property
    def _prices(self) -> Mark:
        return self._mapping.decimal or self._mark("price") or "."

    @cached_property
    def _sizes(self) -> Mark:
        return self._mark("bore") or self._mark("oversize") or self._prices

    @cached_property
    def _stock_decimals(self) -> bool:
        """Tell whether pieces have decimals: '4.000' is 4 where another cell says '0.000'."""
        head = self._layout.heading_row
        cells = [self.cell(row, "stock") for number, row in self._sheet.rows if number > head]
        some = any(re.fullmatch(r"0[.,]0+", cell) for cell in cells)
        return some and all(_DECIMALS.fullmatch(cell) for cell in cells if cell)

    @cached_property
    def _stock_thousands(self) -> bool:
        """Tell whether '1.000' is a thousand: every mark of the column stands before three."""
        head = self._layout.heading_row
        cells = [self.cell(row, "stock") for number, row in self._sheet.rows if number > head]
        marked = [cell for cell in cells if "." in cell or "," in cell]
        threes = all(_THREES.fullmatch(cell) for cell in marked)
        return threes and any(not cell.endswith("000") for cell in marked)

    @cached_property
    def _weeks(self) -> bool | None:
        """Tell whether a lead time without a unit counts weeks; None where nothing says it."""
        if self._mapping.lead_unit is not None:
            return self._mapping.lead_unit == "weeks"
        words = set(plain(self._title("lead_days")).split())
        if words & _WEEKS:
            return True
        return False if words & _DAYS else None

    def _title(self, role: Role) -> str:
        at = self._layout.places.get(role)
        return "" if at is None or at >= len(self._layout.titles) else self._layout.titles[at]

    def _mark(self, role: Role) -> Mark | None:
        head = self._layout.heading_row
        return figures.decimal_mark(
            self.cell(cells, role) for number, cells in self._sheet.rows if number > head
        )

    def look_at_cells(self, row: int, cells: Sequence[str]) -> None:
        """Raise RefusedError for a row that does not stand as it was meant.

        A formula without a result, a text struck out, a cell too many (a mark between cells stands
        within one), pieces said for several rows. A merged price or engine type holds for each of
        its rows; pieces would count several times.
        """
        if len(cells) > self._layout.width:
            raise RefusedError("columns", "it has more cells than the other rows")
        for role, at in self._layout.places.items():
            if at < len(cells) and cells[at].startswith("#") and cells[at].upper() in _ERRORS:
                raise RefusedError(role, f"{cells[at]}: a formula without a result")
        sheet = self._sheet
        if not (sheet.unworked or sheet.merged or sheet.struck):
            return
        for role, at in self._layout.places.items():
            if (row, at) in sheet.unworked:
                raise RefusedError(role, "a formula of which no result is stored")
            if (row, at) in sheet.struck:
                raise RefusedError(role, "its text is struck out")
            if role in ("number", "stock") and (row, at) in sheet.merged:
                raise RefusedError(role, "a merged cell says it for several rows")

    def look_for_remarks(self, cells: Sequence[str], kind: Kind) -> None:
        """Raise RefusedError where a remark or a number of pieces says more than is read."""
        for at in self._remarks:
            if at >= len(cells) or plain(cells[at]) in CURRENT | self._skip:
                continue
            if not any(sign.isdecimal() for sign in cells[at]):
                self._seen.words[plain(cells[at])] += 1
            raise RefusedError("remark", f"{self._layout.title(at)}: {cells[at]}")
        for role in ("price", "stock", "lead_days", "number"):
            text = self.cell(cells, role)
            if not text or text[-1].isdigit():
                continue
            ended = ENDED & set(plain(text).split())
            if ended and not (role == "stock" and figures.count(text) == 0):
                raise RefusedError(role, f"it says '{text}'")
        self._pack(cells, kind)

    def _pack(self, cells: Sequence[str], kind: Kind) -> int:
        """Return the pieces that a price is for by a column of its own, 1 without one."""
        pieces = self.cell(cells, "pieces")
        found = pack_of(pieces) if pieces else 1
        if found == 0 and (kind in ("piston kit", "rings") or not pieces[:1].isalpha()):
            found = 1
        if found and (found == 1 or self._of_prices):
            return found
        raise RefusedError("pieces", f"it is sold {pieces} together: a plan counts single ones")

    @cached_property
    def _of_prices(self) -> bool:
        title, price = (plain(self._title(role)).split() for role in ("pieces", "price"))
        return is_of_prices(self._title("pieces")) or bool(title and set(title) <= set(price))

    def number(self, cells: Sequence[str]) -> str:
        """Return the part number."""
        number = self.cell(cells, "number")
        if not number or not any(sign.isdigit() for sign in number):
            raise RefusedError("number", "no part number stands here")
        made = (isinstance(number, Figure) and "." in number) or _POWER.fullmatch(number)
        if made or _DATE.fullmatch(number):
            raise RefusedError("number", "a spreadsheet has made a figure or a date of it")
        return number

    def bore(self, cell: str, said: str, kind: Kind) -> int | None:
        """Return the bore that a cell and a description name, in ticks; None where neither does."""
        if kind in NO_BORE:
            return None
        if (cell or said) and self._mapping.bores_are == "pistons":
            raise RefusedError("bore", "it is the size of the piston: no bore stands here")
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

    def oversize(self, cells: Sequence[str]) -> str:
        """Return the oversize of its column as it stands there; 'STD' for a word that means it."""
        text = self.cell(cells, "oversize")
        text = size_behind(self._sheet.legend.get(plain(text), text))
        if not text or nth_of(text) or any(sign.isdigit() for sign in text) or is_oversize(text):
            return text
        if plain(text) in self._mapping.standard_words:
            return "STD"
        self._seen.standards[plain(text)] += 1
        return text

    def _size_mark(self, text: str) -> Mark:
        """A size has one mark and no thousands: whichever stands there is the decimal one."""
        if "," in text and "." not in text:
            return ","
        return "." if "." in text and "," not in text else self._sizes

    def grade(self, cells: Sequence[str], said: Described, letter: str) -> str:
        """Return the grade that a cell, a letter behind the bore or a description names."""
        cell = bare_grade(self.cell(cells, "grade")) or letter
        if letter and plain(cell) != plain(letter):
            raise RefusedError("grade", f"one column says {cell}, another {letter}")
        if cell and said.grade and plain(cell) != plain(said.grade):
            raise RefusedError("grade", f"the column says {cell}, the description {said.grade}")
        return cell or said.grade

    def thickness(self, cells: Sequence[str], said: Described, kind: Kind) -> int | None:
        """Return the thickness of a gasket in ticks, None for another article."""
        if kind != "gasket":
            return None
        found = {
            figures.length(text, self._mapping.units, self._size_mark(text))
            for text in filter(None, (self.cell(cells, "thickness"), said.thickness))
        }
        if len(found) > 1 or None in found:
            raise RefusedError("thickness", "the thickness is not clear")
        return found.pop() if found else None

    def price(self, cells: Sequence[str], kind: Kind) -> int | None:
        """Return the price of one article in hundredths, None where it is told when asked."""
        text = self.cell(cells, "price")
        if not any(sign.isdecimal() for sign in text):
            bare = plain(text)
            if bare in _ON_REQUEST or _ASKED & set(bare.split()):
                return None
        own = figures.currency_of(text) or figures.currency_of(self.cell(cells, "currency"))
        if own and self._mapping.currency and own != self._mapping.currency:
            raise RefusedError("price", f"it is in {own}, the list in {self._mapping.currency}")
        mark: Mark = "." if isinstance(text, Figure) else self._prices
        if not isinstance(text, Figure) and figures.may_be_thousands(text, mark):
            raise RefusedError("price", f"'{text}' may be in thousands")
        found = figures.money(text, mark)
        pieces = (self._mapping.price_for or 1) * self._pack(cells, kind)
        if found is None or (found % pieces and pieces == self._mapping.price_for):
            raise RefusedError("price", f"'{text}' is no price")
        if not found:
            raise RefusedError("price", "the price is 0")
        return round(Fraction(found, pieces))

    def stock(self, cells: Sequence[str]) -> int:
        """Return the pieces in stock."""
        text = self.cell(cells, "stock")
        if self._stock_decimals and (whole := _DECIMALS.fullmatch(text)):
            text = whole[1]
        if _THREES.fullmatch(text) and self._stock_thousands:
            text = text.replace(".", "").replace(",", "")
        found = 1 if plain(text) in YES else figures.count(text)
        if found is None:
            raise RefusedError("stock", f"'{text}' is no number of pieces")
        return found

    def lead(self, cells: Sequence[str]) -> int | None:
        """Return the days until it comes, None where nothing says it."""
        text = self.cell(cells, "lead_days")
        if not text or text in ("-", "--"):
            return self._mapping.lead_days
        if plain(text) in AT_ONCE:
            return 0
        found = figures.lead_time(text)
        if found is None:
            raise RefusedError("lead_days", f"'{text}' is no lead time")
        most, unit = found
        weeks = unit == "weeks" if unit else self._weeks
        if weeks is None:
            self._seen.lead = True
        return most * (7 if weeks else 1)
