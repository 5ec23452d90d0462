"""Margins, sheet and drawings of eight cylinders against one pick. Run with `pytest -m bench -s`.

Whole commands, as one waits for them; processor seconds of both sides, for the machine may be busy.
"""

from __future__ import annotations

import resource
import shutil
from pathlib import Path
from statistics import median

import pytest

from tests.bench.test_ratios import JOB, ROOT, process

pytestmark = pytest.mark.bench
#: What each command may take, as a multiple of one pick.
MOST = {"firm": 10, "sheet": 3, "bore --plot": 3, "pick --plot": 3}


def processor(*arguments: str) -> float:
    """Processor seconds of a command, its reading and its imports among them."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    process("-m", "fitsolver", *arguments)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


#: The launch's job with every figure in it.
WHOLE = ROOT / "tests" / "format1" / "launch" / "job.toml"


def eight(folder: Path) -> Path:
    """The harbour launch with its four bores twice, without a limit on money or on volume."""
    shutil.copytree(JOB.parent, folder)
    job, readings = folder / JOB.name, folder / "readings.csv"
    rows = readings.read_text(encoding="utf-8").splitlines()
    again = [f"{int(row[0]) + 4}{row[1:]}" for row in rows[1:]]
    readings.write_text("\n".join([*rows, *again, ""]), encoding="utf-8")
    kept = [
        line
        for line in WHOLE.read_text(encoding="utf-8").splitlines()
        if not line.startswith(("budget", "displacement_limit"))
    ]
    here = "\n".join(kept).replace('"../../../catalogs_demo/launch"', '"."')
    text = here.replace('"1", "2", "3", "4"', ", ".join(f'"{n}"' for n in range(1, 9)))
    head, *cylinders = text.split("[[cylinder]]")
    for number, block in enumerate(list(cylinders), start=5):
        cylinders.append(block.replace(f'name = "{number - 4}"', f'name = "{number}"'))
    job.write_text("[[cylinder]]".join([head, *(f"{c.rstrip()}\n\n" for c in cylinders)]), "utf-8")
    return job


@pytest.mark.parametrize("command", MOST)
def test_views_of_eight_cylinders(command: str, tmp_path: Path) -> None:
    job = str(eight(tmp_path / "launch"))
    verb, *options = command.split()
    ratios = []
    for count in range(3):
        target = tmp_path / f"out{count}.svg"
        more = (*options, str(target)) if options else ("--output", str(target))
        view = processor(verb, job, *more)
        pick = processor("pick", job)
        ratios.append(view / pick)
    print(
        f"\n{command} / pick: {', '.join(f'{ratio:.2f}' for ratio in ratios)} (last {view:.1f} s)"
    )
    assert median(ratios) <= MOST[command]
