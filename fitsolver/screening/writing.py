"""Decided rows written to a table, CSV or Parquet, piece by piece. Lengths in mm, exact."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final, Protocol

import numpy as np
import pandas as pd

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import TICKS_PER
from fitsolver.base.new_file import becoming, check_new_table
from fitsolver.reading.columns import BadRow, Ints, Text
from fitsolver.screening.decided import Decided
from fitsolver.screening.equals import Choice

_PER_MM: Final = TICKS_PER["mm"]
#: Decimals of a tick in mm.
_PLACES: Final = 5
_SIZES: Final = ("finish", "removal", "filing")
_KINDS: Final = (".csv", ".parquet")
FITS, NOTHING, BAD = "fits", "nothing fits", "bad row"


class Writer(Protocol):
    """Takes decided rows, with their names where the table has them."""

    def __call__(self, decided: Decided, names: Text | None) -> None: ...


def check_out(path: Path) -> None:
    """Raise InputError when a table cannot be written to `path`: it exists, or has another kind."""
    check_new_table(path, _KINDS)
    if path.suffix.lower() == ".parquet":
        _pyarrow(path)


@contextmanager
def table_writer(path: Path) -> Iterator[Writer]:
    """Open a new table for decided rows; a run that fails leaves none behind."""
    check_out(path)
    kind = _parquet if path.suffix.lower() == ".parquet" else _csv
    try:
        with becoming(path) as work, kind(work) as write:
            yield write
    except OSError as error:
        raise InputError(f"this file cannot be written ({error})", file=str(path)) from error


@contextmanager
def _csv(path: Path) -> Iterator[Writer]:
    with path.open("x", encoding="utf-8", newline="") as stream:
        first = True

        def write(decided: Decided, names: Text | None) -> None:
            nonlocal first
            frame = pd.DataFrame({"row": _rows(decided)})
            if names is not None:
                frame["name"] = np.array([*names.values, ""], object)[names.codes]
            for title, values in _words(decided).items():
                frame[title] = np.array(values, object)[decided.choice]
            empty = _empty(decided)
            for title in _SIZES:
                frame[title] = _mm(getattr(decided, title), empty)
            frame.to_csv(stream, index=False, header=first, lineterminator="\n")
            first = False

        yield write


@contextmanager
def _parquet(path: Path) -> Iterator[Writer]:
    pa, pq = _pyarrow(path)
    mm = pa.decimal128(12, _PLACES)
    texts = ("answer", "piston", "rings", "route")
    word = pa.dictionary(pa.int32(), pa.string())
    numbers = [
        (title, pa.int32() if title == "days" else pa.decimal128(14, 2))
        for title in ("price", "days")
    ]
    fields = [
        ("row", pa.int64()),
        *((t, word) for t in texts),
        *numbers,
        *((t, mm) for t in _SIZES),
    ]
    writer = None
    try:

        def write(decided: Decided, names: Text | None) -> None:
            nonlocal writer
            words = _words(decided)
            columns = [pa.array(_rows(decided))]
            for title in texts:
                columns.append(_coded(pa, decided.choice, words[title]))
            empty = _empty(decided)
            price = _by_choice(decided, "price")
            columns += [
                _decimal(pa, price, 2, empty),
                pa.array(_by_choice(decided, "days").astype(np.int32), mask=empty),
            ]
            columns += [_decimal(pa, getattr(decided, title), _PLACES, empty) for title in _SIZES]
            schema = pa.schema(fields)
            if names is not None:
                schema = schema.insert(1, pa.field("name", word))
                columns.insert(1, _coded(pa, names.codes, [*names.values, ""]))
            if writer is None:
                writer = pq.ParquetWriter(path, schema)
            writer.write_table(pa.table(columns, schema=schema))

        yield write
    finally:
        if writer is not None:
            writer.close()


def _pyarrow(path: Path) -> tuple[Any, Any]:
    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError as error:
        raise InputError(
            "pyarrow is not installed; `pip install fitsolver[parquet]` brings it", file=str(path)
        ) from error
    return pa, pq


def _rows(decided: Decided) -> Ints:
    return np.arange(decided.start, decided.start + len(decided.choice), dtype=np.int64)


def _empty(decided: Decided) -> Any:
    """Tell for every row whether it has no plan."""
    fits = np.array([*(bool(choice.piston) for choice in decided.choices), False])
    return ~fits[decided.choice]


def _words(decided: Decided) -> dict[str, list[str]]:
    """Return the texts of every choice; the last is for bad rows."""
    chosen = decided.choices
    return {
        "answer": [*(FITS if choice.piston else NOTHING for choice in chosen), BAD],
        "piston": [*(choice.piston for choice in chosen), ""],
        "rings": [*(" ".join(choice.rings) for choice in chosen), ""],
        "route": [*(choice.route for choice in chosen), ""],
        "price": [*(_money(choice) for choice in chosen), ""],
        "days": [*(str(choice.days) if choice.piston else "" for choice in chosen), ""],
    }


def _money(choice: Choice) -> str:
    return f"{choice.price // 100}.{choice.price % 100:02d}" if choice.piston else ""


def _by_choice(decided: Decided, title: str) -> Ints:
    values = np.array([*(getattr(choice, title) for choice in decided.choices), 0], np.int64)
    return values[decided.choice]


def _mm(ticks: Ints, empty: Any) -> Any:
    """Return lengths as text: every different one is written once."""
    codes, known = pd.factorize(ticks)
    texts = [f"{value // _PER_MM}.{value % _PER_MM:05d}" for value in known.tolist()]
    return np.where(empty, "", np.array([*texts, ""], object)[codes])


def _coded(pa: Any, codes: Ints, values: list[str]) -> Any:
    """Return a column of few texts; the last is for those that have none.

    Texts appear in order of their first row. So the bytes do not depend on the process that decided
    the rows, nor on its earlier work.
    """
    places = {value: at for at, value in enumerate(dict.fromkeys(values))}
    at, used = pd.factorize(np.array([places[value] for value in values], np.int32)[codes])
    texts = [list(places)[index] for index in used.tolist()]
    return pa.DictionaryArray.from_arrays(
        pa.array(at.astype(np.int32)), pa.array(texts, pa.string())
    )


def _decimal(pa: Any, values: Ints, places: int, empty: Any) -> Any:
    """Return whole numbers of the last place as exact decimals: 128 bits, the low half first."""
    pairs = np.column_stack([values, values >> 63])
    mask = pa.array(~empty).buffers()[1]
    kind = pa.decimal128(14 if places == 2 else 12, places)
    return pa.Array.from_buffers(kind, len(values), [mask, pa.py_buffer(pairs.tobytes())])


@contextmanager
def bad_rows_writer(path: Path, file: str) -> Iterator[Any]:
    """Open a new CSV file for the rows that could not be screened."""
    with becoming(path) as work, work.open("x", encoding="utf-8", newline="") as stream:
        rows = csv.writer(stream, lineterminator="\n")
        rows.writerow(["file", "row", "field", "found", "reason"])

        def write(bad: list[BadRow]) -> None:
            rows.writerows((file, b.row, b.field, b.found, b.reason) for b in bad)

        yield write
