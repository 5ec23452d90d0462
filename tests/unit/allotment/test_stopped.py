"""A long allotment ended by Ctrl-C: the best so far, with what was proven of it."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.signals import HEARS

ROOT = Path(__file__).parents[3]
RUN = """
from fitsolver.allotment.allot import allot
from tests.bench.allot_instances import shop
answer = allot(shop(6, 1, 0.8), progress=lambda what, gone: print(what, flush=True))
served = sum(item.status == "served" for item in answer.jobs)
print("ended:", answer.status, served, all(v.bound <= v.value for v in answer.objective))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGINT to another process")
def test_ctrl_c_gives_the_best_so_far() -> None:
    with subprocess.Popen(
        [sys.executable, "-c", RUN], cwd=ROOT, stdout=subprocess.PIPE, text=True, **HEARS
    ) as process:
        assert process.stdout is not None
        for line in process.stdout:
            if line == "combinations\n":
                process.send_signal(signal.SIGINT)
                break
        rest = process.communicate(timeout=100)[0]
    assert process.returncode == 0
    ended, served = rest.splitlines()[-1].rsplit(" ", 2)[0], int(rest.split()[-2])
    assert ended == "ended: best found"
    assert served > 0
    assert rest.endswith("True\n")
