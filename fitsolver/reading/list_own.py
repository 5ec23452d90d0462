"""What stands in the tables of the last list: sold before, and what was put in by hand."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Final

from fitsolver.base.lengths import Unit, exact_text, format_length, parse_length
from fitsolver.reading.catalogue_columns import kind_of, names_of
from fitsolver.reading.catalogue_row import NEVER, Row
from fitsolver.reading.list_mapping import MAPPING, ListMapping
from fitsolver.reading.tables import Kind, read_table
from fitsolver.records.intake import Article

PISTONS: Final = "pistons.csv"
GASKETS: Final = "gaskets.csv"
#: Articles that no plan can count yet: rings without gap and width, pins, circlips.
OTHERS: Final = "others.csv"
PISTON_KINDS: Final = ("piston kit", "piston")
#: The columns of each table that a list fills.
COLUMNS: Final[Mapping[str, Mapping[str, Kind]]] = {
    PISTONS: {
        "number": "text", "family": "text", "oversize": "length", "for_bore": "length",
        "for_clearance_low": "length", "for_clearance_high": "length", "grade": "text",
        "price": "number", "stock": "number", "lead_days": "number",
    },
    GASKETS: {
        "number": "text", "family": "text", "place": "text", "thickness": "length",
        "price": "number", "stock": "number", "lead_days": "number",
    },
    OTHERS: {
        "number": "text", "what": "text", "family": "text", "for_bore": "length",
        "oversize": "length", "description": "text", "price": "number", "stock": "number",
        "lead_days": "number",
    },
}  # fmt: skip
SKIRT: Final = "skirt_low"
#: Figures put in by hand whose numbers the last list has not: they come back with their number.
ASIDE: Final = "set_aside.csv"
ASIDE_COLUMNS: Final = ("number", "table", "column", "figure")
_CLEARANCE: Final = "clearance"
_NAMED: Final = 8


@dataclass(frozen=True)
class Stood:
    """The tables of the last list by number.

    `sold` are price (hundredths), stock and lead time; `own` the columns that no list fills, by
    table and heading; `pistons` what a list fills of a piston: sizes in ticks, `family` and
    `grade`; `aside` clearances put right by hand whose numbers the last list had not (ticks).
    """

    sold: dict[str, dict[str, int | None]] = field(default_factory=dict)
    own: dict[str, dict[str, dict[str, str]]] = field(default_factory=dict)
    pistons: dict[str, dict[str, str | int | None]] = field(default_factory=dict)
    aside: dict[str, tuple[int, int]] = field(default_factory=dict)

    def kept(self, mapping: ListMapping) -> dict[str, tuple[int, int]]:
        """Return the clearances that were put right by hand, by number (ticks).

        `mapping` is as the last list left it. Where no piston of a family has its clearance, a
        person changed that of the mapping file.
        """
        other: dict[str, dict[str, tuple[int, int]]] = defaultdict(dict)
        alike = set()
        for number, row in self.pistons.items():
            family, found = str(row["family"]), _clearance(row)
            if found == clearance_of(family, mapping):
                alike.add(family)
            elif found is not None:
                other[family][number] = found
        by_hand = {
            number: found
            for family, rows in other.items()
            if family in alike
            for number, found in rows.items()
        }
        return {**self.aside, **by_hand}

    def waiting(
        self, kept: Mapping[str, tuple[int, int]], articles: Sequence[Article]
    ) -> Iterator[tuple[str, str, str, str]]:
        """Yield number, table, column and figure of what was put in by hand and is not listed."""
        now = {item.number for item in articles}
        for table, columns in self.own.items():
            for heading, cells in columns.items():
                yield from ((n, table, heading, text) for n, text in cells.items() if n not in now)
        for number, span in kept.items():
            if number not in now:
                yield number, PISTONS, _CLEARANCE, _both(span)


def clearance_of(family: str, mapping: ListMapping) -> tuple[int, int] | None:
    """Return what the maker gives between a piston and the bore it is made for, None if unknown."""
    return mapping.clearance.get(family) or mapping.clearance.get("")


def _clearance(row: Mapping[str, object]) -> tuple[int, int] | None:
    low, high = row["for_clearance_low"], row["for_clearance_high"]
    return (low, high) if isinstance(low, int) and isinstance(high, int) else None


def stood_before(folder: Path, unit: Unit) -> Stood:
    """Return what the tables of a folder say; `unit` is that of lengths without one.

    Raises InputError for a table that cannot be read.
    """
    stood = Stood()
    for name, listed in COLUMNS.items():
        if not (folder / name).is_file():
            continue
        table = read_table(folder / name, partial(_kind, name), _names(name), ("number",))
        headings = {
            column: f"{column} [{table.units[column]}]" if column in table.units else column
            for column in table.columns
            if column not in listed
        }
        own = stood.own.setdefault(name, {heading: {} for heading in headings.values()})
        for at, cells in table.rows:
            row = Row(table, at, cells, unit)
            number = row.text("number")
            stood.sold[number] = _sold(row)
            for column, heading in headings.items():
                if text := row.text(column):
                    own[heading][number] = text
            if name == PISTONS:
                stood.pistons[number] = {
                    column: row.signed(column) if kind == "length" else row.text(column)
                    for column, kind in listed.items()
                    if kind != "number" and column != "number"
                }
    if (folder / ASIDE).is_file():
        _take_aside(folder / ASIDE, stood)
    return stood


def _take_aside(path: Path, stood: Stood) -> None:
    table = read_table(path, dict.fromkeys(ASIDE_COLUMNS, _TEXT).get, ASIDE_COLUMNS, ASIDE_COLUMNS)
    for at, cells in table.rows:
        row = Row(table, at, cells, "mm")
        number, heading, figure = row.text("number"), row.text("column"), row.text("figure")
        if heading != _CLEARANCE:
            own = stood.own.setdefault(row.text("table"), {}).setdefault(heading, {})
            own.setdefault(number, figure)
            continue
        try:
            low, high = (parse_length(part, "mm") for part in figure.removesuffix("mm").split())
        except ValueError as error:
            raise row.error("figure", "this is no clearance", "0.045 0.055 mm") from error
        stood.aside[number] = low, high


_TEXT: Final[Kind] = "text"


def _kind(name: str, column: str) -> Kind | None:
    return COLUMNS[name].get(column) or (
        None if name == OTHERS else kind_of(Path(name).stem, column)
    )


def _names(name: str) -> Sequence[str]:
    return tuple(COLUMNS[name]) if name == OTHERS else names_of(Path(name).stem)


def _sold(row: Row) -> dict[str, int | None]:
    days = None if row.text("lead_days") == NEVER else row.count("lead_days")
    return {"price": row.money("price"), "stock": row.count("stock"), "lead_days": days}


def told_of_own(
    stood: Stood,
    kept: Mapping[str, tuple[int, int]],
    articles: Sequence[Article],
    mapping: ListMapping,
) -> Iterator[str]:
    """Yield what was put into the tables by hand: what stays, what the list replaced or lost."""
    now = {item.number: item for item in articles}
    stays = []
    for columns in stood.own.values():
        for heading, cells in columns.items():
            here = sum(number in now for number in cells)
            stays += [f"{heading} of {here}"] if here else []
    if stays:
        yield f"Columns put in by hand stay, by number: {_some(stays)}."
    waiting = list(dict.fromkeys(row[0] for row in stood.waiting(kept, articles)))
    if waiting:
        yield f"Figures put in by hand for {_some(waiting)} wait in {ASIDE} for their numbers."
    pistons = {n: item for n, item in now.items() if item.kind in PISTON_KINDS}
    hand = [
        f"{n} {_both(found)} ({MAPPING}: {_both(clearance_of(pistons[n].family, mapping))})"
        for n, found in kept.items()
        if n in pistons
    ]
    if hand:
        yield f"Clearances put right by hand in {PISTONS} stay: {_some(hand)}."
    replaced = [
        text
        for number, row in stood.pistons.items()
        if number in pistons
        for text in _replaced(row, pistons[number], kept.get(number), mapping)
    ]
    if replaced:
        yield f"The list's figure replaced the one in {PISTONS}: {_some(replaced)}."


def _replaced(
    row: Mapping[str, str | int | None],
    item: Article,
    kept: tuple[int, int] | None,
    mapping: ListMapping,
) -> Iterator[str]:
    pairs: list[tuple[str, object, object]] = [
        ("family", row["family"], item.family),
        ("oversize", row["oversize"], item.oversize),
        ("for_bore", row["for_bore"], item.nominal_bore),
        ("grade", row["grade"], item.grade),
    ]
    for name, before, now in pairs:
        if before != now and before is not None:
            yield f"{item.number} {name} {_text(before)} to {_text(now)}"
    before, now = _clearance(row), kept or clearance_of(item.family, mapping)
    if before is not None and before != now:
        yield f"{item.number} clearance {_both(before)} to {_both(now)}"


def _text(value: object) -> str:
    return format_length(value, "mm", symbol=True) if isinstance(value, int) else str(value or "-")


def _both(span: tuple[int, int] | None) -> str:
    return "none" if span is None else f"{exact_text(span[0])} {exact_text(span[1])} mm"


def _some(texts: Sequence[str]) -> str:
    more = f" and {len(texts) - _NAMED} more" if len(texts) > _NAMED else ""
    return ", ".join(texts[:_NAMED]) + more
