"""Large tables, read piece by piece: CSV, Excel, Parquet.

Only the columns that count are read; a column may name its unit, as `largest [in]`.
"""

from __future__ import annotations

import io
import signal
import warnings
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import current_thread, main_thread
from typing import TYPE_CHECKING, Any, BinaryIO, Final, NamedTuple

import numpy as np
import pandas as pd

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.reading.columns import Chunk, Column, Numbers, Text
from fitsolver.reading.excel import read_sheet
from fitsolver.reading.limits import LONGEST_CELL, cell_too_long, check_cells
from fitsolver.reading.parquet_limits import check_directory, check_pages
from fitsolver.reading.text_limits import HELD, Limited, header_line

if TYPE_CHECKING:
    import pyarrow as pa

#: Rows of a piece.
ROWS: Final = 1 << 17
_SEPARATORS: Final = ",;\t"
#: How many times as long as those before the next rows may be.
_OTHERS: Final = 2
#: Bytes of a Parquet column that are held before they are unpacked.
_BUFFER: Final = 1 << 20


@dataclass(frozen=True)
class Header:
    """Which columns count: their titles in the file by name, their units, which are lengths."""

    titles: Mapping[str, str]
    units: Mapping[str, Unit]
    lengths: tuple[str, ...]


#: Returns the header of a file with these titles; the unit is that of columns that name none.
Heading = Callable[[Path, Iterable[str], Unit], Header]


def read_chunks(path: Path, unit: Unit, heading: Heading) -> Iterator[Chunk]:
    """Yield the rows of a table; the first row under the header has number 1.

    `unit` holds where a column names none. `heading` tells which columns count, and raises
    InputError where they do not serve; so does this for a file that cannot be read, and for
    columns of a kind that cannot hold a size.
    """
    kind = path.suffix.lower()
    readers = {".parquet": _parquet, ".csv": _csv, ".xlsx": _excel}
    if kind not in readers:
        raise InputError(
            "no such table", file=str(path), found=kind or "no ending",
            allowed=".csv, .xlsx, .parquet",
        )  # fmt: skip
    if not path.is_file():
        raise InputError("there is no such file", file=str(path))
    try:
        yield from readers[kind](path, unit, heading)
    except (OSError, UnicodeDecodeError, ValueError) as error:
        raise InputError(
            f"this table cannot be read ({str(error).strip()})", file=str(path)
        ) from error


def _text(values: pd.Series[Any]) -> Text:
    codes, known = pd.factorize(values)
    return Text(codes.astype(np.int64), [str(value) for value in known])


def _csv(path: Path, unit: Unit, header_of: Heading) -> Iterator[Chunk]:
    with path.open("rb") as stream:
        line = header_line(path, stream)
        found = [mark for mark in _SEPARATORS if mark in line]
        if len(found) > 1:
            raise InputError(
                "the header is separated in two ways", file=str(path), row=1,
                allowed="comma, semicolon or tab, one of them",
            )  # fmt: skip
        separator = found[0] if found else ","
        titles = [title.strip().strip('"') for title in line.rstrip("\r\n").split(separator)]
        check_cells(str(path), 1, titles)
        header = header_of(path, titles, unit)
        places = {name: titles.index(title) for name, title in header.titles.items()}
        # A column that no row has, unless its numbers have decimal commas.
        for part in _rows(path, stream, separator, len(titles) + 1):
            _check_width(path, part.rows[len(titles)].fillna(""), part.start)
            columns: dict[str, Column] = {n: _text(part.rows[at]) for n, at in places.items()}
            yield Chunk(part.start, len(part.rows), columns, header.units)


class _Part(NamedTuple):
    """Some rows of a text table; the first has the number `start`."""

    start: int
    rows: pd.DataFrame


def _rows(path: Path, stream: BinaryIO, separator: str, columns: int) -> Iterator[_Part]:
    """Yield the rows of a text table, as many at a time as may be held."""
    limited = Limited(path, stream, separator, columns)
    first: bytes = stream.peek(1)  # type: ignore[attr-defined]
    if not first:
        return
    parts = pd.read_csv(
        io.BufferedReader(limited, 1 << 18), sep=separator, dtype=str, keep_default_na=False,
        skip_blank_lines=False, header=None, names=range(columns), index_col=False,
        iterator=True, encoding="utf-8",
    )  # fmt: skip
    start, count = 1, _as_many(first.count(b"\n"), len(first))
    with parts:
        while (part := _next(parts, count, limited)) is not None:
            yield _Part(start, part)
            start += len(part)
            count = _as_many(start, limited.read_so_far)


