"""A catalogue that is one workbook, written out as the files of a catalogue folder."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from pathlib import PurePosixPath
from typing import Final

from fitsolver.reading.catalogue_columns import CATALOGUE_KEYS, COLUMNS
from fitsolver.reading.catalogue_workbook import FAMILIES, HEAD, families_of_book, head_of
from fitsolver.reading.excel import read_workbook
from fitsolver.reading.files import MemoryFile, SheetFile, Workbook
from fitsolver.reading.toml_text import plain_toml

_SIGNS: Final = re.compile(r"[^a-z0-9]+")


def is_book(sent: Sequence[tuple[str, bytes]]) -> bool:
    """Tell whether the upload is one workbook, not a table of a folder."""
    if len(sent) != 1:
        return False
    name = PurePosixPath(sent[0][0].replace("\\", "/").lower())
    return name.suffix == ".xlsx" and name.stem not in COLUMNS


def files_of_book(name: str, content: bytes) -> dict[str, bytes]:
    """Return the sheets of a workbook as files: `catalogue.toml`, tables, `families/NAME.toml`.

    Sheets that no catalogue has are left out. Raises InputError for what is no such workbook, with
    its sheet and row.
    """
    book = _book(MemoryFile(PurePosixPath(name.replace("\\", "/")).name, content))
    head = head_of(book, CATALOGUE_KEYS)
    files = {f"{HEAD}.toml": plain_toml(head).encode()}
    for table in COLUMNS:
        if table in book.sheets:
            files[f"{table}.csv"] = _table(book.sheets[table]).encode()
    for number, data in enumerate(families_of_book(book, head.get("units")), start=1):
        bare = _SIGNS.sub("_", str(data["family"]).lower()).strip("_")[:40] or "family"
        stated = {key: value for key, value in data.items() if value is not None}
        files[f"{FAMILIES}/{bare}_{number}.toml"] = plain_toml(stated).encode()
    return files


def _book(file: MemoryFile) -> Workbook:
    sheets: Mapping[str, SheetFile] = {
        title.strip().lower(): SheetFile(f"{file}, sheet '{title}'", b"", title, rows)
        for title, rows in read_workbook(file).items()
    }
    return Workbook(str(file), sheets)


def _table(sheet: SheetFile) -> str:
    """Return the rows of a sheet as CSV, all as wide as its header."""
    width = max((len(cells) for _, cells in sheet.rows), default=0)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows([*cells, *[""] * (width - len(cells))] for _, cells in sheet.rows)
    return out.getvalue()
