"""Every cell of a refused table by its kind alone, so that all that is wrong is told at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_columns import REQUIRED, kind_of
from fitsolver.reading.catalogue_row import Row
from fitsolver.reading.tied_windows import TIMES, times

_MONEY = frozenset({"price", "cost"})
_SIGNED = frozenset({"for_clearance_low", "for_clearance_high"})
#: Of windows these are lengths or parts of the bore.
_EDGES = frozenset({"low", "high", "service_low", "service_high"})


def wrong_cells(name: str, rows: Iterable[Row]) -> Iterator[InputError]:
    """Yield the errors in the cells of a table: an invalid figure, or an empty cell."""
    for row in rows:
        for field in row.table.columns:
            try:
                _check(name, row, field)
            except InputError as error:
                yield error


def _check(name: str, row: Row, field: str) -> None:
    kind = kind_of(name, field)
    if not row.text(field):
        if field in REQUIRED[name]:
            allowed = "a length" if kind == "length" else "a text"
            raise row.error(field, "this cell is empty", allowed)
    elif name == "windows" and field in _EDGES:
        if row.text("per_bore") != "yes":
            row.signed(field)
    elif field == "times":
        row.parsed(field, times, TIMES)
    elif kind == "length":
        row.signed(field) if field in _SIGNED else row.length(field)
    elif kind == "number" and field != "lead_days":
        _number(row, field)


def _number(row: Row, field: str) -> None:
    if field in _MONEY:
        row.money(field)
    elif field.startswith("mass"):
        row.mass(field)
    else:
        row.count(field)
