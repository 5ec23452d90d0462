"""A pairing as a table: CSV, Excel or Parquet. Lengths in mm, exact."""

from __future__ import annotations

import io
from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

import pandas as pd

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import TICKS_PER
from fitsolver.base.new_file import check_new_table, write_new
from fitsolver.pairing.answer import Paired, off_middle

_TEXTS: Final = ("answer", "bore", "number", "piece", "grade", "reason")
_COLUMNS: Final = (
    "answer", "bore", "bore_size", "number", "piece", "piece_size", "grade", "clearance",
    "off_middle", "reason",
)  # fmt: skip
_PAIRED, _BORE, _PIECE = "paired", "bore left over", "piece left over"
_KINDS: Final = (".csv", ".xlsx", ".parquet")
#: Rows of a sheet, with its header.
_MOST_ROWS: Final = 1_048_576
#: A spreadsheet takes a text that starts so for a formula.
_FORMULA: Final = ("=", "+", "-", "@")

Row = tuple[Any, ...]


def check_table(path: Path) -> None:
    """Raise InputError when a table cannot be written to `path`: it exists, or has another kind."""
    check_new_table(path, _KINDS)


def write_table(path: Path, found: Paired) -> None:
    """Write a pairing to a new table: the bores in their order, then the pieces left over."""
    kind = path.suffix.lower()
    rows = list(_rows(found))
    if kind == ".xlsx" and len(rows) >= _MOST_ROWS:
        raise InputError(
            "too many rows for a sheet", file=str(path), found=f"{len(rows):,}",
            allowed=f"{_MOST_ROWS - 1:,} rows, or .csv or .parquet",
        )  # fmt: skip
    write_new(path, {".csv": _csv, ".xlsx": _excel, ".parquet": _parquet}[kind](rows))


def _rows(found: Paired) -> Iterator[Row]:
    bores, pieces = found.bores, found.pieces
    for bore, piece in enumerate(found.piece_of):
        own = bores.names[bore], bores.sizes[bore]
        grade = bores.grades[bore]
        if piece < 0:
            reason = found.shortages[found.short_of[bore]].sentence
            yield _BORE, *own, "", "", None, grade, None, None, reason
            continue
        its = pieces.names[piece], pieces.marks[piece], pieces.sizes[piece]
        fit = own[1] - its[2], off_middle(found, bore, piece)
        yield _PAIRED, *own, *its, grade, *fit, ""
    for piece, bore in enumerate(found.bore_of):
        if bore < 0:
            its = pieces.names[piece], pieces.marks[piece], pieces.sizes[piece]
            reason = found.shortages[found.short_of_piece[piece]].sentence
            yield _PIECE, "", None, *its, pieces.grades[piece], None, None, reason


@lru_cache(maxsize=1 << 16)
def _mm(value: int | None, per: int, places: int) -> Decimal | None:
    return None if value is None else Decimal(value * 10**places // per).scaleb(-places)


def _figures(row: Row) -> Row:
    """Return a row with its lengths in mm; the deviation in halves of a tick has a sixth place."""
    per = TICKS_PER["mm"]
    answer, bore, size, number, piece, other, grade, clearance, off, reason = row
    lengths = [_mm(value, per, 5) for value in (size, other, clearance)]
    off_mm = _mm(off, 2 * per, 6)
    return answer, bore, lengths[0], number, piece, lengths[1], grade, lengths[2], off_mm, reason


def _plain(value: Any) -> Any:
    """Return a text that no spreadsheet takes for a formula."""
    if isinstance(value, str) and value.startswith(_FORMULA):
        return f"'{value}"
    return value


def _csv(rows: list[Row]) -> bytes:
    frame = pd.DataFrame([tuple(map(_plain, _figures(row))) for row in rows], columns=_COLUMNS)
    return frame.to_csv(index=False, lineterminator="\n").encode()


def _excel(rows: list[Row]) -> bytes:
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    sheet = book.create_sheet("pairs")
    sheet.append(_COLUMNS)
    for row in rows:
        sheet.append(list(map(_plain, _figures(row))))
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _parquet(rows: list[Row]) -> bytes:
    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError as error:
        raise InputError(
            "pyarrow is not installed; `pip install fitsolver[parquet]` brings it"
        ) from error
    kinds = {title: pa.string() for title in _TEXTS}
    kinds |= dict.fromkeys(("bore_size", "piece_size", "clearance"), pa.decimal128(12, 5))
    kinds["off_middle"] = pa.decimal128(13, 6)
    columns = list(zip(*map(_figures, rows), strict=True))
    arrays = [
        pa.array(column, kinds[title]) for title, column in zip(_COLUMNS, columns, strict=True)
    ]
    stream = io.BytesIO()
    pq.write_table(pa.table(arrays, names=list(_COLUMNS)), stream)
    return stream.getvalue()
