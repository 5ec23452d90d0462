from fitsolver.records.readings import Reading
from fitsolver.records.windows import Window

from . import small

OVAL = small.cylinder(
    readings=(
        Reading(depth=1_000_000, angle=0, size=6_200_800),
        Reading(depth=1_000_000, angle=90, size=6_200_000),
        Reading(depth=5_000_000, angle=0, size=6_200_300),
    )
)
LEFT = {"routes": ("as is",), "cylinders": (OVAL,)}


def test_out_of_round_and_taper_just_permitted() -> None:
    windows = Window(fit="out_of_round", high=800), Window(fit="taper", high=500)
    small.holds(small.job(*windows, **LEFT))


def test_a_tick_more_is_not() -> None:
    task = small.job(Window(fit="out_of_round", high=799), **LEFT)
    assert "out-of-round" in small.fails("form", task)
    assert "taper" in small.fails("form", small.job(Window(fit="taper", high=499), **LEFT))


def test_a_machined_bore_has_the_form_of_its_route() -> None:
    small.holds(small.job(Window(fit="out_of_round", high=0), cylinders=(OVAL,)))


def test_the_check_sees_it() -> None:
    task, parts = small.job(Window(fit="taper", high=500), **LEFT), small.catalogue()
    plan = small.holds(task, parts)
    assert not small.broken("form", task, parts, plan)
    assert small.broken("form", small.job(Window(fit="taper", high=499), **LEFT), parts, plan)


KEPT = small.Case(small.job(Window(fit="out_of_round", high=800), **LEFT), small.catalogue())
REFUSED = small.Case(small.job(Window(fit="out_of_round", high=799), **LEFT), small.catalogue())
