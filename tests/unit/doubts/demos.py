"""Demo catalogues with single cells typed otherwise. The demo data is invented."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from fitsolver.doubts.rows import row_doubts
from fitsolver.records.catalogue import Catalogue

from ...bench.clean_tables import Tables, draw, tables_of
from ..cli.run import DEMOS


def read(tables: Tables) -> Catalogue:
    with TemporaryDirectory() as folder:
        return tables.read(Path(folder))


def typed(demo: str, *cells: tuple[str, str, str, str]) -> Catalogue:
    """A demo catalogue with cells (table, number, column, text) typed so."""
    tables = tables_of(DEMOS / demo)
    for table, number, column, text in cells:
        rows = tables.rows[table]
        at = next(i for i, row in enumerate(rows) if number in (row.get("number"), row.get("name")))
        assert rows[at][column] != text
        tables = tables.with_cell(table, at, column, text)
    return read(tables)


def found(demo: str, *cells: tuple[str, str, str, str]) -> dict[str, str]:
    """What is doubted of it: sentences by id."""
    return {doubt.id: doubt.sentence for doubt in row_doubts(typed(demo, *cells))}


__all__ = ["draw", "found", "read", "typed"]
