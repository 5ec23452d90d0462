"""The counter on two thousand drawn questions, and its whole process beside bare imports.

Processor seconds of both sides, one right after the other: what else the machine does counts less.
"""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
from pathlib import Path
from statistics import median

import pytest

from tests.oracle.counter_compared import compare
from tests.oracle.counter_draws import drawn

pytestmark = pytest.mark.bench
ROOT = Path(__file__).parents[2]
#: What the counter needs: the records' library, that of the command line, and the solver.
BARE = "import pydantic, typer, rich.table; from ortools.sat.python import cp_model"
QUESTIONS = int(os.environ.get("FITSOLVER_TEST_COUNTER", "2000"))
#: Drawn apart from those of tests/oracle.
FIRST = 1_000


def processor_seconds(*arguments: str, folder: Path = ROOT) -> float:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(
        [sys.executable, *arguments], cwd=folder, stdout=subprocess.DEVNULL, check=False
    )
    assert done.returncode == 0
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def test_counter_as_a_whole_process(tmp_path: Path) -> None:
    """At most 1.5 times an interpreter that imports what it needs."""
    shop = tmp_path / "counter"  # the shop file tells what work there is
    shutil.copytree(ROOT / "catalogs_demo" / "counter", shop)
    intake = ("list.xlsx", "--into", "shelf", "--clearance", "0.040 0.060", "--yes")
    processor_seconds("-m", "fitsolver", "intake", *intake, folder=shop)
    for asked, folder in {"heron54 54.12": shop, "p62 62.31 -c catalogs_demo/pump": ROOT}.items():
        words = ("-m", "fitsolver", "counter", *asked.split())
        ratio = median(
            processor_seconds(*words, folder=folder) / processor_seconds("-c", BARE)
            for _ in range(9)
        )
        print(f"\ncounter {asked} / bare imports: {ratio:.2f}")
        assert ratio <= 1.5


def test_two_thousand_drawn_questions(tmp_path: Path) -> None:
    compared = 0
    for seed in range(FIRST, FIRST + QUESTIONS):
        folder = tmp_path / str(seed)
        folder.mkdir()
        compared += compare(drawn(seed), folder)
    print(f"\n{QUESTIONS} questions, {compared} verdicts equal to those of pick and of screening")
    assert compared > 4 * QUESTIONS
