import pytest

from fitsolver.records.windows import Window

from . import small


@pytest.mark.parametrize("finishing", ["set size", "piston in hand"])
def test_the_largest_clearance_is_just_permitted(finishing: str) -> None:
    window = Window(fit="clearance", high=small.HIGH - small.PISTON.skirt.low)
    plan = small.holds(small.job(window, finishing=finishing))
    assert plan.cylinders[0].fits[0].slack_high == 0


@pytest.mark.parametrize("finishing", ["set size", "piston in hand"])
def test_a_tick_less_is_too_little(finishing: str) -> None:
    window = Window(fit="clearance", high=small.HIGH - small.PISTON.skirt.low - 1)
    sentence = small.fails("clearance", small.job(window, finishing=finishing))
    assert "P" in sentence and "61.955" in sentence


def test_the_bore_grows_to_the_lowest_clearance() -> None:
    window = Window(fit="clearance", low=6_000)
    plan = small.holds(small.job(window))
    assert plan.cylinders[0].bore_low == small.PISTON.skirt.high + 6_000


def test_each_piston_has_its_own_finish_when_it_is_in_hand() -> None:
    window = Window(fit="clearance", low=6_000, high=6_400)
    small.fails("clearance", small.job(window))  # one size cannot serve both ends of the skirt
    plan = small.holds(small.job(window, finishing="piston in hand")).cylinders[0]
    assert plan.finish_large - plan.finish_small == 100


def test_a_guard_is_taken_off_both_sides() -> None:
    edges = {"low": 4_700, "high": 5_600}
    small.holds(small.job(Window(fit="clearance", **edges, guard=200)))
    small.fails("clearance", small.job(Window(fit="clearance", **edges, guard=201)))


def test_the_check_sees_it() -> None:
    task, parts = small.job(Window(fit="clearance", high=5_400)), small.catalogue()
    tight = small.job(Window(fit="clearance", high=5_399))
    plan = small.holds(task, parts)
    assert not small.broken("clearance", task, parts, plan)
    assert small.broken("clearance", tight, parts, plan)


KEPT = small.Case(small.job(Window(fit="clearance", high=6_000)), small.catalogue())
REFUSED = small.Case(small.job(Window(fit="clearance", high=4_000)), small.catalogue())
