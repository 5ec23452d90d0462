"""No file costs more than 300 MB and 5 s of work, however small it is on the disk."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from .hostile import HOSTILE, many_parts

pytestmark = pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="no /proc here")

#: Limits of one process that does nothing but read one file.
MOST_MEGABYTES, MOST_SECONDS = 300, 5.0
READ = r"""
import re, sys, time
from functools import partial
from pathlib import Path
from typing import Any
from fitsolver.base.errors import InputError
{imports}
begun = time.process_time()
try:
    {read}
    print("read")
except InputError as error:
    assert len(str(error)) < 3000, len(str(error))
    lines = str(error).splitlines()
    assert all(line.isprintable() for line in lines)
    print(*lines)
spent = time.process_time() - begun
highest = re.search(r"VmHWM:\s+(\d+) kB", Path("/proc/self/status").read_text())
print(spent, int(highest[1]) / 1024)
"""
SHEET = ("from fitsolver.reading.excel import read_sheet", "list(read_sheet(Path(sys.argv[1])))")
TABLE = (
    "from fitsolver.reading.tables import read_table",
    "read_table(Path(sys.argv[1]), dict(cylinder='text').get, ['cylinder'], ['cylinder'])",
)
TOML = ("from fitsolver.reading.job_file import read_job", "read_job(Path(sys.argv[1]))")
SCREENED = (
    "from fitsolver.reading.chunks import read_chunks\n"
    "from fitsolver.screening.heading import heading",
    "[len(c.columns) for c in read_chunks(Path(sys.argv[1]), 'mm', heading)]",
)


def check(how: tuple[str, str], path: Path) -> str:
    """Read a file in a process of its own; return what it says, hold it to the limits."""
    code = READ.format(imports=how[0], read=how[1])
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    said, figures = done.stdout.splitlines()
    seconds, megabytes = map(float, figures.split())
    print(f"{path.name}: {seconds:.2f} s, {megabytes:.0f} MB: {said[-150:]}")
    assert seconds < MOST_SECONDS
    assert megabytes < MOST_MEGABYTES
    return said


@pytest.mark.parametrize("what", HOSTILE)
def test_a_workbook(tmp_path: Path, what: str) -> None:
    path = HOSTILE[what](tmp_path / "r.xlsx")
    said = check(SHEET, path)
    if "as many as may be" in what:
        assert said == "read"
    else:
        assert said != "read" or what in ("long texts", "one sheet many times")
    check(TABLE, path)
    assert check(SCREENED, path) != "read"


def test_a_workbook_of_many_parts(tmp_path: Path) -> None:
    assert "too many parts" in check(SHEET, many_parts(tmp_path / "r.xlsx"))


CSV: dict[str, Callable[[], str]] = {
    "a cell of 19 MB": lambda: "cylinder\n" + "a" * 19_000_000,
    "a header of 19 MB": lambda: "a" * 19_000_000,
    "rows of nothing": lambda: "cylinder\n" + "\n" * 19_000_000,
    "short rows": lambda: "cylinder\n" + "1\n" * 9_000_000,
    "many columns": lambda: "cylinder" + ",a" * 9_000_000,
    "long names": lambda: ",".join(["cylinde" * 200] * 900) + "\n",
    "quotes": lambda: 'cylinder\n"' + "a\n" * 9_000_000,
    "cells beyond the header": lambda: "cylinder\n" + ("1" + "," * 900 + "\n") * 20_000,
}


#: Tables of bores that are read in passing, so more rows than elsewhere are no fault.
SCREENED_CSV: dict[str, Callable[[], Iterable[str]]] = {
    "a cell of 200 MB": lambda: ("bore\n", *("a" * 1_000_000 for _ in range(200))),
    "a cell of 200 MB below sound rows": lambda: (
        "bore\n", "62.31\n" * 200_000, *("a" * 1_000_000 for _ in range(200))
    ),
    "a header of 200 MB": lambda: ("a" * 1_000_000 for _ in range(200)),
    "titles without end": lambda: ("bore", *(",a" * 500_000 for _ in range(200))),
    "cells without end": lambda: ("bore,name\n62.31,a\n62", *("," * 1_000_000 for _ in range(200))),
    "a quote that never ends": lambda: ('bore\n"', *("62\n" * 300_000 for _ in range(200))),
    "a quote with commas in it": lambda: ('bore,name\n62,"', *("a," * 500_000 for _ in range(200))),
    "quotes in quotes": lambda: ('bore\n"', *('""' * 500_000 for _ in range(200))),
    "rows of 100 kB": lambda: ("bore,name\n", *(("62," + "a" * 1_900 + ",b" * 900 + "\n") * 300
                               for _ in range(200))),
    "long names below short ones": lambda: (
        "bore,name\n", "62.31,a\n" * 500_000, f"62.31,{'a' * 2_000}\n" * 30_000
    ),
    "short rows before long ones": lambda: (
        "bore" + ",a" * 900 + "\n", "6\n" * 9_000_000,
        *(("6" + ",aaaaaaaaaa" * 900 + "\n") * 200 for _ in range(90)),
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", SCREENED_CSV)
def test_a_text_table_of_bores(tmp_path: Path, what: str) -> None:
    path = tmp_path / "r.csv"
    with path.open("w", encoding="utf-8") as stream:
        stream.writelines(SCREENED_CSV[what]())
    said = check(SCREENED, path)
    assert said != "read"


#: Rows and bytes of sound tables, the longest rows that may be among them.
SOUND_CSV: dict[str, Callable[[], Iterable[str]]] = {
    "two million rows": lambda: ("bore,name\n", *("62.31,a\n" * 100_000 for _ in range(20))),
    "names as long as may be": lambda: ("bore,name\n", f"62.31,{'a' * 2_000}\n" * 60_000),
    "many columns": lambda: (f"bore{',a' * 900}\n", f"62.31{',1.23' * 900}\n" * 10_000),
    "quotes": lambda: ("bore,name\n", '"62.31","a ""b"", c"\n' * 500_000),
}  # fmt: skip


@pytest.mark.parametrize("what", SOUND_CSV)
def test_a_sound_table_of_bores_is_read_in_parts(tmp_path: Path, what: str) -> None:
    path = tmp_path / "r.csv"
    with path.open("w", encoding="utf-8") as stream:
        stream.writelines(SOUND_CSV[what]())
    assert check(SCREENED, path) == "read"


def _parquet(path: Path, columns: dict[str, Any], **how: Any) -> Path:
    pa, pq = pytest.importorskip("pyarrow"), pytest.importorskip("pyarrow.parquet")
    pq.write_table(pa.table(columns), path, **how)
    return path


def _two_texts(path: Path, **how: Any) -> Path:
    """Two hundred million letters in two cells, among sound rows."""
    long = ["62.31"] * 100_000 + ["a" * 100_000_000, "b" * 100_000_000]
    return _parquet(path, {"bore": long}, compression="zstd", **how)


PARQUET: dict[str, Callable[[Path], Path]] = {
    "two cells of 100 MB": _two_texts,
    "two cells of 100 MB, not coded": partial(_two_texts, use_dictionary=False),
    "one cell of 400 MB": lambda p: _parquet(p, {"bore": ["a" * 400_000_000]}, compression="zstd"),
    "cells of 3,000 letters": lambda p: _parquet(p, {"bore": ["a" * 3_000] * 1_000}),
    "columns": lambda p: _parquet(p, {"bore": [62.31], **{f"c{n}": [1] for n in range(5_000)}}),
    "a directory of 30 MB": lambda p: _parquet(
        p, {"bore": [62.31], "n" * 30_000_000: [1]}
    ),
    "lists": lambda p: _parquet(p, {"bore": [[62.31] * 1_000_000] * 20}, compression="zstd"),
    "pages without end": lambda p: _parquet(
        p, {"bore": np.arange(3_000_000) / 1e5 + 60}, use_dictionary=False, data_page_size=1,
        write_batch_size=1,
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", PARQUET)
def test_a_parquet_table_of_bores(tmp_path: Path, what: str) -> None:
    assert check(SCREENED, PARQUET[what](tmp_path / "r.parquet")) != "read"


SOUND_PARQUET: dict[str, Callable[[Path], Path]] = {
    "ten million rows in one group": lambda p: _parquet(
        p, {"bore": np.full(10_000_000, 62.31), "name": np.full(10_000_000, "a")},
        row_group_size=10_000_000,
    ),
    "one page of 80 million sizes": lambda p: _parquet(
        p, {"bore": np.full(80_000_000, 62.31)}, use_dictionary=False, compression="zstd",
        data_page_size=1 << 30,
    ),
    "one long name in every row": lambda p: _parquet(
        p, {"bore": np.full(500_000, 62.31), "name": ["a" * 2_000] * 500_000}
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", SOUND_PARQUET)
def test_a_sound_parquet_table_of_bores(tmp_path: Path, what: str) -> None:
    assert check(SCREENED, SOUND_PARQUET[what](tmp_path / "r.parquet")) == "read"


@pytest.mark.parametrize("what", CSV)
def test_a_text_table(tmp_path: Path, what: str) -> None:
    path = tmp_path / "r.csv"
    path.write_text(CSV[what](), encoding="utf-8")
    assert check(TABLE, path) != "read"


SETTINGS: dict[str, Callable[[], str]] = {
    "many keys": lambda: "".join(f"k{n} = 1\n" for n in range(140_000)),
    "a long key": lambda: "k" * 1_900_000 + " = 1\n",
    "a dotted key": lambda: "a." * 900_000 + "b = 1\n",
    "dotted keys": lambda: "".join(f"a.b.c{n}.d = 1\n" for n in range(100_000)),
    "a long text": lambda: f'format = 1\nname = "{"a" * 1_900_000}"\n',
    "many tables": lambda: "[[cylinder]]\n" * 140_000,
    "a long list": lambda: f"format = 1\nk = [{'1,' * 900_000}]\n",
    "lists in lists": lambda: "k = " + "[" * 900_000,
    "larger than may be": lambda: "# comment\n" * 1_900_000,
}


@pytest.mark.parametrize("what", SETTINGS)
def test_a_job_file(tmp_path: Path, what: str) -> None:
    path = tmp_path / "job.toml"
    path.write_text(SETTINGS[what](), encoding="utf-8")
    assert check(TOML, path) != "read"
