"""What physics forbids, to the tick: seen by solver, check, part sets, screening and final check.

Every floor has a job that just keeps it, and the same one a tick further that does not.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import pytest
from rich.console import Group

from fitsolver.checking.check import violations
from fitsolver.records.base import Range, RuleId
from fitsolver.records.catalogue import Catalogue, Gasket
from fitsolver.records.figures import Figures
from fitsolver.records.job import GasketPlace, InHand, Job, PinnedRing, Squish
from fitsolver.records.windows import Window
from fitsolver.reporting.fits_view import fits_view
from fitsolver.reporting.sections import WHOLE, parts_shown
from fitsolver.screening.pattern import pattern
from fitsolver.screening.screen import Bores, Screen
from fitsolver.usecases.counter import sets_of
from fitsolver.usecases.final_check import Final as FinalVerdicts
from fitsolver.usecases.final_check import final_check
from fitsolver.usecases.why import reasons
from tests.unit.reporting.answers import flat
from tests.unit.rules import small
from tests.unit.rules.small import PISTON, READ, RING, part

HEIGHT: Final = 3_400_000


@dataclass(frozen=True)
class Floor:
    """A fit at its floor. `skirt`, `gap`, `width` and `base` are what lies on it."""

    rule: RuleId
    windows: tuple[Window, ...] = ()
    said: str = ""
    checked: str = ""
    skirt: int = 6_195_500
    gap: int = 25_000
    width: int = 199_000
    base: int | None = None
    filed: int = 0

    def catalogue(self, off: int) -> Catalogue:
        """The parts; with `off` (ticks) the fit is so much worse."""
        skirt = self.skirt + off * (self.rule == "clearance")
        gap = self.gap - off * (self.rule == "end_gap")
        width = self.width + off * (self.rule == "side_clearance")
        ring = part(
            RING,
            gap=Range(low=gap, high=30_000),
            width=Range(low=198_000, high=width),
            file_most=self.filed,
        )
        piston = part(
            PISTON,
            skirt=Range(low=skirt - 50, high=skirt),
            compression_height=Range(low=HEIGHT, high=HEIGHT),
        )
        return small.catalogue(pistons=(piston,), rings=(ring,))

    def job(self, off: int, **more: Any) -> Job:
        base = self.base
        if base is not None:
            base -= off
        squish = None if base is None else Squish(base_low=base, base_high=base)
        bore = small.cylinder(squish=squish, **more)
        return small.job(*self.windows, cylinders=(bore,), routes=("as is",))


FLOORS: Final = {
    "clearance, no window": Floor(
        "clearance",
        said="the skirt is larger than the bore by 0.001 mm",
        checked="the clearance can be too small",
        skirt=READ,
    ),
    "clearance, upper edge only": Floor(
        "clearance",
        (Window(fit="clearance", high=900),),
        "the skirt is larger than the bore by 0.001 mm",
        "the clearance can be too small",
        skirt=READ,
    ),
    "clearance of a coated skirt": Floor(
        "clearance",
        (Window(fit="clearance", low=-200, high=900, guard=50),),
        "misses by",
        "the clearance can be too small",
        skirt=READ + 150,
    ),
    "end gap, no window": Floor(
        "end_gap",
        said="groove 1: the ends would meet",
        checked="the ends of the ring can meet",
        gap=1,
        filed=20_000,
    ),
    "end gap, upper edge only": Floor(
        "end_gap",
        (Window(fit="end_gap", high=40_000, guard=300),),
        "groove 1: the ends would meet",
        "the ends of the ring can meet",
        gap=1,
        filed=20_000,
    ),
    "end gap, an edge below the floor": Floor(
        "end_gap",
        (Window(fit="end_gap", low=-500, high=40_000),),
        "0.001 mm to file, none permitted of R",
        "the ends of the ring can meet",
        gap=1,
    ),
    "side clearance, no window": Floor(
        "side_clearance",
        said="groove 1: the ring is wider than its groove by 0.001 mm",
        checked="groove 1: side clearance",
        width=203_000,
    ),
    "side clearance, an edge below the floor": Floor(
        "side_clearance",
        (Window(fit="side_clearance", low=-500, high=90_000),),
        "groove 1: the ring is wider than its groove by 0.001 mm",
        "groove 1: side clearance",
        width=203_000,
    ),
    "squish, no window": Floor(
        "squish",
        said="the piston would touch the head",
        checked="the piston can touch the head",
        base=HEIGHT + 1,
    ),
    "squish, upper edge only": Floor(
        "squish",
        (Window(fit="squish", high=90_000),),
        "the piston would touch the head",
        "the piston can touch the head",
        base=HEIGHT + 1,
    ),
    "squish, an edge below the floor": Floor(
        "squish",
        (Window(fit="squish", low=-500, high=90_000),),
        "the piston would touch the head",
        "the piston can touch the head",
        base=HEIGHT + 1,
    ),
}
every_floor = pytest.mark.parametrize("floor", FLOORS.values(), ids=FLOORS)


@every_floor
def test_the_solver_keeps_it(floor: Floor) -> None:
    small.holds(floor.job(0), floor.catalogue(0))
    small.fails(floor.rule, floor.job(1), floor.catalogue(1))


@every_floor
def test_the_check_sees_it(floor: Floor) -> None:
    task, parts = floor.job(0), floor.catalogue(0)
    plan = small.holds(task, parts)
    assert violations(task, parts, plan) == ()
    found = violations(floor.job(1), floor.catalogue(1), plan)
    assert any(said.startswith(floor.rule) and floor.checked in said for said in found), found


@every_floor
def test_the_counter_says_it(floor: Floor) -> None:
    (kept,) = sets_of(floor.job(0), floor.catalogue(0))
    assert kept.holds, kept.verdicts
    (broken,) = sets_of(floor.job(1), floor.catalogue(1))
    assert [item.rule for item in broken.verdicts if not item.holds] == [floor.rule]
    (verdict,) = [item for item in broken.verdicts if not item.holds]
    assert floor.said in verdict.sentence
    if floor.windows == () and floor.rule != "side_clearance":
        assert verdict.margin == -1


@pytest.mark.parametrize("name", ["clearance, no window", "end gap, no window"])
def test_the_counters_report_says_it(name: str) -> None:
    from fitsolver.usecases.fits import sets_for

    floor = FLOORS[name]
    answer = sets_for(floor.job(1), floor.catalogue(1))
    said = flat(Group(*parts_shown(fits_view(answer, Figures("mm")), WHOLE, [])))
    assert floor.said in said


@pytest.mark.parametrize("name", [name for name, floor in FLOORS.items() if floor.base is None])
def test_screening_keeps_it(name: str) -> None:
    """But for the squish: a row of a table has none."""
    floor = FLOORS[name]
    sizes = np.array([READ], np.int64)
    rows = Bores(sizes, sizes, np.zeros(1, np.int64))
    for off in (0, 1):
        screen = Screen(pattern(floor.job(off), floor.catalogue(off)))
        found = screen.screen(rows, "iron")
        assert (screen.choices[found.choice[0]].piston == "P") is (off == 0)


def finished(floor: Floor, off: int) -> FinalVerdicts:
    """The final check, the gap and the skirt measured."""
    parts = floor.catalogue(off)
    (piston,), (ring,) = parts.pistons, parts.rings
    task = floor.job(
        off, piston="P", piston_size=piston.skirt.high, rings=(PinnedRing(groove=1, number="R"),)
    )
    held = InHand(number="R", gap=ring.gap.low, gap_bore=READ)
    return final_check(
        task.model_copy(update={"finishing": "already finished", "routes": (), "in_hand": (held,)}),
        parts,
    )


@every_floor
def test_the_final_check_fails_it(floor: Floor) -> None:
    [kept] = finished(floor, 0).cylinders
    assert kept.passes, kept.verdicts
    [broken] = finished(floor, 1).cylinders
    assert not broken.passes
    assert [fit.fit for fit in broken.fits if not fit.holds] == [floor.rule]
    if floor.rule in ("end_gap", "squish", "side_clearance"):
        (verdict,) = [item for item in broken.verdicts if not item.holds]
        assert verdict.rule == floor.rule


@pytest.mark.parametrize(
    ("name", "said"),
    [
        (
            "clearance, no window",
            "at least 0, whatever is asked; 61.999 to 62.001 mm is the skirt of",
        ),
        ("clearance, upper edge only", "the skirt is larger than the bore by 0.001 mm"),
        ("end gap, no window", "above 0 asked; 0.000 to"),
        ("end gap, upper edge only", "no lowest gap says how far to file, and the ends would meet"),
        ("squish, no window", "0.000 mm of gaskets or less lets P touch the head"),
    ],
)
def test_why_says_what_physics_forbids(name: str, said: str) -> None:
    floor = FLOORS[name]
    assert said in small.fails(floor.rule, floor.job(1), floor.catalogue(1))


def test_a_skirt_far_too_large_is_told_by_how_much() -> None:
    floor = FLOORS["clearance, no window"]
    said = small.fails("clearance", floor.job(0), floor.catalogue(22_500))
    assert "the skirt is larger than the bore by 0.225 mm" in said


def test_a_piston_in_hand_has_its_own_finish_at_clearance_zero() -> None:
    """The least finish of each skirt: where the tightest local size is the skirt itself."""
    skirt = Range(low=6_201_000, high=6_201_100)
    parts = small.catalogue(pistons=(part(PISTON, skirt=skirt),))
    plan = small.holds(small.job(finishing="piston in hand"), parts).cylinders[0]
    half = small.HONE.half_width
    assert (plan.finish_small, plan.finish_large) == (skirt.low + half, skirt.high + half)
    assert min(fit.least for fit in plan.fits if fit.fit == "clearance") == 0


def test_of_two_rings_the_one_whose_ends_do_not_overlap() -> None:
    """Under an end gap with a highest value only: one ring overlaps by 1.3 mm, one fits."""
    cheap = part(RING, number="R-1", gap=Range(low=-130_000, high=-125_000), price=0)
    dear = part(RING, number="R-2", price=9_900)
    window = Window(fit="end_gap", high=40_000)
    task = small.job(window, routes=("as is",))
    parts = small.catalogue(rings=(cheap, dear))
    plan = small.holds(task, parts)
    assert plan.cylinders[0].rings[0].number == "R-2"
    (best,) = sets_of(task, parts)
    assert (best.rings, best.holds) == (("R-2",), True)
    (alone,) = sets_of(task, small.catalogue(rings=(cheap,)))
    (said,) = [item.sentence for item in alone.verdicts if not item.holds]
    assert said == "groove 1: the ends would overlap by 1.300 mm"


def test_a_ring_in_a_smaller_bore_than_it_was_made_for_overlaps() -> None:
    """pi times 0.1 mm is 0.31416 mm, rounded to the side on which the ends meet."""
    gauge = READ + 10_000
    ring = part(RING, gauge_diameter=gauge, gap=Range(low=31_417, high=40_000))
    small.holds(small.job(routes=("as is",)), small.catalogue(rings=(ring,)))
    tight = part(ring, gap=Range(low=31_416, high=40_000))
    small.fails("end_gap", small.job(routes=("as is",)), small.catalogue(rings=(tight,)))


def test_gaskets_are_added_until_the_piston_clears_the_head() -> None:
    base = Squish(base_low=HEIGHT - 49_000, base_high=HEIGHT - 49_000)
    thin = Gasket(
        number="G-1",
        place="head",
        thickness=58_000,
        crush=10_000,
        compressed=Range(low=48_000, high=48_000),
        price=100,
        stock=4,
    )
    task = small.job(
        cylinders=(small.cylinder(squish=base),),
        gaskets=(GasketPlace(place="head", least=1, most=2),),
    )
    plan = small.holds(task, small.catalogue(gaskets=(thin,)))
    assert [(gasket.number, gasket.count) for gasket in plan.cylinders[0].gaskets] == [("G-1", 2)]
    (found,) = sets_of(task, small.catalogue(gaskets=(thin,)))
    assert found.gaskets == ("G-1", "G-1")


def test_a_piston_of_unknown_compression_height_needs_no_squish_where_none_is_asked() -> None:
    parts = small.catalogue(pistons=(part(PISTON, compression_height=None),))
    base = small.cylinder(squish=Squish(base_low=HEIGHT, base_high=HEIGHT))
    small.holds(small.job(cylinders=(base,)), parts)


@pytest.mark.parametrize(("gap", "serves"), [(1, True), (0, False)])
def test_a_service_limit_below_the_floor_lets_no_ends_meet(gap: int, serves: bool) -> None:
    ring = part(RING, gap=Range(low=gap, high=gap), file_most=0, stock=0)
    window = Window(fit="end_gap", low=20_000, service_low=-500, high=40_000)
    kept = InHand(number="R", kept=True)
    task = small.job(window, routes=("as is",), in_hand=(kept,))
    assert (small.plan_of(task, small.catalogue(rings=(ring,))) is not None) is serves


@pytest.mark.parametrize(("over", "serves"), [(0, True), (1, False)])
def test_a_kept_skirt_is_no_larger_than_its_bore(over: int, serves: bool) -> None:
    """The window has no lowest value for parts that are kept, and none for new ones."""
    skirt = Range(low=READ + over, high=READ + over)
    piston = part(PISTON, skirt=skirt, stock=0)
    window = Window(fit="clearance", high=200, service_high=900)
    kept = InHand(number="P", kept=True)
    task = small.job(window, routes=("as is",), in_hand=(kept,))
    assert (small.plan_of(task, small.catalogue(pistons=(piston,))) is not None) is serves


def suggested(task: Job, parts: Catalogue) -> list[str]:
    return [opening.sentence for opening in reasons(task, parts).openings]


@pytest.mark.parametrize(
    ("window", "off", "found"),
    [
        (Window(fit="clearance", low=400, high=900), 0, "lowest clearance 0.000 mm"),
        (Window(fit="clearance", low=400, service_low=100, high=900), 0, "clearance 0.000 mm"),
        (Window(fit="clearance", low=400, high=900), 1, ""),
        (Window(fit="clearance", low=-10, high=900), 11, ""),
    ],
)
def test_no_clearance_below_the_floor_is_suggested(window: Window, off: int, found: str) -> None:
    floor = Floor("clearance", (window,), skirt=READ)
    said = [item for item in suggested(floor.job(off), floor.catalogue(off)) if "lowest" in item]
    assert len(said) == bool(found)
    assert all(found in item for item in said)


@pytest.mark.parametrize(("gap", "found"), [(1, "lowest end gap 0.000 mm"), (0, "")])
def test_no_end_gap_below_the_floor_is_suggested(gap: int, found: str) -> None:
    floor = Floor("end_gap", (Window(fit="end_gap", low=20_000),), gap=gap)
    every = suggested(floor.job(0), floor.catalogue(0))
    said = [item for item in every if "lowest" in item and "both of these" not in item]
    assert len(said) == bool(found)
    assert all(found in item for item in said)


@pytest.mark.parametrize(("above", "found"), [(1, "lowest squish 0.000 mm"), (0, "")])
def test_no_squish_below_the_floor_is_suggested(above: int, found: str) -> None:
    floor = Floor("squish", (Window(fit="squish", low=20_000),), base=HEIGHT + above)
    said = [item for item in suggested(floor.job(0), floor.catalogue(0)) if "lowest" in item]
    assert len(said) == bool(found)
    assert all(found in item for item in said)


@pytest.mark.parametrize(("width", "found"), [(203_000, "clearance 0.000 mm"), (203_001, "")])
def test_no_side_clearance_below_the_floor_is_suggested(width: int, found: str) -> None:
    floor = Floor("side_clearance", (Window(fit="side_clearance", low=4_000),), width=width)
    said = [item for item in suggested(floor.job(0), floor.catalogue(0)) if "lowest" in item]
    assert len(said) == bool(found)
    assert all(found in item for item in said)
