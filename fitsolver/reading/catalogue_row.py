"""One row of a catalogue table: each cell by its kind, or one clear message."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any, Final, NamedTuple, TypeVar

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.reading.hints import shown
from fitsolver.reading.quantities import cached_length, parse_count, parse_mass, parse_money
from fitsolver.reading.tables import Table
from fitsolver.records.base import Range

T = TypeVar("T")
#: In place of a lead time: it cannot be ordered.
NEVER: Final = "none"
_count: Final = lru_cache(maxsize=1 << 14)(parse_count)
_mass: Final = lru_cache(maxsize=1 << 14)(parse_mass)
_money: Final = lru_cache(maxsize=1 << 14)(parse_money)


@lru_cache(maxsize=1 << 14)
def shared_range(low: int, high: int) -> Range:
    """Return a range; equal ones are one record, which catalogues have thousands of."""
    return Range(low=low, high=high)


class Usual(NamedTuple):
    """Defaults of a list for articles with an empty cell."""

    lead_days: int | None = None
    least_order: int | None = None


class Row:
    """A row whose methods take a column; an empty cell or absent column is None.

    Each raises InputError with file, row, column, what was found and what is allowed.
    """

    __slots__ = ("_cells", "_columns", "_unit", "number", "table", "usual")

    def __init__(
        self,
        table: Table,
        number: int,
        cells: list[str],
        unit: Unit,
        usual: Usual = Usual(),  # noqa: B008
    ) -> None:
        self.table, self.number, self.usual = table, number, usual
        self._cells, self._columns, self._unit = cells, table.columns, unit

    def error(self, field: str, message: str, allowed: str = "", found: str = "") -> InputError:
        """Return the refusal of one cell of this row."""
        return self.table.error(
            self.number, field, message, allowed=allowed, found=shown(found or self.text(field))
        )

    def text(self, field: str) -> str:
        at = self._columns.get(field)
        return "" if at is None else self._cells[at]

    def word(self, field: str) -> str:
        """Return a text that must be there, on one line."""
        text = self.text(field)
        if not text:
            raise self.error(field, "this cell is empty", "a text")
        if not text.isprintable():
            raise self.error(field, "this text is not printable on one line")
        return text

    def length(self, field: str, *, above_zero: bool = False) -> int | None:
        """Return a length in ticks that is not negative."""
        ticks = self.signed(field)
        if ticks is not None and (ticks < 0 or (above_zero and not ticks)):
            if ticks:
                raise self.error(field, "this length is negative", "0 or more")
            raise self.error(field, "this length must be above zero", "above 0")
        return ticks

    def signed(self, field: str) -> int | None:
        """Return a length in ticks that may be negative."""
        at = self._columns.get(field)
        if at is None or not (text := self._cells[at]):
            return None
        unit = self.table.units.get(field, self._unit)
        try:
            return cached_length(text, unit)
        except ValueError as error:
            raise self.error(field, str(error), f"a length in {unit}, or with its unit") from error

    def must(self, field: str, *, above_zero: bool = True) -> int:
        """Return a length in ticks that must be there."""
        ticks = self.length(field, above_zero=above_zero)
        if ticks is None:
            raise self.error(field, "this cell is empty", "a length")
        return ticks

    def span(self, low: str, high: str, *, above_zero: bool = True) -> Range:
        """Return a lowest and a highest length, both there and in order."""
        least = self.must(low, above_zero=above_zero)
        most = self.must(high, above_zero=above_zero)
        if least > most:
            raise self.error(
                low,
                "the lowest value is above the highest",
                f"{low} up to {high}",
                f"{self.text(low)} and {self.text(high)}",
            )
        return shared_range(least, most)

    def count(self, field: str) -> int | None:
        return self.parsed(field, _count, "a whole number from 0")

    def money(self, field: str) -> int | None:
        return self.parsed(field, _money, "an amount from 0 with two decimals at most")

    def mass(self, field: str) -> int | None:
        return self.parsed(field, _mass, "a mass in grams, from 0")

    def choice(self, field: str, words: Sequence[T]) -> T:
        """Return the word of a list that the cell holds."""
        text = self.text(field)
        for word in words:
            if word == text:
                return word
        raise self.error(field, "unknown word", ", ".join(map(str, words)))

    def sold(self, numbers: dict[str, str]) -> dict[str, Any]:
        """Return the fields common to all articles; `numbers` records the article's number and
        place.
        """
        number = self.word("number")
        if number in numbers:
            raise self.error(
                "number",
                f"this part number is there twice (also in {numbers[number]})",
                "each number once in all tables",
            )
        numbers[number] = f"{self.table.file}, row {self.number}"
        return {
            "number": number,
            "price": self.money("price"),
            "stock": self.count("stock") or 0,
            "lead_days": self._lead_days(),
            "least_order": self._least_order(),
        }

    def _lead_days(self) -> int | None:
        """Return the days from order to delivery; `none` says that it cannot be ordered."""
        if self.text("lead_days") == NEVER:
            return None
        days = self.count("lead_days")
        return self.usual.lead_days if days is None else days

    def _least_order(self) -> int:
        least = self.count("least_order")
        if least == 0:
            raise self.error("least_order", "fewer than one cannot be ordered", "from 1, or empty")
        return least or self.usual.least_order or 1

    def parsed(self, field: str, parse: Callable[[str], T], allowed: str) -> T | None:
        """Return a cell parsed by `parse`; its ValueError becomes the refusal."""
        at = self._columns.get(field)
        if at is None or not (text := self._cells[at]):
            return None
        try:
            return parse(text)
        except ValueError as error:
            raise self.error(field, str(error), allowed) from error
