import pytest

from fitsolver.records.base import Range
from fitsolver.records.windows import Window
from fitsolver.solving.build import POSTS

from . import small

WIDEST = 30_000 + 2_828  # pi x 900 ticks is 2827.43, rounded up
TIGHTEST = 25_000 + 1_570  # pi x 500 ticks is 1570.80, rounded down


def test_the_widest_gap_is_just_permitted() -> None:
    small.holds(small.job(Window(fit="end_gap", high=WIDEST)))


def test_a_tick_wider_is_not() -> None:
    task = small.job(Window(fit="end_gap", high=WIDEST - 1))
    assert "is the gap of R" in small.fails("end_gap", task)


def test_a_tight_gap_is_filed_to_the_window() -> None:
    plan = small.holds(small.job(Window(fit="end_gap", low=TIGHTEST + 20_000)))
    assert plan.cylinders[0].rings[0].filing == 20_000


def test_a_ring_is_not_filed_further_than_it_may_be() -> None:
    # a larger bore would open the gap, so the bore is held where it cleans up
    edges = Window(fit="end_gap", low=TIGHTEST + 20_001), Window(fit="clearance", high=5_400)
    assert "may be filed by 0.200 mm" in small.fails("end_gap", small.job(*edges))


def test_a_ring_that_must_not_be_filed_is_not() -> None:
    parts = small.catalogue(rings=(small.part(small.RING, file_most=0),))
    edges = Window(fit="clearance", high=5_400)
    small.holds(small.job(Window(fit="end_gap", low=TIGHTEST), edges), parts)
    task = small.job(Window(fit="end_gap", low=TIGHTEST + 1), edges)
    assert "may not be filed" in small.fails("end_gap", task, parts)


def test_a_ring_a_size_over_is_filed_to_fit() -> None:
    over = small.part(
        small.RING, number="S", gauge_diameter=6_205_000, gap=Range(low=25_000, high=30_000)
    )
    parts = small.catalogue(rings=(small.RING, over))
    plan = small.holds(small.job(Window(fit="end_gap", low=20_000, high=32_000)), parts)
    assert plan.cylinders[0].rings[0].number == "S"
    assert plan.cylinders[0].rings[0].filing > 0


def test_the_check_sees_it() -> None:
    task, parts = small.job(Window(fit="end_gap", high=WIDEST)), small.catalogue()
    plan = small.holds(task, parts)
    assert not small.broken("end_gap", task, parts, plan)
    assert small.broken("end_gap", small.job(Window(fit="end_gap", high=WIDEST - 1)), parts, plan)


def test_what_is_filed_is_posted(monkeypatch: pytest.MonkeyPatch) -> None:
    task = small.job(Window(fit="end_gap", low=30_000, high=40_000))
    assert small.holds(task).cylinders[0].rings[0].filing > 0
    monkeypatch.delitem(POSTS, "end_gap")
    with pytest.raises((AssertionError, KeyError)):
        small.holds(task)


KEPT = small.Case(small.job(Window(fit="end_gap", high=WIDEST)), small.catalogue())
REFUSED = small.Case(small.job(Window(fit="end_gap", high=20_000)), small.catalogue())