def _as_many(rows: int, size: int) -> int:
    """Return how many rows may be held, given that `rows` of them take `size` bytes."""
    return min(ROWS, max(1, HELD * rows // (size + 1)))


def _next(parts: Any, count: int, limited: Limited) -> pd.DataFrame | None:
    """Return the next `count` rows; of rows longer than those before fewer may be held."""
    limited.allow(_OTHERS * HELD)
    with _heard_later(), warnings.catch_warnings():  # of rows that are too long: they are refused
        warnings.simplefilter("ignore", pd.errors.ParserWarning)
        try:
            found: pd.DataFrame = parts.get_chunk(count)
        except StopIteration:
            return None
        except InputError:
            raise
        except Exception as error:
            raise limited.refused or error from error
    return found


@contextmanager
def _heard_later() -> Iterator[None]:
    """Keep Ctrl-C for the end: in the middle of a file it would be taken for a broken one."""
    if current_thread() is not main_thread():
        yield
        return
    came: list[int] = []
    before = signal.signal(signal.SIGINT, lambda number, _: came.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before or signal.SIG_DFL)
    if came:
        raise KeyboardInterrupt


def _check_width(path: Path, beyond: pd.Series[Any], start: int) -> None:
    over = np.flatnonzero(beyond != "")
    if len(over):
        raise InputError(
            "this row has more cells than columns (decimal commas?)",
            file=str(path),
            row=start + int(over[0]),
            allowed="one cell for each column, decimal points",
        )


def _excel(path: Path, unit: Unit, header_of: Heading) -> Iterator[Chunk]:
    rows = list(read_sheet(path))
    if not rows:
        raise InputError("the table has no header", file=str(path))
    (top, titles), body = rows[0], rows[1:]
    header = header_of(path, titles, unit)
    last = body[-1][0] if body else top
    filled = dict(body)
    columns: dict[str, Column] = {}
    for name, title in header.titles.items():
        at = titles.index(title)
        cells = [
            (*filled.get(number, ()), *[""] * len(titles))[at]
            for number in range(top + 1, last + 1)
        ]
        columns[name] = _text(pd.Series(cells, dtype=str))
    yield Chunk(1, last - top, columns, header.units)


def _parquet(path: Path, unit: Unit, header_of: Heading) -> Iterator[Chunk]:
    try:
        import pyarrow.parquet as pq
    except ImportError as error:
        raise InputError(
            "pyarrow is not installed; `pip install fitsolver[parquet]` brings it", file=str(path)
        ) from error
    check_directory(path)
    with pq.ParquetFile(path, memory_map=False) as file:
        header = header_of(path, file.schema_arrow.names, unit)
        names = {title: name for name, title in header.titles.items()}
        check_pages(path, file.metadata, names)
        kinds = {title: file.schema_arrow.field(title).type for title in names}
        for title, kind in kinds.items():
            _check_kind(path, names[title], kind)
    texts = [title for title, kind in kinds.items() if _is_text(kind)]
    start = 1
    # Texts stay coded: one long text in every row would be written out in full for each.
    with pq.ParquetFile(path, read_dictionary=texts, buffer_size=_BUFFER) as file:
        for batch in file.iter_batches(ROWS, columns=list(names)):
            columns = {
                names[title]: _column(path, names[title], batch.column(title), header.lengths)
                for title in names
            }
            yield Chunk(start, batch.num_rows, columns, header.units)
            start += batch.num_rows


def _is_text(kind: Any) -> bool:
    """Tell whether a column holds text, coded or not."""
    import pyarrow as pa

    value = kind.value_type if pa.types.is_dictionary(kind) else kind
    return bool(pa.types.is_string(value) or pa.types.is_large_string(value))


def _check_kind(path: Path, name: str, kind: Any) -> None:
    """Raise InputError for a column of a kind that holds neither numbers nor text."""
    import pyarrow as pa

    number = pa.types.is_integer(kind) or pa.types.is_floating(kind) or pa.types.is_decimal(kind)
    if not number and not _is_text(kind):
        raise InputError(
            "a column of this kind holds no size", file=str(path), field=name, found=str(kind)[:99],
            allowed="numbers or text",
        )  # fmt: skip


def _column(path: Path, name: str, array: pa.Array[Any], lengths: tuple[str, ...]) -> Column:
    """Return an Arrow column; a decimal number is text that says it exactly."""
    import pyarrow as pa
    import pyarrow.compute as pc

    kind = array.type
    number = pa.types.is_integer(kind) or pa.types.is_floating(kind)
    if number and name in lengths:
        missing = array.is_null().to_numpy(zero_copy_only=False)
        values = array.fill_null(0) if array.null_count else array
        return Numbers(values.to_numpy(zero_copy_only=False), missing)
    if pa.types.is_decimal(kind) or number:
        array = array.cast(pa.string())
    coded = array.dictionary_encode()
    longest = pc.max(pc.binary_length(coded.dictionary)).as_py() or 0
    if longest > LONGEST_CELL and max(map(len, coded.dictionary.to_pylist())) > LONGEST_CELL:
        raise cell_too_long(str(path), None, name)
    codes = coded.indices.fill_null(-1).to_numpy(zero_copy_only=False)
    return Text(codes.astype(np.int64), coded.dictionary.to_pylist())
