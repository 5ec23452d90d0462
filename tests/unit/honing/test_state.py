"""The pump's first cylinder at the hone. Its gauge is zeroed on 62.176; permitted are local sizes
from 62.49425 to 62.50835, as docs/hone.md shows."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.records.hone import HoneAnswer, HoneState
from fitsolver.usecases import files as service
from tests.unit.honing.jobs import flat, line, pump, stated_largest

LOW, HIGH = 6_249_425, 6_250_835


def answer(folder: Path, *lines: str, risk: float = 0.05) -> HoneAnswer:
    job = pump(folder)
    job.with_suffix(".hone").write_text("".join(f"{text}\n" for text in lines), encoding="utf-8")
    return service.hone(job, risk=risk)


def state(folder: Path, *lines: str, risk: float = 0.05) -> HoneState:
    (found,) = answer(folder, *lines, risk=risk).cylinders
    return found


def test_without_a_log_every_machined_cylinder_waits_for_a_rate(tmp_path: Path) -> None:
    found = service.hone(pump(tmp_path))
    assert [item.cylinder for item in found.cylinders] == ["1", "2"]
    for item in found.cylinders:
        assert (item.advice, item.rate, len(item.checks)) == ("find the rate", None, 1)
    assert not (tmp_path / "job.hone").exists()


def test_stock_room_and_rate(tmp_path: Path) -> None:
    """30 strokes open it from a mean of 62.261 to 62.291: 1 um a stroke and a little."""
    now = state(tmp_path, line(30, flat(0.115)))
    check = now.checks[-1]
    assert (now.local_low, now.local_high) == (LOW, HIGH)
    assert (check.smallest, check.largest) == (6_229_100, 6_229_100)
    assert check.stock_tightest == check.stock_worst == LOW - 6_229_100
    assert check.room == HIGH - 6_229_100
    before = (62.176 + (0.092 + 0.088 + 0.088 + 0.085 + 0.084 + 0.081) / 10) * 1e5
    before += (0.080 + 0.078 + 0.077 + 0.076) / 10 * 1e5
    assert now.rate is not None
    assert now.rate.rate == pytest.approx((6_229_100 - before) / 30)
    assert now.rate.uncertainty > 0
    assert now.trend == "better"
    assert now.advice == "go on" and now.next_count > 0
    assert stated_largest(now) is not None and stated_largest(now) <= HIGH


def test_a_pass_without_readings_counts_towards_the_next_check(tmp_path: Path) -> None:
    one = state(tmp_path, "1, 10, 180", "1, 20, 180", line(0, flat(0.115)))
    other = state(tmp_path, line(30, flat(0.115)))
    assert one.rate == other.rate
    since = state(tmp_path, line(30, flat(0.115)), "1, 4, 180")
    assert since.since_check == 4


def test_new_stones_begin_a_new_line(tmp_path: Path) -> None:
    lines = (line(30, flat(0.115)), line(30, flat(0.145)), line(30, flat(0.155), stones="400"))
    rate = state(tmp_path, *lines).rate
    assert rate is not None
    assert (rate.stones, rate.checks, round(rate.rate, 6)) == ("400", 2, round(1_000 / 30, 6))
    mixed = state(tmp_path, *lines, "1, 5, 600", line(5, flat(0.160), stones="400"))
    assert (mixed.rate, mixed.advice) == (None, "find the rate")


def test_warm_bore(tmp_path: Path) -> None:
    """Iron grows by 10.5e-6 (as bore and hone pages say): ten kelvin are 6.6 um of 62.3 mm."""
    warm, cool = (state(tmp_path, line(30, flat(0.124), warmth=warmth)) for warmth in ("30", "20"))
    grown = warm.checks[-1].correction
    assert cool.checks[-1].correction == 0
    assert grown == warm.checks[-1].largest - cool.checks[-1].largest
    assert -750 < grown < -600
    assert warm.dial_low is not None and cool.dial_low is not None
    assert warm.dial_low - cool.dial_low == pytest.approx(-grown, abs=5)
    assert any("30 °C" in caution for caution in warm.cautions)
    assert warm.dial_cool is not None and cool.dial_cool is None
    assert (warm.dial_cool.low, warm.dial_cool.high) == (cool.dial_low, cool.dial_high)


def test_dial_on_the_warm_bore_by_hand(tmp_path: Path) -> None:
    """62.49425 at 30 °C is 62.49425 (1 + 11.4e-6 x 10) = 62.50137; zeroed on 62.176: 0.32537."""
    now = state(tmp_path, line(30, flat(0.124), warmth="30"))
    assert (now.local_low, now.dial_low) == (6_249_425, 32_537)
    assert now.dial_cool is not None and now.dial_cool.low == 6_249_425 - 6_217_600


@pytest.mark.parametrize(
    ("dial", "advice"), [(0.318, "go on"), (0.319, "stop"), (0.332, "stop"), (0.333, "too large")]
)
def test_stop_at_the_lowest_and_not_before(tmp_path: Path, dial: float, advice: str) -> None:
    lines = [line(n, flat(d)) for n, d in ((50, 0.150), (100, 0.250), (60, 0.310))]
    now = state(tmp_path, *lines, line(8, flat(dial)), risk=0.2)
    assert now.advice == advice
    assert (now.next_count == 0) == (advice != "go on")


def test_a_part_of_the_bore_is_not_enough_to_stop(tmp_path: Path) -> None:
    now = state(tmp_path, line(200, flat(0.310)), "1, 8, 180, 20, 8 thrust 0.322, 74 pin 0.322")
    assert now.advice == "read again" and "whole bore" in now.sentence
    assert any("8 places" in caution for caution in now.cautions)


def test_too_large_is_picked_again_at_once(tmp_path: Path) -> None:
    """Past the window of the piston that was picked: its sister with the larger skirt fits the
    bore as it is. Far past it, no set of one size is left."""
    found = answer(tmp_path, line(200, flat(0.345)))
    assert found.cylinders[0].advice == "too large"
    again = found.repick
    assert again is not None
    assert again.forms[0].largest == 6_217_600 + 34_500
    assert again.plan is not None
    first = again.plan.cylinders[0]
    assert (first.piston.number, first.machined) == ("PP-050B", False)
    assert all(fit.holds for fit in first.fits)
    far = answer(tmp_path, line(200, flat(0.5))).repick
    assert far is not None and far.no_fit is not None
    assert "same_size" in {reason.rule for reason in far.no_fit.reasons}
    assert answer(tmp_path, line(200, flat(0.325))).repick is None


def test_too_large_for_the_pinned_piston_shows_what_others_would_do(tmp_path: Path) -> None:
    """With the piston pinned as it was measured nothing is left; its sister serves the bore."""
    job = pump(tmp_path)
    text = job.read_text(encoding="utf-8")
    pinned = 'name = "1"\npiston = "PP-050A"\npiston_size = 62.433\n'
    job.write_text(text.replace('name = "1"\n', pinned, 1), encoding="utf-8")
    job.with_suffix(".hone").write_text(line(200, flat(0.345)) + "\n", encoding="utf-8")
    found = service.hone(job)
    assert found.repick is not None and found.repick.plan is None
    assert found.other_parts is not None and found.other_parts.plan is not None
    assert found.other_parts.plan.cylinders[0].piston.number == "PP-050B"
    assert answer(tmp_path, line(200, flat(0.345))).other_parts is None  # nothing was pinned


def test_a_scratch_is_honed_away(tmp_path: Path) -> None:
    """Half of the metal off the diameter is off the scratch: 0.0625 less (0.3 - 0.134) / 2."""
    from fitsolver.honing.checks import read_checks
    from fitsolver.honing.log import read_log
    from fitsolver.honing.start import Start
    from fitsolver.honing.state import reread

    job = pump(tmp_path)
    log = job.with_suffix(".hone")
    log.write_text(line(150, flat(0.300), cylinder="2") + "\n", encoding="utf-8")
    loaded, _ = service.load(job)
    second = loaded.cylinders[1]
    checks = read_checks(loaded, second, read_log(log, loaded).entries, "", Start())
    assert reread(second, checks, Start()).scratch == 0
    assert reread(second, checks[:1], Start()).scratch == 6_250
    log.write_text(line(50, flat(0.174), cylinder="2") + "\n", encoding="utf-8")
    checks = read_checks(loaded, second, read_log(log, loaded).entries, "", Start())
    assert reread(second, checks, Start()).scratch == 6_250 - (17_400 - 13_400) // 2


def test_a_bore_does_not_shrink(tmp_path: Path) -> None:
    """Four standard deviations of a difference of two readings of 2 um each are 11.3 um."""

    def one(dial: float) -> Callable[[int, str], float]:
        return lambda depth, axis: dial if (depth, axis) == (28, "pin") else 0.115

    lines = (line(30, flat(0.115)), line(10, one(0.104)))
    assert state(tmp_path, *lines).checks[-1].smallest == 6_228_000
    with pytest.raises(InputError, match=r"pass 2/1/28/pin: \+0\.103 mm .* less than"):
        state(tmp_path, line(30, flat(0.115)), line(10, one(0.103)))


def test_strokes_and_seconds_are_not_added(tmp_path: Path) -> None:
    assert state(tmp_path, line("30 s", flat(0.115))).counted_in == "seconds"
    with pytest.raises(InputError, match=r"row 2, field 'strokes'.*cannot be added"):
        state(tmp_path, line(30, flat(0.115)), line("30 s", flat(0.125)))


@pytest.mark.parametrize("risk", [0.0, -0.1, 0.6, float("nan")])
def test_no_such_risk(tmp_path: Path, risk: float) -> None:
    with pytest.raises(InputError, match="risk"):
        service.hone(pump(tmp_path), risk=risk)


def test_nothing_to_hone_to(tmp_path: Path) -> None:
    job = pump(tmp_path)
    with pytest.raises(InputError, match="nothing fits"):
        service.hone(job.with_name("worn_out.toml"))
