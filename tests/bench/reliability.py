"""Every attack of docs/reliability.md in turn, and the tables: `python -m tests.bench.reliability`.

It takes hours; with a number as argument (`0.01`) so large a share of the inputs that are drawn.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Final
from xml.etree import ElementTree

ROOT: Final = Path(__file__).parents[2]
#: Commands that print a table of their own, with the inputs they draw.
DRAWN: Final = {"fuzz": 10_000, "stopped": 100, "screened": 50_000}
#: Tests that are attacks, by what they attack with.
TESTED: Final = {
    "damaged books and exports": "tests/unit/book/test_damaged.py",
    "writers of a book killed": "tests/unit/book/test_writers.py",
    "a full disk, a connection that is cut": "tests/unit/book/test_trouble.py",
    "workbooks, tables and settings that are huge when read":
        "tests/unit/reading/test_hostile_files.py",
    "600 half-sent requests": "tests/page/test_slow.py",
    "requests drawn from the page's description": "tests/page/test_described.py",
    "signals, a full disk, control codes": "tests/unit/cli/test_ended.py",
    "an allotment stopped after every so many looks": "tests/unit/allotment/test_stopped.py",
}  # fmt: skip


def tested(path: str) -> tuple[int, int]:
    """Return how many tests of a file ran, and how many failed."""
    with tempfile.TemporaryDirectory() as work:
        told = Path(work) / "told.xml"
        command = [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", path]
        subprocess.run(
            [*command, f"--junitxml={told}"], cwd=ROOT, check=False, stdout=subprocess.DEVNULL,
            env={**os.environ, "FITSOLVER_TEST_MORE": "5"},
        )  # fmt: skip
        suite = ElementTree.parse(told).getroot()[0]
        number = {key: int(suite.get(key, 0)) for key in ("tests", "skipped", "failures", "errors")}
        return number["tests"] - number["skipped"], number["failures"] + number["errors"]


def main() -> None:
    """Run all, and print the tables."""
    share = float(sys.argv[1]) if len(sys.argv) > 1 else 1.0
    for name, count in DRAWN.items():
        drawn = str(max(1, round(count * share)))
        subprocess.run([sys.executable, "-m", f"tests.bench.{name}", drawn], cwd=ROOT, check=False)
        print(flush=True)
    print("| attack, as tests | ran | failed |\n|---|---|---|")
    for name, path in TESTED.items():
        ran, failed = tested(path)
        print(f"| {name} | {ran} | {failed} |", flush=True)


if __name__ == "__main__":
    main()
