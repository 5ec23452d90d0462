"""Windows on port timing and compression ratio: read, saved, refused where they mean nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_text import job_text
from fitsolver.records.job import Job
from fitsolver.records.windows import Window

from .files import CYLINDER, HEAD, job_file, refusal

ENGINE = '[engine]\nstroke = 33\nrod_length = 58\nchamber_volume = "6.4 cm3"\n'
SQUISH = "[squish]\nmeasured = 0.72\nold_gaskets = 0.4\nold_compression_height = 27\n"
PORTS = "".join(
    f'[[port]]\nname = "{name}"\ntop = {top}\nbottom = 33\n'
    for name, top in (("exhaust", 19), ("transfer", 24))
)
WHOLE = HEAD + ENGINE + SQUISH + PORTS


def window(lines: str, whole: str = WHOLE, own: str = "") -> str:
    return f"{whole}{CYLINDER}{own}\n[[window]]\n{lines}\n"


def read(folder: Path, text: str) -> Job:
    return read_job(job_file(folder, text))


def refused(folder: Path, text: str) -> InputError:
    return refusal(read_job, job_file(folder, text))


def test_degrees_and_ratios_are_exact_thousandths(tmp_path: Path) -> None:
    timing = 'fit = "port_timing"\nport = "exhaust"\nlow = 87.875\nhigh = "88.5°"\nsource = "3"'
    ratio = '\n[[window]]\nfit = "compression"\nlow = 8.9\nhigh = "9.205"'
    job = read(tmp_path, window(timing + ratio))
    assert job.windows == (
        Window(fit="port_timing", port="exhaust", low=87_875, high=88_500, source="3"),
        Window(fit="compression", low=8_900, high=9_205),
    )


def test_they_are_saved_and_read_back(tmp_path: Path) -> None:
    own = '\n[[cylinder.window]]\nfit = "port_timing"\nport = "transfer"\nlow = 0\n'
    job = read(tmp_path, window('fit = "port_timing"\nhigh = 179.999', own=own))
    [cylinder] = job.cylinders
    again = read(tmp_path, job_text(job))
    assert again.model_copy(update={"fingerprint": job.fingerprint}) == job
    assert [w.port for w in again.windows_for(cylinder)] == ["transfer", None]


def test_an_own_window_for_every_port_replaces_all_of_the_job(tmp_path: Path) -> None:
    own = '\n[[cylinder.window]]\nfit = "port_timing"\nhigh = 100\n'
    text = window('fit = "port_timing"\nport = "exhaust"\nlow = 87', own=own)
    job = read(tmp_path, text)
    assert [w.high for w in job.windows_for(job.cylinders[0])] == [100_000]


REFUSED = {
    "finer than a thousandth": ('fit = "port_timing"\nlow = 88.0001', "low", "finer"),
    "more than half a turn": ('fit = "port_timing"\nhigh = 181', "high", "0 to 180"),
    "before top dead centre": ('fit = "port_timing"\nhigh = -1', "high", "0 to 180"),
    "no ratio": ('fit = "compression"\nlow = 1', "low", "above 1"),
    "a ratio with a unit": ('fit = "compression"\nlow = "9 mm"', "low", "plain number"),
    "a ratio in hundredths": ('fit = "compression"\nlow = 920', "low", "up to 100"),
    "no edge": ('fit = "port_timing"', "low", "lowest or a highest"),
    "crossed": ('fit = "compression"\nlow = 9\nhigh = 8', "low", "above its highest"),
    "a guard": ('fit = "compression"\nlow = 9\nguard = 0.1', "guard", "no such key"),
    "per bore": ('fit = "port_timing"\nlow = 9\nper_bore = true', "per_bore", "no such key"),
    "a port of another fit": ('fit = "squish"\nport = "exhaust"\nlow = 1', "port", "has no port"),
    "a port of a ratio": ('fit = "compression"\nport = "exhaust"\nlow = 9', "port", "no port"),
    "a port nobody has": ('fit = "port_timing"\nport = "boost"\nlow = 9', "window", "not have"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_means_nothing_is_refused(tmp_path: Path, case: str) -> None:
    lines, field, word = REFUSED[case]
    error = refused(tmp_path, window(lines))
    assert error.field == field
    assert word in str(error)


def test_two_for_one_port_are_refused(tmp_path: Path) -> None:
    one = 'fit = "port_timing"\nport = "exhaust"\nlow = 88'
    error = refused(tmp_path, window(f"{one}\n[[window]]\n{one}"))
    assert "two windows for this fit and port" in str(error)


@pytest.mark.parametrize(
    ("fit", "without", "field"),
    [
        ("port_timing", "rod_length = 58\n", "rod_length"),
        ("port_timing", SQUISH, "squish"),
        ("port_timing", PORTS, "port"),
        ("compression", 'chamber_volume = "6.4 cm3"\n', "chamber_volume"),
        ("compression", SQUISH, "squish"),
    ],
)
def test_a_job_that_lacks_what_they_need_is_refused(
    tmp_path: Path, fit: str, without: str, field: str
) -> None:
    text = window(f'fit = "{fit}"\nhigh = 88', WHOLE.replace(without, ""))
    error = refused(tmp_path, text)
    assert error.field == field
    assert f"a window for {fit} needs this" in str(error)


def test_a_job_that_lacks_it_cannot_be_saved(tmp_path: Path) -> None:
    job = read(tmp_path, window('fit = "compression"\nhigh = 9'))
    bare = job.model_copy(update={"engine": job.engine.model_copy(update={"chamber_volume": None})})
    with pytest.raises(ValueError, match="a window for compression needs this"):
        job_text(bare)


@pytest.mark.parametrize(
    "wrong",
    [
        {"fit": "port_timing", "low": 1, "guard": 1},
        {"fit": "port_timing", "low": 180_001},
        {"fit": "compression", "low": 1_000},
        {"fit": "compression", "low": 9_000, "per_bore": True},
        {"fit": "compression", "low": 9_000, "service_high": 9_000},
        {"fit": "squish", "low": 1, "port": "exhaust"},
    ],
)
def test_a_window_that_means_nothing_is_no_record(wrong: dict[str, object]) -> None:
    with pytest.raises(ValueError, match=r"window|guard|port|ratio"):
        Window(**wrong)  # type: ignore[arg-type]
