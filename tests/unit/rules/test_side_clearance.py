from fitsolver.records.base import Range
from fitsolver.records.windows import Window

from . import small


def test_least_and_most_are_just_permitted() -> None:
    small.holds(small.job(Window(fit="side_clearance", low=4_000, high=6_000)))


def test_a_tick_beyond_is_not() -> None:
    task = small.job(Window(fit="side_clearance", low=4_001, high=6_000))
    assert "0.040 to 0.060 mm with R" in small.fails("side_clearance", task)
    small.fails("side_clearance", small.job(Window(fit="side_clearance", high=5_999)))


def test_without_a_window_the_ring_must_go_in() -> None:
    tight = small.part(small.RING, width=Range(low=202_000, high=203_000))
    small.holds(small.job(), small.catalogue(rings=(tight,)))
    tighter = small.part(small.RING, width=Range(low=202_000, high=203_001))
    small.fails("side_clearance", small.job(), small.catalogue(rings=(tighter,)))


def test_the_check_sees_it() -> None:
    task, parts = small.job(Window(fit="side_clearance", low=4_000)), small.catalogue()
    plan = small.holds(task, parts)
    tight = small.job(Window(fit="side_clearance", low=4_001))
    assert not small.broken("side_clearance", task, parts, plan)
    assert small.broken("side_clearance", tight, parts, plan)


KEPT = small.Case(small.job(Window(fit="side_clearance", low=4_000)), small.catalogue())
REFUSED = small.Case(small.job(Window(fit="side_clearance", low=4_001)), small.catalogue())
