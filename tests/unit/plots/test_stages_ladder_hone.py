"""Stages, sizes left and the log of a hone: bars and markers lie where the records say."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver import plots
from fitsolver.plots import style
from fitsolver.records.figures import Figures
from fitsolver.records.hone import StatedRisk
from fitsolver.records.told import dial_reading

from ..honing.jobs import stated_largest
from .drawn import boxes, drawing_of, honed, laddered, shown, staged


@pytest.mark.parametrize("job", ["pump/job", "launch/job"])
def test_stage_bars_run_from_size_to_size(job: str) -> None:
    drawing = drawing_of("stages", job)
    targets = [target for plan in staged(job).cylinders for target in plan.targets]
    for axes, target in zip(drawing.figure.axes, targets, strict=True):
        drawn = [box for box in boxes(axes) if box.get_hatch()]
        spans = [(box.get_x(), box.get_x() + box.get_width()) for box in drawn]
        assert spans == [(cut.start, cut.diameter) for cut in target.cuts]
        assert spans[0][0] == target.start and spans[-1][1] == target.finish
        hatches = [box.get_hatch() for box in drawn]
        assert len(set(hatches)) == len(hatches)  # told apart without colour
        left, right = axes.get_xlim()
        assert all(left < end < right for span in spans for end in span)


@pytest.mark.parametrize("job", ["pump/job", "launch/job"])
def test_stages_show_size_stock_and_dial(job: str) -> None:
    figures = Figures(staged(job).unit)
    said = " ".join(shown(drawing_of("stages", job)))
    for plan in staged(job).cylinders:
        for target in plan.targets:
            for cut in target.cuts:
                stop = figures.aim(cut.diameter, cut.lowest, cut.highest)
                assert f"stop at {stop}, takes {figures.up(cut.stock)}" in said
                if cut.dial is not None:
                    assert f"dial {dial_reading(cut, cut.dial, figures)}" in said
                if cut.dial_on_piston is not None:
                    assert dial_reading(cut, cut.dial_on_piston, figures) in said


def test_nothing_to_cut_is_said() -> None:
    assert shown(drawing_of("stages", "brushsaw/job")) == ["Nothing is cut."]


@pytest.mark.parametrize("job", ["pump/job", "pump/ladder", "launch/job", "brushsaw/job"])
def test_rungs_reach_the_finish_of_each_size(job: str) -> None:
    drawing = plots.size_ladder(laddered(job))
    figures = Figures(laddered(job).unit)
    for axes, ladder in zip(drawing.figure.axes, laddered(job).cylinders, strict=True):
        can = [rung for rung in ladder.rungs if rung.removal_now is not None]
        drawn = boxes(axes)[1:]  # the first is the bore as it is
        assert boxes(axes)[0].get_x() == ladder.smallest
        assert boxes(axes)[0].get_width() == ladder.largest - ladder.smallest
        assert [box.get_x() + box.get_width() for box in drawn] == [rung.finish for rung in can]
        assert [bool(box.get_hatch()) for box in drawn] == [rung.chosen for rung in can]
        names = [label.get_text() for label in axes.get_yticklabels()]
        assert names == [
            figures.near(rung.oversize, sign=True) + " *" * rung.chosen for rung in ladder.rungs
        ]
    texts = shown(drawing)
    for ladder in laddered(job).cylinders:
        if ladder.bore_limit is not None:
            assert f"bore limit {figures.down(ladder.bore_limit)}" in texts
        for rung in ladder.rungs:
            if rung.removal_now is not None:
                assert any(f"removal {figures.up(rung.removal_now)}" in text for text in texts)


def test_a_size_that_cannot_be_had_is_a_cross_with_its_reason() -> None:
    found = laddered("pump/ladder")
    rung = found.cylinders[0].rungs[-1]
    barred = rung.model_copy(
        update={"removal_now": None, "finish": None, "barred_by": "bore_limit", "chosen": False}
    )
    changed = found.cylinders[0].model_copy(update={"rungs": (barred,)})
    drawing = plots.size_ladder(found.model_copy(update={"cylinders": (changed,)}))
    (axes,) = drawing.figure.axes
    crosses = [line for line in axes.lines if line.get_marker() == "x"]
    assert [list(line.get_xdata()) for line in crosses] == [[rung.nominal_bore]]  # type: ignore[arg-type]
    assert any(text.startswith("not today: bore limit") for text in shown(drawing))


def test_checks_and_what_is_foretold(tmp_path: Path) -> None:
    answer = honed(tmp_path)
    state = answer.cylinders[0]
    (axes,) = plots.hone_log(answer).figure.axes
    by_marker = {line.get_marker(): line for line in axes.lines}
    for marker, sizes in (
        ("^", [check.largest for check in state.checks]),
        ("v", [check.smallest for check in state.checks]),
    ):
        line = by_marker[marker]
        assert list(line.get_xdata()) == [check.count for check in state.checks]  # type: ignore[arg-type]
        assert list(line.get_ydata()) == sizes  # type: ignore[arg-type]
    assert state.next_count and stated_largest(state)
    diamond = by_marker["D"]
    then = state.checks[-1].count + state.since_check + state.next_count
    assert list(diamond.get_xdata()) == [then]  # type: ignore[arg-type]
    assert list(diamond.get_ydata()) == [stated_largest(state)]  # type: ignore[arg-type]
    levels = {line.get_ydata()[0] for line in axes.lines if len(set(line.get_ydata())) == 1}  # type: ignore[arg-type, index]
    assert {state.local_low, state.local_high} <= levels
    said = " ".join(shown(plots.hone_log(answer)))
    figures = Figures("mm")
    assert f"lowest {figures.up(state.local_low)}" in said
    assert f"highest {figures.down(state.local_high)}" in said
    assert isinstance(state.based_on, StatedRisk) and state.based_on.limit < 0.025
    assert (
        f"{figures.up(stated_largest(state))} at most" in said
        and f"{1 - state.based_on.limit:.1%} sure" in said
    )


def test_before_any_pass_what_is_foretold_is_a_condition(tmp_path: Path) -> None:
    answer = honed(tmp_path, "# no pass yet\n")
    drawing = plots.hone_log(answer)
    assert len(drawing.figure.axes) == len(answer.cylinders) > 1
    for axes, state in zip(drawing.figure.axes, answer.cylinders, strict=True):
        assert state.first is not None
        (diamond,) = (line for line in axes.lines if line.get_marker() == "D")
        assert list(diamond.get_ydata()) == [state.first.largest]  # type: ignore[arg-type]
    assert any("if it goes no faster" in text for text in shown(drawing))
    assert not any("% sure" in text for text in shown(drawing))


def test_hatches_are_all_different() -> None:
    assert len(set(style.STAGE_HATCHES)) == len(style.STAGE_HATCHES)
    assert len({style.METAL_HATCH, style.GUARD_HATCH, style.PORT_HATCH}) == 3
