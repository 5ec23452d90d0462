"""Read again, read wrong, dressed: by a user's steps, with the pump's first cylinder.

Its gauge is zeroed on 62.176 and taken to scatter by 2 um; permitted on the dial are 0.31825 to
0.33235 (local sizes 62.49425 to 62.50835).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from pydantic import ValidationError

from fitsolver.base.errors import InputError
from fitsolver.records.hone import FirstStrokes, HoneState, NoStrokes, StatedRisk
from fitsolver.usecases import files as service
from tests.unit.honing.jobs import flat, line, pump, stated_largest

#: 1 um a stroke, up to 0.018 below the lowest size.
NEAR = (line(40, flat(0.120)), line(60, flat(0.180)), line(60, flat(0.240)), line(60, flat(0.300)))


def but(dial: float, **places: float) -> Callable[[int, str], float]:
    """Return a bore that reads the same all over but at `thrust_18` and the like."""
    return lambda depth, axis: places.get(f"{axis}_{depth}", dial)


def write(folder: Path, *lines: str) -> Path:
    job = pump(folder)
    job.with_suffix(".hone").write_text("".join(f"{text}\n" for text in lines), encoding="utf-8")
    return job


def state(folder: Path, *lines: str, accept: tuple[str, ...] = ()) -> HoneState:
    (found,) = service.hone(write(folder, *lines), accept=accept).cylinders
    return found


def test_five_readings_of_one_bore_forget_nothing(tmp_path: Path) -> None:
    """They are one state: the rate is as it was, and their mean is firmer than one of them."""
    once = state(tmp_path, *NEAR)
    dials = (0.302, 0.298, 0.301, 0.299, 0.300)
    often = state(tmp_path, *NEAR, *(line(0, flat(dial)) for dial in dials))
    assert once.rate is not None and often.rate is not None
    assert often.rate.rate == pytest.approx(once.rate.rate, rel=1e-4)
    assert (often.rate.checks, often.now.times, often.now.largest) == (5, 6, once.now.largest)
    assert len(often.checks) == len(once.checks) + 5
    for found in (once, often):
        assert found.advice == "go on" and found.next_count > 0
        assert isinstance(found.based_on, StatedRisk)
    assert often.next_count >= once.next_count
    assert stated_largest(often) is not None and stated_largest(once) is not None
    assert stated_largest(often) < stated_largest(once)


def test_a_part_that_is_read_again_and_agrees_is_averaged(tmp_path: Path) -> None:
    found = state(tmp_path, *NEAR, "1, 0, 180, 20, 18 thrust 0.304")
    assert found.now.largest == 6_217_600 + 30_200
    assert (found.now.times, found.now.smallest) == (1, 6_217_600 + 30_000)


def test_no_metal_is_seen_to_go(tmp_path: Path) -> None:
    """A count and a condition stand there too."""
    now = state(tmp_path, line(5, flat(0.084)), line(5, flat(0.084)), line(5, flat(0.083)))
    assert (now.advice, now.rate) == ("find the rate", None)
    assert isinstance(now.based_on, FirstStrokes) and now.next_count == now.based_on.count > 0
    assert f"sees no metal going yet: {now.next_count} strokes, then check" in now.sentence
    assert "No risk can be computed; the highest is not passed as long as" in now.sentence


def test_one_high_reading_is_read_again_and_orders_nothing(tmp_path: Path) -> None:
    """Inside every bound: 0.334 at one place, 0.330 around it."""
    high = line(30, but(0.330, pin_28=0.334))
    found = state(tmp_path, *NEAR, high)
    assert (found.advice, found.next_count) == ("read again", 0)
    assert isinstance(found.based_on, NoStrokes)
    assert found.based_on.why == "read one place again"
    assert "read 28 pin again" in found.sentence
    assert service.hone(write(tmp_path, *NEAR, high)).repick is None
    assert state(tmp_path, *NEAR, high, "1, 0, 180, 20, 28 pin 0.330").advice == "stop"
    assert state(tmp_path, *NEAR, high, "1, 0, 180, 20, 28 pin 0.335").advice == "too large"


def test_a_bad_reading_that_was_accepted_is_read_again(tmp_path: Path) -> None:
    """Accepted it condemns the bore; the lower reading after it is taken without a doubt."""
    bad, name = line(10, but(0.310, thrust_18=0.360)), "pass 5/1/18/thrust"
    condemned = state(tmp_path, *NEAR, bad, accept=(name,))
    assert condemned.advice == "too large"
    job = tmp_path / "job.toml"
    service.at_the_hone(job).enter("1, 0, 180, 20, 18 thrust 0.311")
    (found,) = service.hone(job).cylinders
    assert found.advice == "go on"
    assert found.now.largest == 6_217_600 + 31_100


def test_a_bad_reading_inside_the_bounds_is_contradicted_after_strokes(tmp_path: Path) -> None:
    """0.3105 is 10.5 um too high and passes; ten strokes on all places read 0.310, the bad one too,
    and later 0.295 where 0.312 was read would be metal come back but for its neighbours."""
    bad = line(60, but(0.300, thrust_18=0.311))
    fine = line(1, but(0.301, thrust_18=0.2995))
    lines = (*NEAR[:3], bad, fine)
    found = state(tmp_path, *lines)
    assert [check.number for check in found.checks] == [0, 1, 2, 3, 4, 5]
    assert found.now.largest == 6_217_600 + 30_100
    assert any("check 4 read too much at 18 thrust" in caution for caution in found.cautions)
    assert found.advice == "go on"


def test_a_low_slip_is_still_doubted(tmp_path: Path) -> None:
    """Where the last reading did not stand out it is the new one that is wrong."""
    with pytest.raises(InputError, match="pass 5/1/18/thrust"):
        state(tmp_path, *NEAR, line(10, but(0.310, thrust_18=0.280)))


def test_a_cooled_bore_outweighs_the_warm_one(tmp_path: Path) -> None:
    warm = line(10, flat(0.317), warmth="30")
    found = state(tmp_path, *NEAR, warm, line(0, flat(0.311)))
    assert found.now.largest == found.now.smallest == 6_217_600 + 31_100


def test_a_jump_of_the_rate_is_asked_about(tmp_path: Path) -> None:
    """1 um a stroke, then 2.5: dressed? It is asked, and the faster pace counts."""
    sharp = line(20, flat(0.290))
    found = state(tmp_path, *NEAR[:3], sharp)
    assert found.question.startswith("Were the stones dressed")
    assert "'180 dressed'" in found.question
    assert isinstance(found.based_on, StatedRisk)
    assert found.next_count * 250 <= found.local_high - found.now.largest
    steady = state(tmp_path, *NEAR)
    assert steady.question == ""
    named = state(tmp_path, *NEAR[:3], sharp.replace("180", "180 dressed", 1))
    assert named.question == ""
    assert named.rate is not None and named.rate.rate == pytest.approx(250)


def test_stones_that_dull_are_told(tmp_path: Path) -> None:
    dials = ((20, 0.150), (20, 0.190), (20, 0.220), (20, 0.240), (20, 0.255))
    found = state(tmp_path, *(line(count, flat(dial)) for count, dial in dials))
    assert any("stones 180 dull" in caution for caution in found.cautions)
    assert not any("dull" in caution for caution in state(tmp_path, *NEAR).cautions)


def test_the_risk_of_the_bore_adds_up_and_is_capped(tmp_path: Path) -> None:
    """Honed as advised, 1 um a stroke, to the end."""
    lines, dial, spent = [line(20, flat(0.110))], 0.110, 0.0
    for _ in range(20):
        found = state(tmp_path, *lines)
        if found.advice == "stop":
            break
        assert isinstance(found.based_on, StatedRisk)
        assert found.risk_before == pytest.approx(spent)
        assert found.based_on.limit == pytest.approx((0.05 - spent) / 2)
        assert found.based_on.risk <= found.based_on.limit
        spent += found.based_on.risk
        dial += found.next_count / 1_000
        lines.append(line(found.next_count, flat(dial)))
    assert found.advice == "stop" and 0 < spent < 0.05


def test_a_pass_that_went_too_far_counts_no_more_than_it_might(tmp_path: Path) -> None:
    far = state(tmp_path, NEAR[0], line(190, flat(0.310)))
    assert far.risk_before > 0.05
    assert isinstance(far.based_on, StatedRisk)
    assert far.based_on.limit == pytest.approx(0.05 / 4)


def test_no_advice_without_a_count_and_what_it_rests_on(tmp_path: Path) -> None:
    found = state(tmp_path, *NEAR)
    document = found.model_dump()
    for missing in ("next_count", "based_on", "sentence", "risk_before"):
        with pytest.raises(ValidationError, match=missing):
            HoneState.model_validate({k: v for k, v in document.items() if k != missing})
    for based_on in (
        NoStrokes(why="read again"),
        FirstStrokes(count=3, rate=1.0, basis="same stones", largest=1),
    ):
        with pytest.raises(ValidationError, match="risk was stated for"):
            HoneState.model_validate({**document, "based_on": based_on.model_dump()})
    for record, fields in (
        (StatedRisk, ("risk", "limit")),
        (FirstStrokes, ("count", "rate", "basis")),
    ):
        assert all(record.model_fields[name].is_required() for name in fields)
    assert NoStrokes.model_fields["why"].is_required()
