"""What is no honing: a bar's cut, a new sleeve, a job without anything to hone."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.records.hone import HoneState
from fitsolver.usecases import files as service
from tests.unit.cli.run import DEMOS, ROOT
from tests.unit.honing.jobs import flat, line, pump

ZERO = 62.25  # of the second cylinder's gauge


def sleeved(folder: Path) -> Path:
    """Return the pump with a new liner of 61.90 for its second cylinder, and time for it."""
    job = pump(folder)
    text = job.read_text(encoding="utf-8")
    for old, new in (
        ('name = "2"\n', 'name = "2"\nroute = "new liner"\n'),
        ('[[same_size]]\ncylinders = ["1", "2"]\n', ""),
        ("needed_in_days = 9", "needed_in_days = 90"),
        ('"220.00"', '"900.00"'),
    ):
        assert old in text
        text = text.replace(old, new, 1)
    job.write_text(text, encoding="utf-8")
    return job


def bored(folder: Path) -> Path:
    job = pump(folder)
    text = job.read_text(encoding="utf-8")
    text = text.replace('name = "1"\n', 'name = "1"\nroute = "bore and hone"\n', 1)
    job.write_text(text, encoding="utf-8")
    return job


def read(job: Path, *lines: str, cylinder: str = "1") -> HoneState:
    job.with_suffix(".hone").write_text("".join(f"{text}\n" for text in lines), encoding="utf-8")
    (state,) = service.hone(job, cylinder=cylinder).cylinders
    return state


def test_a_bar_comes_first(tmp_path: Path) -> None:
    state = read(bored(tmp_path))
    assert "'bore' comes before the hone" in state.sentence
    assert "no honing" not in state.sentence and "stage" not in state.sentence
    assert (state.next_count, state.first) == (0, None)


@pytest.mark.parametrize("stones", ["bore", "Bored", "180"])
def test_a_bars_cut_is_no_stroke(tmp_path: Path, stones: str) -> None:
    """0.15 mm by the bar, then 10 strokes of 1 um: the rate is 1 um, told as bored or not."""
    bar = line(25 if stones != "180" else 0, flat(0.240), stones=stones)
    state = read(bored(tmp_path), bar, line(10, flat(0.250)), line(20, flat(0.270)))
    assert state.checks[1].cut and not state.checks[2].cut
    assert [check.count for check in state.checks] == [0, 0, 10, 30]
    assert state.rate is not None
    assert state.rate.rate == pytest.approx(100)
    assert state.rate.checks == 3


def test_a_bars_cut_is_told_even_where_the_plan_has_none(tmp_path: Path) -> None:
    job = pump(tmp_path)
    with pytest.raises(InputError, match=r"pass 1/1: .*enter 'bore' as its stones"):
        read(job, line(10, flat(0.240)))
    state = read(job, line(0, flat(0.240), stones="bore"), line(10, flat(0.250)))
    assert state.rate is not None and state.rate.rate == pytest.approx(100)


def test_a_bar_leaves_metal_and_one_size(tmp_path: Path) -> None:
    job = bored(tmp_path)
    with pytest.raises(InputError, match=r"pass 1/1/18/pin: .*one size at every depth"):
        read(job, line(0, lambda d, a: 0.295 if (d, a) == (18, "pin") else 0.240, stones="bore"))
    with pytest.raises(InputError, match=r"pass 1/1: .*leaves metal for the hone"):
        read(job, line(0, flat(0.440), stones="bore"))


def test_a_diameter_read_at_20_degrees_is_told_once(tmp_path: Path) -> None:
    log = tmp_path / "log.hone"
    log.write_text("1, 10, 180, , 0.4 thrust 3.4052, 0.4 pin 3.5040\n", encoding="utf-8")
    job = ROOT / "tests" / "format1" / "launch" / "job.toml"
    with pytest.raises(InputError, match=r"pass 1/1/0.4/thrust: 3.4052 in, 100.00 thou less than"):
        service.hone(job, DEMOS / "launch", log=log)


def test_a_sleeved_bore_starts_from_the_sleeve(tmp_path: Path) -> None:
    state = read(sleeved(tmp_path), cylinder="2")
    (check,) = state.checks
    assert check.smallest == check.largest == 6_190_000
    assert state.local_low > 6_190_000
    assert "'bore' comes before the hone" in state.sentence


def test_beyond_a_sleeves_size_orders_no_other_sleeve(tmp_path: Path) -> None:
    """0.01 over the highest: the bore as it is now decides, without its old score."""
    job = sleeved(tmp_path)
    high = read(job, cylinder="2").local_high / 1e5 - ZERO
    lines = (
        line(0, flat(high - 0.08), cylinder="2", stones="bore"),
        line(50, flat(high - 0.02), cylinder="2"),
        line(30, flat(high + 0.01), cylinder="2"),
    )
    assert read(job, *lines, cylinder="2").advice == "too large"
    found = service.hone(job)
    assert found.repick is not None
    plan = (found.other_parts or found.repick).plan
    assert plan is not None
    (second,) = (item for item in plan.cylinders if item.cylinder == "2")
    assert not second.restored and second.route != "new liner"
    assert not any("already" in caution for caution in found.cautions)


def test_stop_figures_are_those_of_the_plan(tmp_path: Path) -> None:
    job = pump(tmp_path)
    plan = service.pick(job).plan
    assert plan is not None
    for item, state in zip(plan.cylinders, service.hone(job).cylinders, strict=True):
        assert (state.stop.low, state.stop.high) == (item.finish_small, item.finish_large)
        assert (state.dial_stop, state.lowest, state.highest) == (
            item.dial_stop,
            item.lowest,
            item.highest,
        )
        last = (
            service.machining_plan(job).cylinders[plan.cylinders.index(item)].targets[-1].cuts[-1]
        )
        assert (last.diameter, last.dial) == (state.stop.high, state.dial_stop.high)  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("name", "told"), [("finished", "already finished"), ("job", "leaves every cylinder as it is")]
)
def test_nothing_to_hone_is_said(tmp_path: Path, name: str, told: str) -> None:
    log = tmp_path / "job.hone"
    with pytest.raises(InputError, match=told):
        service.hone(DEMOS / "brushsaw" / f"{name}.toml", log=log)
    with pytest.raises(InputError, match=told):
        service.at_the_hone(DEMOS / "brushsaw" / f"{name}.toml", log=log).enter("1, 10, 180")
    assert not log.exists()
