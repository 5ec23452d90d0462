"""How firm a pick is: margins exact to a tick, against walking there tick by tick."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from fitsolver import explain
from fitsolver.base.deadline import Clock
from fitsolver.explain.firm import firm_margins, pick_of
from fitsolver.explain.kept_surely import kept_while_moved_in
from fitsolver.explain.smallest_change import Change, Pick, smallest_change
from fitsolver.metrology.measured import Measured
from fitsolver.picking.decide import decided
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.firm import FirmAnswer, Margin, Narrowed
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import Instrument, Measuring
from fitsolver.records.readings import Reading
from fitsolver.records.windows import Window
from fitsolver.usecases import files as service
from fitsolver.usecases.loading import load
from tests.unit.cli.run import BRUSHSAW, WORN_OUT, Run, runner
from tests.unit.plots.drawn import path
from tests.unit.rules.small import CYLINDER, PISTON, READ, RING, catalogue, job, part

CLEARANCE = Window(fit="clearance", low=4_000, high=5_600)
#: The next size, 20 µm larger, for bores that the first one has become too small for.
LARGER = part(
    PISTON,
    number="P20",
    oversize=2_000,
    nominal_bore=6_202_000,
    skirt=Range(low=6_197_500, high=6_197_600),
)
TWO_SIZES = catalogue(pistons=(PISTON, LARGER))


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    return runner(monkeypatch, capsys)


def firm(task: Job, parts: Catalogue) -> FirmAnswer:
    from fitsolver.explain.firmness import firmness

    return firmness(Measured(task, task), parts, service.decide(task, parts))


def margin(answer: FirmAnswer, what: str, *, smaller: bool = False) -> Margin:
    return next(m for m in answer.margins if (m.what, m.smaller) == (what, smaller))


def walked(pick_at: Callable[[int], Pick], reach: int) -> int | None:
    """The first change that alters the pick, tick by tick."""
    now = pick_at(0)
    return next((more for more in range(1, reach + 1) if pick_at(more) != now), None)


def grown(more: int) -> Job:
    cylinder = CYLINDER.model_copy(
        update={"readings": (Reading(depth=1_000_000, angle=0, size=READ + more),)}
    )
    return job(CLEARANCE, cylinders=(cylinder,))


def narrowed(low: int, high: int) -> Job:
    return job(Window(fit="clearance", low=4_000 + low, high=5_600 - high))


def widened(more: int) -> Catalogue:
    skirt = Range(low=PISTON.skirt.low - more, high=PISTON.skirt.high + more)
    return catalogue(pistons=(part(PISTON, skirt=skirt), LARGER))


def test_the_reading_grows_to_the_next_size() -> None:
    answer = firm(job(CLEARANCE), TWO_SIZES)
    found = margin(answer, "largest reading")
    # The bore afterwards, 62.005 to 62.009, may be 61.955 + 0.056 at most: 2 µm are left.
    assert found.margin == 201
    assert [item.piston for item in found.becomes] == ["P20"]
    assert not found.no_plan
    assert walked(lambda more: pick_of(grown(more), TWO_SIZES), 210) == 201


def test_an_edge_moves_in_until_another_size_is_picked() -> None:
    answer = firm(job(CLEARANCE), TWO_SIZES)
    low = margin(answer, "highest edge")
    assert low.margin == walked(lambda m: pick_of(narrowed(0, m), TWO_SIZES), 210) == 201
    assert low.value == 5_600


def test_a_skirt_may_be_wider_until_another_is_picked() -> None:
    answer = firm(job(CLEARANCE), TWO_SIZES)
    found = next(m for m in answer.margins if m.part == "P")
    assert found.value == 100
    assert found.margin == walked(lambda more: pick_of(job(CLEARANCE), widened(more)), 210)
    assert found.margin == 201
    assert [item.piston for item in found.becomes] == ["P20"]


def test_where_no_larger_size_is_nothing_fits() -> None:
    found = margin(firm(job(CLEARANCE), catalogue()), "largest reading")
    assert (found.margin, found.no_plan, found.becomes) == (201, True, ())


def test_a_reading_that_never_changes_the_pick_up_to_the_next_size() -> None:
    found = margin(firm(job(), TWO_SIZES), "largest reading")
    assert (found.margin, found.reach) == (None, LARGER.nominal_bore - READ)
    assert pick_of(grown(0), TWO_SIZES) is not None


def test_a_reading_grows_to_the_bore_limit_where_there_is_no_larger_size() -> None:
    cylinder = CYLINDER.model_copy(update={"bore_limit": READ + 1_000})
    found = margin(firm(job(cylinders=(cylinder,)), catalogue()), "largest reading")
    # 62.000 comes to 62.009 at most, so 62.001 is all that a limit of 62.010 leaves.
    assert (found.margin, found.no_plan) == (101, True)


def test_a_finished_size_grows_as_a_whole() -> None:
    finished = Cylinder(name="1", material="iron", finished_size=6_200_000)
    task = job(
        Window(fit="clearance", low=4_000, high=4_700),
        cylinders=(finished,),
        finishing="already finished",
        routes=(),
    )
    assert margin(firm(task, catalogue()), "largest reading").margin == 201


def test_a_reading_shrinks_to_a_size_that_takes_less() -> None:
    found = margin(firm(grown(1_000), TWO_SIZES), "largest reading", smaller=True)
    # At 62.010 the next size is due; from 62.002 down the first one cleans up.
    walk = walked(lambda less: pick_of(grown(1_000 - less), TWO_SIZES), 1_000)
    assert found.margin == walk == 800
    assert [item.piston for item in found.becomes] == ["P"]
    assert found.reach == 1_000


def test_a_reading_shrinks_to_the_smallest_at_most() -> None:
    cylinder = CYLINDER.model_copy(
        update={
            "readings": (
                Reading(depth=1_000_000, angle=0, size=READ + 1_000),
                Reading(depth=1_000_000, angle=90, size=READ + 400),
            )
        }
    )
    task = job(CLEARANCE, cylinders=(cylinder,))
    found = margin(firm(task, TWO_SIZES), "largest reading", smaller=True)
    assert (found.margin, found.reach) == (None, 600)


def test_far_edges_are_followed_too() -> None:
    wide = job(Window(fit="clearance", low=0, high=20_000))
    found = firm(wide, catalogue()).margins
    assert [m.what for m in found] == [
        "largest reading",
        "lowest edge",
        "highest edge",
        "skirt tolerance",
    ]

    def pick_at(low: int, high: int) -> Pick:
        return pick_of(job(Window(fit="clearance", low=low, high=20_000 - high)), catalogue())

    for item, edges in ((found[1], (1, 0)), (found[2], (0, 1))):
        assert item.margin is not None
        low, high = (item.margin * edge for edge in edges)
        assert pick_at(low, high) is None
        less = item.margin - 1
        assert pick_at(less * edges[0], less * edges[1]) == pick_at(0, 0)


def test_a_measured_piece_is_followed_as_if_it_had_a_tolerance() -> None:
    cylinder = CYLINDER.model_copy(update={"piston": "P", "piston_size": 6_195_550})
    found = margin(firm(job(CLEARANCE, cylinders=(cylinder,)), catalogue()), "skirt tolerance")
    assert (found.part, found.value, found.margin) == ("P (in cylinder 1)", 0, 251)


def test_measure_again_where_the_margin_is_below_the_uncertainty() -> None:
    for error, again in ((100, False), (400, True)):
        gauge = Instrument(kind="bore gauge", standard_uncertainty=error)
        task = job(CLEARANCE, measuring=Measuring(instruments=(gauge,)))
        found = margin(firm(task, TWO_SIZES), "largest reading")
        assert found.uncertainty == pytest.approx(error)
        assert found.measure_again is again  # 201 against twice the standard uncertainty
    unknown = firm(job(CLEARANCE), TWO_SIZES)
    assert margin(unknown, "largest reading").uncertainty is None
    assert "which instruments" in unknown.cautions[0]


def test_a_kept_part_has_its_service_edge_moved_alone() -> None:
    window = Narrowed(fit="clearance", low=10, high=50, service_high=80, lowered=7, of_kept=True)
    assert window.stated(1) == (10, 50)
    assert window.stated(1, kept=True) == (10, 73)
    build = window.model_copy(update={"of_kept": False, "raised": 3})
    assert build.stated(1) == (13, 43)
    assert build.stated(1, kept=True) == (13, 80)  # without a service limit of its own


def test_steps_grow_and_then_halve() -> None:
    tried: list[int] = []
    at_37: Pick = ()

    def pick_at(more: int) -> Pick:
        tried.append(more)
        return None if more >= 37 else at_37

    assert smallest_change(pick_at, at_37, 1_000).margin == 37
    assert tried[:5] == [1_000, 1, 4, 16, 64]  # the end first: what is kept there is kept
    assert 36 in tried
    assert len(tried) <= 13
    assert smallest_change(pick_at, at_37, 36).margin is None
    assert smallest_change(pick_at, at_37, 37).margin == 37
    for slacks, first in (((36,), 1), ((36,), 36), ((5, 36, 40), 5), ((50,), 50), ((99,), 99)):
        tried.clear()
        assert smallest_change(pick_at, at_37, 1_000, slacks, first).margin == 37
        assert 36 in tried and 37 in tried
    tried.clear()
    smallest_change(pick_at, at_37, 1_000, (36,), 36)
    assert tried == [1_000, 36, 37]
    for gone, wanted in ((37, [36, 37]), (50, [49, 1, 4, 16, 64])):
        tried.clear()
        assert smallest_change(pick_at, at_37, 1_000, gone=gone).margin == 37
        assert tried[: len(wanted)] == wanted
    tried.clear()
    assert smallest_change(pick_at, at_37, 36).margin is None
    assert tried == [36]


@pytest.mark.parametrize("name", ["brushsaw/guarded", "pump/job"])
def test_what_is_told_without_a_solve_is_what_solves_say(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    ready, answer = decided(*load(path(name)), rows_back=False)
    assert answer.plan is not None
    parts = load(path(name))[1]
    now = pick_of(ready.job, parts)
    told = firm_margins(ready.job, parts, answer.plan, now, Clock())

    def searched(
        pick_at: Callable[[int], Pick], now: Pick, reach: int, slacks: frozenset[int], *of: int
    ) -> Change:
        return explain.smallest_change._searched(pick_at, now, reach, slacks, of[0])

    monkeypatch.setattr(explain.firm, "smallest_change", searched)
    monkeypatch.setattr(explain.firm, "kept_while_moved_in", lambda *_: 0)
    monkeypatch.setattr(explain.firm, "kept_while_read_larger", lambda *_: 0)
    monkeypatch.setattr(explain.firm, "fits_alone", lambda *_: True)
    assert firm_margins(ready.job, parts, answer.plan, now, Clock()) == told


def test_of_a_bore_that_waits_for_its_piston_only_edges_from_above_are_sure() -> None:
    """What raises its smallest size alters the filing of the plans that are left."""
    waits = job(CLEARANCE).model_copy(update={"finishing": "piston in hand"})
    free = job(CLEARANCE).model_copy(update={"finishing": "set size"})
    assert kept_while_moved_in(waits, CLEARANCE, "low", 50) == 0
    assert kept_while_moved_in(waits, CLEARANCE, "high", 50) == 50
    assert kept_while_moved_in(free, CLEARANCE, "low", 50) == 50
    gap = Window(fit="end_gap", low=19_000, high=33_000)
    assert kept_while_moved_in(free, gap, "low", 50) == 48  # a product with pi may be off
    assert kept_while_moved_in(free, gap, "low", 1) == 0


def test_progress_names_the_figure_that_is_followed() -> None:
    said: list[str] = []
    service.firm(BRUSHSAW, progress=lambda what, _: said.append(what))
    assert "largest reading, cylinder 1" in said
    assert any(what.startswith("clearance, low") for what in said)
    assert any(what.startswith("skirt of ") for what in said)


def test_rings_are_compared_too() -> None:
    other = part(RING, number="R2", gap=Range(low=20_000, high=24_000), file_most=0)
    window = Window(fit="end_gap", low=19_000, high=33_000)
    answer = firm(job(window), catalogue(rings=(RING, other)))
    assert answer.picked[0].rings == ("R",)
    edge = margin(answer, "highest edge")
    assert edge.becomes[0].rings == ("R2",)


def test_command(run: Run, tmp_path: Path) -> None:
    guarded = BRUSHSAW.with_name("guarded.toml")
    ran = run("firm", guarded)
    assert (ran.code, ran.err) == (0, "")
    assert "Measure this again before ordering" in ran.out
    ran = run("firm", WORN_OUT)
    assert ran.code == 3
    assert "no proven plan" in ran.out
    target = tmp_path / "firm.json"
    assert run("firm", BRUSHSAW, "--json", "--output", target).code == 0
    assert FirmAnswer.model_validate_json(target.read_text()).margins
    ran = run("firm", tmp_path / "none.toml")
    assert ran.code == 2
    assert "there is no such file" in ran.err


class Stopping(Clock):
    """A time that is over when the third figure is begun."""

    begun = 0

    def tell(self, what: str) -> None:
        self.begun += 1
        if self.begun == 3:
            self.interrupt()


def test_what_was_found_by_then_is_told() -> None:
    from fitsolver.explain.firmness import firmness

    task = job(CLEARANCE)
    answer = service.decide(task, TWO_SIZES)
    whole = firmness(Measured(task, task), TWO_SIZES, answer)
    cut = firmness(Measured(task, task), TWO_SIZES, answer, Stopping())
    assert 0 < len(cut.margins) < len(whole.margins)
    assert cut.margins == whole.margins[: len(cut.margins)]
    assert "found by then" in cut.cautions[0]
    assert not any("found by then" in caution for caution in whole.cautions)
