"""Readings of a pass that the log contradicts: named, all at once, nothing written.

The pump's first cylinder: worn to 0.076 (bottom) .. 0.092 (top) on the dial. Its gauge is taken to
scatter by 2 um, so two readings of one place agree within 4 sqrt(2) 2 = 11.3 um.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.usecases import files as service
from fitsolver.usecases.hone_file import HoneFile
from tests.unit.honing.jobs import flat, line, pump

KNOWN = (line(30, flat(0.115)), line(10, flat(0.125)))  # 1 um a stroke


def but(dial: float, **places: float) -> Callable[[int, str], float]:
    """Return a bore that reads the same all over but at `thrust_18` and the like."""
    return lambda depth, axis: places.get(f"{axis}_{depth}", dial)


def opened(folder: Path, *lines: str, accept: tuple[str, ...] = ()) -> HoneFile:
    job = pump(folder)
    job.with_suffix(".hone").write_text("".join(f"{text}\n" for text in lines), encoding="utf-8")
    return service.at_the_hone(job, accept=accept)


def doubted(folder: Path, *lines: str) -> list[str]:
    """Return the ids that a log is refused with."""
    with pytest.raises(InputError) as refused:
        opened(folder, *lines).answer()
    return re.findall(r"^  (pass \S+):", str(refused.value), re.MULTILINE)


@pytest.mark.parametrize("read", [0.325, -0.055], ids=["0.19 more", "0.19 less"])
def test_one_reading_0_19_off_in_ten_strokes_at_a_known_rate(tmp_path: Path, read: float) -> None:
    held = opened(tmp_path, *KNOWN)
    before = held.log.read_bytes()
    for entry in (line(10, but(0.135, thrust_18=read)), f"1, 10, 180, 20, 18 thrust {read}"):
        with pytest.raises(InputError, match=r"(?s)pass 3/1/18/thrust: .*--accept") as refused:
            held.enter(entry)
            assert "expected" in str(refused.value)
        assert held.log.read_bytes() == before


def test_all_doubts_of_a_log_come_at_once(tmp_path: Path) -> None:
    lines = (
        line(10, but(0.135, thrust_18=0.153, pin_62=0.115)),
        line(10, but(0.145, pin_74=0.125), warmth="2.7"),
    )
    found = doubted(tmp_path, *KNOWN, *lines)
    assert {"pass 3/1/18/thrust", "pass 4/1/74/pin", "pass 4/1/temperature"} <= set(found)
    assert "pass 3/1/62/pin" in found


def test_the_first_check_has_wide_bounds(tmp_path: Path) -> None:
    """10 um a stroke at one place: 20 strokes take 0.2 mm at most, and all places alike."""
    opened(tmp_path, line(20, flat(0.200))).answer()
    assert doubted(tmp_path, line(20, flat(0.400))) == ["pass 1/1"]
    assert doubted(tmp_path, line(20, but(0.110, pin_28=0.130))) == ["pass 1/1/28/pin"]
    with pytest.raises(InputError, match=r"10\.0 µm each at most.*common practice, no source"):
        opened(tmp_path, "1, 20, 180, 20, 18 thrust 0.388").answer()


def test_strokes_that_take_next_to_nothing(tmp_path: Path) -> None:
    """100 typed for 10: at 1 um each they should have taken a quarter of 0.1 mm and more."""
    assert doubted(tmp_path, *KNOWN, line(100, flat(0.135))) == ["pass 3/1/strokes"]


def test_a_worn_bore_evens_out(tmp_path: Path) -> None:
    """The tight bottom is cut at once, the wide top not at all."""
    even = line(20, lambda depth, _axis: max(0.090, 0.094 - depth / 15_000))
    opened(tmp_path, even).answer()


def test_accepted_figures_stay_accepted(tmp_path: Path) -> None:
    entry, name = line(10, but(0.135, thrust_18=0.165)), "pass 3/1/18/thrust"
    held = opened(tmp_path, *KNOWN, accept=(name,))
    held.enter(entry)
    assert held.log.read_text(encoding="utf-8").endswith(f"{entry}\n# accept {name}\n")
    (state,) = service.hone(tmp_path / "job.toml").cylinders
    assert state.checks[-1].largest == 6_217_600 + 16_500
    assert state.rate is None  # a step that was doubted tells no rate


def test_a_log_typed_by_hand_is_accepted_once(tmp_path: Path) -> None:
    name = "pass 3/1/18/thrust"
    held = opened(tmp_path, *KNOWN, line(10, but(0.135, thrust_18=0.165)))
    job = tmp_path / "job.toml"
    assert service.hone(job, accept=(name,)) == service.hone(job)
    assert held.log.read_text(encoding="utf-8").count(f"# accept {name}\n") == 1
    service.hone(job, accept=(name,))
    assert held.log.read_text(encoding="utf-8").count("# accept") == 1
    with pytest.raises(InputError, match=r"doubted by this name.*pass 9/1/18/thrust"):
        service.hone(job, accept=("pass 9/1/18/thrust",))


def test_a_job_accepts_by_name(tmp_path: Path) -> None:
    held = opened(tmp_path, *KNOWN, line(10, but(0.135, thrust_18=0.165)))
    job = held.job.model_copy(update={"accept": ("pass 3/1/18/thrust",)})
    accepting = replace(held.now(), job=job)
    assert accepting.answer().cylinders[0].advice == "find the rate"


def test_the_later_reading_outweighs(tmp_path: Path) -> None:
    """Read once more without strokes: the slip is forgotten, the other places stand."""
    wrong = line(10, but(0.135, thrust_18=0.325))
    assert doubted(tmp_path, *KNOWN, wrong) == ["pass 3/1/18/thrust"]
    (state,) = opened(tmp_path, *KNOWN, wrong, "1, 0, 180, 20, 18 thrust 0.136").answer().cylinders
    assert [check.replaced for check in state.checks] == [False, False, False, True, False]
    assert (state.checks[-1].smallest, state.checks[-1].largest) == (6_231_100, 6_231_200)
    assert state.rate is not None and state.rate.rate == pytest.approx(100, rel=0.1)
    again = "1, 0, 180, 20, 18 thrust 0.316"  # a second slip
    assert doubted(tmp_path, *KNOWN, wrong, again) == ["pass 4/1/18/thrust"]


def test_other_comments_say_nothing(tmp_path: Path) -> None:
    wrong = line(10, but(0.135, thrust_18=0.325))
    noted = ("# accept it all", "# pass 3/1/18/thrust", "# accepted pass 3/1/18/thrust")
    assert doubted(tmp_path, *noted, *KNOWN, wrong) == ["pass 3/1/18/thrust"]


@pytest.mark.parametrize(("rim", "named"), [(0.137, True), (0.115, False)])
def test_two_readings_at_one_depth_do_not_hold_each_other_up(
    tmp_path: Path, rim: float, named: bool
) -> None:
    """The rim at 3, which decides nothing, stood in by 0.015 mm; 20 strokes took 10 to 14 um.

    Cut 0.013 mm further than the depth below it is within 4 sqrt(2) 2 um and a tenth of 14 um:
    taken. 0.035 mm further, six times the cut of the depth below, is not.
    """
    worn = {8: 0.102, 18: 0.098, 28: 0.094, 62: 0.090, 74: 0.087}
    read = line(20, lambda depth, _axis: worn[depth])
    entry = f"{read}, 3 thrust {rim:.3f}, 3 pin {rim - 0.003:.3f}"
    if named:
        assert doubted(tmp_path, entry) == ["pass 1/1/3/thrust", "pass 1/1/3/pin"]
    else:
        opened(tmp_path, entry).answer()


def test_one_reading_alone_orders_no_new_parts(tmp_path: Path) -> None:
    """The highest is 0.332 on the dial: 0.335 at one place, 0.326 at all others."""
    near = (line(100, flat(0.215)), line(100, flat(0.315)))
    found = doubted(tmp_path, *near, line(10, but(0.326, pin_28=0.335)))
    assert found == ["pass 3/1/28/pin"]
    (state,) = opened(tmp_path, *near, line(10, flat(0.335))).answer().cylinders
    assert state.advice == "too large"
