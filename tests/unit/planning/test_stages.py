"""The machining plan: stages that close to the tick, dials, what goes ahead, where the metal is."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rich.console import Console

from fitsolver.base.lengths import Unit
from fitsolver.planning.stages import in_stages, stages
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Stage
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer, CylinderPlan
from fitsolver.records.readings import GaugeZero, Reading
from fitsolver.records.stages import CylinderStages, StagesAnswer, Target
from fitsolver.usecases import files as service
from fitsolver.verbs.report import report as report_of
from tests.oracle.dice import THEMES
from tests.oracle.generate import cases
from tests.oracle.small import bore, catalogue, hone, job, mm, piston, ring, span, window
from tests.unit.cli.run import BRUSHSAW, LAUNCH, PUMP, WORN_OUT

ROUTE = "bore and hone"
MOST = 10_000


def stage(name: str, low: int, high: int, half_width: int | None = None) -> Stage:
    return Stage(route=ROUTE, name=name, leaves=span(low, high), half_width=half_width)


BORE, ROUGH, FINE = (
    stage("bore", 6_000, 10_000, 1_000),
    stage("rough hone", 2_000, 4_000),
    stage("finish hone", 0, 0),
)


def shelf(*steps: Stage, skirt: tuple[str, str] = ("62.440", "62.440"), **more: Any) -> Catalogue:
    facts = {"name": ROUTE, "kind": "bore and hone", **more}
    return catalogue(
        piston("P", mm("62.5"), mm(skirt[0]), mm(skirt[1])),
        ring("R", mm("62.5"), mm("0.25")),
        hone(**facts),
        stages=steps,
    )


def planned(parts: Catalogue, *sizes: str, **more: Any) -> CylinderStages:
    cylinder = bore("1", *map(mm, sizes), routes=(ROUTE,), **more)
    asked = job(cylinder, windows=(window("clearance", mm("0.06"), mm("0.09")),))
    answer = service.decide(asked, parts)
    assert answer.status == "proven best"
    return in_stages(answer, parts).cylinders[0]


def closes(target: Target) -> None:
    """Every stage starts where the one before ended, takes something, and nothing is lost."""
    here = target.start
    for cut in target.cuts:
        assert cut.start == here
        assert cut.diameter == cut.start + cut.stock
        here = cut.diameter
    assert here == target.finish
    assert sum(cut.stock for cut in target.cuts) == target.finish - target.start
    assert all(cut.stock > 0 for cut in target.cuts[:-1])


def test_diameter_after_each_stage() -> None:
    plan = planned(shelf(BORE, ROUGH, FINE), "62.25", "62.20")
    (target,) = plan.targets
    closes(target)
    assert plan.start == Range(low=mm("62.20"), high=mm("62.25"))
    sizes = [(cut.stage, cut.diameter, cut.lowest, cut.highest) for cut in target.cuts]
    assert sizes == [
        # 62.5 - 0.08; 62.5 - 0.10 and - 0.06, each less the half-width of 0.01
        ("bore", mm("62.42"), mm("62.41"), mm("62.43")),
        ("rough hone", mm("62.47"), mm("62.46"), mm("62.48")),
        ("finish hone", mm("62.5"), mm("62.5"), mm("62.53")),
    ]
    assert [cut.stock for cut in target.cuts] == [mm("0.22"), mm("0.05"), mm("0.03")]


def test_start_is_each_cylinders_own() -> None:
    parts = shelf(BORE, ROUGH, FINE)
    first, second = (planned(parts, size).targets[0] for size in ("62.20", "62.31"))
    assert first.cuts[0].stock - second.cuts[0].stock == mm("0.11")
    assert first.cuts[1:] == second.cuts[1:]


@pytest.mark.parametrize(
    ("size", "left_out"),
    [
        ("62.41999", []),
        ("62.42", ["bore"]),
        ("62.46999", ["bore"]),
        ("62.47", ["bore", "rough hone"]),
    ],
)
def test_a_stage_that_would_take_nothing_is_left_out(size: str, left_out: list[str]) -> None:
    (target,) = planned(shelf(BORE, ROUGH, FINE), size).targets
    closes(target)
    assert [step.stage for step in target.left_out] == left_out
    assert len(target.cuts) == 3 - len(left_out)


def test_a_route_without_stages_is_one() -> None:
    (target,) = planned(shelf(half_width=300), "62.25").targets
    (cut,) = target.cuts
    assert (cut.stage, cut.diameter, cut.half_width) == (ROUTE, mm("62.503"), 300)


def test_dial_as_zeroed_and_on_the_new_piston() -> None:
    readings = (Reading(depth=mm("10"), angle=0, size=mm("62.25"), dial=mm("0.05")),)
    zero = GaugeZero(size=mm("62.20"))
    plan = planned(shelf(BORE, FINE), "62.25", zero=zero)
    assert [cut.dial for cut in plan.targets[0].cuts] == [mm("0.22"), mm("0.30")]
    assert [cut.dial_on_piston for cut in plan.targets[0].cuts] == [mm("-0.02"), mm("0.06")]
    bare = planned(shelf(BORE, FINE), "62.25", readings=readings)
    assert [cut.dial for cut in bare.targets[0].cuts] == [None, None]


def test_a_restored_bore_starts_from_its_restored_bore() -> None:
    parts = shelf(BORE, FINE, kind="restore", restored_bore=mm("62.1"))
    plan = planned(parts, "62.6")
    assert plan.targets[0].start == mm("62.1")
    assert (plan.depths, plan.dwell) == ((), ())


def test_both_ends_of_a_piston_not_measured() -> None:
    plan = planned(shelf(BORE, ROUGH, FINE, skirt=("62.430", "62.440")), "62.25")
    assert [(t.piston, t.finish) for t in plan.targets] == [
        ("smallest", mm("62.49")),
        ("largest", mm("62.50")),
    ]
    assert plan.ahead is not None
    bored, rough = plan.ahead.cuts
    # smallest: 62.41 to 62.42 about 62.41; largest 62.41 to 62.43
    assert (bored.diameter, bored.lowest, bored.highest) == (mm("62.41"), mm("62.41"), mm("62.42"))
    assert (rough.diameter, rough.lowest, rough.highest) == (mm("62.46"), mm("62.46"), mm("62.47"))
    assert (plan.ahead.serves_both, plan.ahead.waits) == (True, ("finish hone",))


def test_one_size_for_a_piston_not_measured_is_permitted_for_the_smallest() -> None:
    """The clean-up asks for 62.502, more than either piston: 62.415 + 0.09 is the highest."""
    plan = planned(shelf(FINE, skirt=("62.415", "62.440")), "62.502")
    (target,) = plan.targets
    (cut,) = target.cuts
    assert (target.piston, target.skirt, plan.ahead) == ("any", None, None)
    assert (cut.diameter, cut.lowest, cut.highest) == (mm("62.502"), mm("62.502"), mm("62.505"))
    assert cut.dial_on_piston is None


def test_only_the_first_cut_goes_ahead_where_no_size_serves_both() -> None:
    plan = planned(shelf(BORE, ROUGH, FINE, skirt=("62.415", "62.440")), "62.25")
    assert plan.ahead is not None
    (bored,) = plan.ahead.cuts
    assert bored.diameter == plan.targets[0].cuts[0].diameter
    assert (plan.ahead.serves_both, plan.ahead.waits) == (False, ("rough hone", "finish hone"))


def test_one_stage_waits_for_the_piston() -> None:
    plan = planned(shelf(skirt=("62.430", "62.440")), "62.25")
    assert plan.ahead is not None
    assert (plan.ahead.cuts, plan.ahead.waits) == ((), (ROUTE,))


PROFILES = {
    "straight": (("62.25", "62.25", "62.25"), "even strokes over the whole length"),
    "tapered": (("62.28", "62.265", "62.25"), "short strokes at the bottom first"),
    "bell-mouthed": (("62.25", "62.252", "62.28"), "more strokes away from the bottom"),
    "barrel": (("62.25", "62.28", "62.25"), "short strokes at each end in turn"),
    "waisted": (("62.28", "62.25", "62.28"), "short strokes in the middle first"),
    "irregular": (("62.25", "62.28", "62.25", "62.28"), "where the table shows most"),
}


@pytest.mark.parametrize("shape", PROFILES)
def test_where_the_metal_is(shape: str) -> None:
    sizes, said = PROFILES[shape]
    plan = planned(shelf(kind="rough and finish hone"), *sizes)
    assert plan.shape == shape
    assert said in plan.dwell[1]
    assert [at.most for at in plan.depths] == [mm("62.5") - mm(size) for size in sizes]
    assert [at.least for at in plan.depths] == [at.most for at in plan.depths]


def test_most_and_least_metal_at_one_depth() -> None:
    readings = tuple(
        Reading(depth=mm("10"), angle=angle, size=mm(size))
        for angle, size in ((0, "62.28"), (90, "62.25"))
    )
    plan = planned(shelf(), "62", readings=readings)
    assert [(at.least, at.most) for at in plan.depths] == [(mm("0.22"), mm("0.25"))]


def test_a_boring_bar_needs_no_dwell_a_hone_does() -> None:
    parts = shelf(BORE, FINE)
    assert "boring bar" in planned(parts, "62.28", "62.25").dwell[1]
    left = planned(parts, "62.45", "62.43")
    assert [step.stage for step in left.targets[0].left_out] == ["bore"]
    assert "short strokes at the bottom" in left.dwell[1]


def test_nothing_fits_and_nothing_cut() -> None:
    nothing = service.machining_plan(WORN_OUT)
    assert (nothing.status, nothing.cylinders) == ("nothing fits", ())
    assert nothing.no_fit is not None
    (plan,) = service.machining_plan(BRUSHSAW).cylinders
    assert (plan.machined, plan.targets, plan.depths, plan.ahead) == (False, (), (), None)


@cache
def demo(path: Path) -> StagesAnswer:
    return service.machining_plan(path)


@pytest.mark.parametrize("path", [PUMP, LAUNCH])
def test_the_demos_close(path: Path) -> None:
    for plan in demo(path).cylinders:
        for target in plan.targets:
            closes(target)
            for cut in target.cuts:
                assert cut.lowest is not None and cut.highest is not None
                assert cut.lowest <= cut.diameter <= cut.highest


def often(count: int) -> settings:
    return settings(
        derandomize=True,
        database=None,
        deadline=None,
        max_examples=count,
        suppress_health_check=list(HealthCheck),
    )


#: What is left after each stage but the last: ranges falling to nothing.
SPLITS = st.lists(st.integers(1, MOST), min_size=2, max_size=8, unique=True).map(
    lambda edges: list(zip(*[iter(sorted(edges, reverse=True))] * 2, strict=False))
)


@often(80)
@given(st.sampled_from(sorted(THEMES)).flatmap(cases), SPLITS)
def test_stock_closes_to_the_tick(
    case: tuple[Job, Catalogue], splits: list[tuple[int, int]]
) -> None:
    """For any job and any split: stocks add up to finish - start, whatever is left out."""
    asked, parts = case
    steps = tuple(
        Stage(route=route.name, name=f"stage {n}", leaves=span(low, high))
        for route in parts.routes
        if route.machined
        for n, (high, low) in enumerate([*splits, (0, 0)])
    )
    answer = service.decide(asked, parts)
    made = stages(answer, parts.model_copy(update={"stages": steps}))
    for plan, chosen in zip(made, answer.plan.cylinders if answer.plan else (), strict=True):
        follows(plan, chosen, len(splits) + 1)


def follows(plan: CylinderStages, chosen: CylinderPlan, steps: int) -> None:
    assert bool(plan.targets) == plan.machined == chosen.machined
    for target in plan.targets:
        closes(target)
        assert len(target.cuts) + len(target.left_out) == steps
        assert all(step.diameter <= target.start for step in target.left_out)
    if plan.machined:
        ends = chosen.finish_small, chosen.finish_large
        assert (plan.targets[0].finish, plan.targets[-1].finish) == ends
        assert plan.targets[-1].finish - plan.start.low == chosen.stock_tightest
    if plan.ahead is not None:  # never past what leaves the smallest piston its hone
        assert all(cut.diameter < plan.targets[0].finish for cut in plan.ahead.cuts)


def test_stages_change_nothing_in_the_pick() -> None:
    asked, parts = service.load(PUMP)
    bare = parts.model_copy(update={"stages": ()})
    assert service.decide(asked, parts) == service.decide(asked, bare)


def report(answer: StagesAnswer, unit: Unit | None = None) -> str:
    with io.StringIO() as out:
        Console(file=out, width=80).print(report_of(answer, unit))
        return " ".join(out.getvalue().split())


def test_report() -> None:
    shown = report(demo(PUMP))
    assert "The stages take 0.248 together, from 62.252 to 62.500." in shown
    assert "For the smallest piston, 62.430:" in shown
    assert "These wait for the piston: finish hone, plateau." in shown
    assert "short strokes at the bottom first" in shown
    assert "lengths in inches" in report(demo(PUMP), "in")


def test_report_says_which_stage_does_not_clean_up() -> None:
    made = demo(PUMP)
    for size, said in (("62.41999", False), ("62.42", False), ("62.42001", True)):
        plan = planned(shelf(BORE, FINE), size, "62.40")
        shown = report(made.model_copy(update={"cylinders": (plan,)}))
        assert ("The largest places are not reached by: bore." in shown) is said


def test_report_says_what_is_left_out_and_what_may_come_again() -> None:
    parts = shelf(BORE, ROUGH, FINE, skirt=("62.415", "62.440"))
    plan = planned(parts, "62.44")
    made = demo(PUMP).model_copy(update={"cylinders": (plan,)})
    shown = report(made)
    assert "Left out: bore; it goes to 62.395, the bore is past that." in shown
    again = made.model_copy(update={"cylinders": (planned(parts, "62.25"),)})
    assert "the stage 'bore' may then be needed once more" in report(again)
    one = planned(shelf(skirt=("62.430", "62.440")), "62.25")
    assert "Nothing is cut before that." in report(made.model_copy(update={"cylinders": (one,)}))


def test_an_answer_without_plan_has_no_stages() -> None:
    answer = Answer.model_construct(plan=None)
    assert stages(answer, shelf()) == ()
