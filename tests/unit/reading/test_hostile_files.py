"""No file costs more than 300 MB and 5 s of work, however small it is on the disk."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from .hostile import HOSTILE, many_parts

pytestmark = pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="no /proc here")

#: Limits of one process that does nothing but read one file.
MOST_MEGABYTES, MOST_SECONDS = 300, 5.0
READ = r"""
import re, sys, time
from pathlib import Path
from fitsolver.errors import InputError
{imports}
begun = time.process_time()
try:
    {read}
    print("read")
except InputError as error:
    assert len(str(error)) < 3000, len(str(error))
    assert str(error).isprintable()
    print(error)
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
    "from fitsolver.screening.tables import read_chunks",
    "[len(c.columns) for c in read_chunks(Path(sys.argv[1]), 'mm')]",
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
