"""What a table of bores may hold, told from its bytes: against Python's csv module and pyarrow."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from random import Random
from typing import Any

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading import parquet_limits, text_limits
from fitsolver.reading.limits import LONGEST_CELL, MOST_COLUMNS
from fitsolver.reading.text_limits import Limited


def passes(content: bytes, piece: int, separator: str) -> bool:
    """Tell whether these bytes, read in such pieces, keep the limits."""
    limited = Limited(Path("t.csv"), io.BytesIO(content), separator, 3)
    try:
        while limited.readinto(memoryview(bytearray(piece))):
            pass
    except InputError:
        return False
    return True


@pytest.mark.parametrize("seed", range(300))
def test_cells_are_as_long_as_the_csv_module_reads_them(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Exactly so without quotes; in quotes four bytes count as a letter, and a quote as two."""
    monkeypatch.setattr(text_limits, "LONGEST_CELL", 20)
    dice = Random(seed)
    separator = dice.choice(",;\t")
    letters = dice.choice(["ab", "aö\U0001f527", f'a"{separator}\n', '"\n'])
    cells = [
        "".join(dice.choices(letters, k=dice.choice((1, 5, 19, 20, 21, 90)))) for _ in range(9)
    ]
    out = io.StringIO()
    csv.writer(out, delimiter=separator, lineterminator="\n").writerows(
        [cells[n : n + 3] for n in (0, 3, 6)]
    )
    content = out.getvalue().encode()
    longest = max(map(len, cells))
    kept = {passes(content, piece, separator) for piece in (1, 7, 64, 5_000)}
    if '"' not in letters:
        assert kept == {longest <= 20}
    elif longest <= 20:
        assert kept == {True}
    elif longest > 80:
        assert kept == {False}


@pytest.mark.parametrize("count", [MOST_COLUMNS, MOST_COLUMNS + 1])
def test_cells_of_a_row_are_counted(count: int) -> None:
    row = ",".join("1" * count).encode()
    for content in (row, row + b"\n", b"1\n" + row + b"\n2\n"):
        kept = {passes(content, piece, ",") for piece in (1, 100, 1 << 16)}
        assert kept == {count <= MOST_COLUMNS}


def test_an_inch_mark_opens_no_quotes() -> None:
    assert passes(b'2",a\n' * LONGEST_CELL * 4, 1 << 16, ",")


@pytest.mark.parametrize("how", [{}, {"use_dictionary": False}, {"data_page_version": "2.0"},
                                 {"compression": "none"}, {"compression": "zstd"}])  # fmt: skip
def test_pages_add_up_to_what_pyarrow_tells(
    tmp_path: Path, how: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Headers and pages of a column together are its stored and its unpacked size."""
    pa, pq = pytest.importorskip("pyarrow"), pytest.importorskip("pyarrow.parquet")
    path = tmp_path / "t.parquet"
    rows = [f"bore {n % 997} ö" for n in range(40_000)]
    table = pa.table({"bore": rows, "size": [n / 7 for n in range(40_000)]})
    pq.write_table(table, path, row_group_size=15_000, data_page_size=4_000, **how)
    seen: list[tuple[int, int, int]] = []
    numbers = parquet_limits._Header.numbers

    def noted(self: Any) -> dict[int, int]:
        found = numbers(self)
        seen.append((self.at, found[2], found[3]))
        return found

    monkeypatch.setattr(parquet_limits._Header, "numbers", noted)
    with pq.ParquetFile(path) as file:
        for title, at in (("bore", 0), ("size", 1)):
            seen.clear()
            parquet_limits.check_pages(path, file.metadata, [title])
            columns = [file.metadata.row_group(n).column(at) for n in range(3)]
            stored = sum(column.total_compressed_size for column in columns)
            unpacked = sum(column.total_uncompressed_size for column in columns)
            assert sum(header + size for header, _, size in seen) == stored
            assert sum(header + size for header, size, _ in seen) == unpacked
            assert len(seen) > 3
