"""A place that was read several times: one reading, the mean, with all of them beside it."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.job_file import read_job
from fitsolver.reading.repeats import REPEATS_WITHIN, mean
from fitsolver.records.readings import Reading
from fitsolver.usecases.loading import load_job

from .files import HEAD, job_file, refusal

START = f'{HEAD}[[cylinder]]\nname = "1"\nmaterial = "iron"\n'


def read(folder: Path, lines: str) -> tuple[Reading, ...]:
    return read_job(job_file(folder, START + lines)).cylinders[0].readings


def test_repeats_become_their_mean(tmp_path: Path) -> None:
    lines = 'readings = [[10, "pin", 62.31], [10, "thrust", 62.3], [10, 270, 62.3101]]'
    pin, thrust = read(tmp_path, lines)
    assert (pin.angle, pin.size, pin.dial) == (90, 6_231_005, None)
    assert pin.repeats == (6_231_000, 6_231_010)
    assert (thrust.size, thrust.repeats) == (6_230_000, ())


@pytest.mark.parametrize("zero", ["62.25", "62.25001"])
def test_dial_repeats(tmp_path: Path, zero: str) -> None:
    """Halves go up, whatever the zero: the mean dial on its zero is the mean size."""
    lines = f'zero = {zero}\nreadings_as = "dial"\nreadings = [[10, 0, -0.00002], [10, 0, 0.00001]]'
    (one,) = read(tmp_path, lines)
    assert one.dial == 0
    assert one.size == mean(one.repeats) == round(float(zero) * 100_000)


def test_a_diameter_and_a_dial_are_repeats_too(tmp_path: Path) -> None:
    rows = '{depth = 1, axis = "pin", size = 62.3}, {depth = 1, axis = "pin", dial = 0.04}'
    (one,) = read(tmp_path, f"zero = 62.25\nreadings = [{rows}]")
    assert (one.size, one.dial, one.repeats) == (6_229_500, None, (6_230_000, 6_229_000))


def test_repeats_in_a_sheet(tmp_path: Path) -> None:
    sheet = "cylinder,depth,axis,diameter\n1,10,thrust,62.31\n1,10,0,62.32\n1,10,180,62.34\n"
    (tmp_path / "r.csv").write_text(sheet, encoding="utf-8")
    (one,) = read(tmp_path, 'readings_file = "r.csv"')
    assert one.size == 6_232_333
    assert len(one.repeats) == 3


@pytest.mark.parametrize(("last", "good"), [(62.13, True), (62.13001, False), (62.06999, False)])
def test_how_close_repeats_lie(tmp_path: Path, last: float, good: bool) -> None:
    """Every two of them, not each and the one before."""
    assert REPEATS_WITHIN == 3_000
    lines = f'readings = [[10, "pin", 62.10], [10, "pin", 62.115], [10, "pin", {last}]]'
    if good:
        assert len(read(tmp_path, lines)[0].repeats) == 3
        return
    error = refusal(read_job, job_file(tmp_path, START + lines))
    assert (error.field, error.row) == ("size", "cylinder '1', reading 3")
    assert "too far apart" in error.message
    assert str(error.found).startswith(f"{last}, and ")


def test_repeats_count_once_among_their_neighbours(tmp_path: Path) -> None:
    """A place read often does not outvote the others when the odd one is looked for."""
    often = ", ".join(['[1, "pin", 6.21]'] * 4)
    others = ", ".join(f'[{depth}, "pin", 62.1]' for depth in (2, 3, 4))
    path = job_file(tmp_path, f"{START}readings = [{often}, {others}]")
    with pytest.raises(InputError, match=r"found 6\.21, .*was 62\.1 meant"):
        load_job(path)
