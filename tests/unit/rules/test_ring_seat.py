from fitsolver.records.base import Range
from fitsolver.records.windows import Window

from . import small

# made for a larger bore: without the wider gap its ends would overlap here
OVER = small.part(small.RING, gauge_diameter=6_210_000, gap=Range(low=60_000, high=65_000))
MOST = 6_210_000 - small.LOW
HELD = Window(fit="clearance", high=5_400)  # a larger bore would seat the ring


def test_the_ring_just_seats() -> None:
    parts = small.catalogue(rings=(small.part(OVER, seat_over=MOST),))
    small.holds(small.job(HELD), parts)


def test_a_tick_less_and_it_does_not() -> None:
    parts = small.catalogue(rings=(small.part(OVER, seat_over=MOST - 1),))
    assert "over a bore" in small.fails("ring_seat", small.job(HELD), parts)


def test_the_window_of_the_job_counts_too() -> None:
    parts = small.catalogue(rings=(OVER,))
    small.holds(small.job(HELD, Window(fit="ring_seat", high=MOST)), parts)
    small.fails("ring_seat", small.job(HELD, Window(fit="ring_seat", high=MOST - 1)), parts)
    least = 6_210_000 - small.HIGH
    small.holds(small.job(HELD, Window(fit="ring_seat", low=least)), parts)
    small.fails("ring_seat", small.job(HELD, Window(fit="ring_seat", low=least + 1)), parts)


def test_the_check_sees_it() -> None:
    task = small.job(HELD)
    parts = small.catalogue(rings=(small.part(OVER, seat_over=MOST),))
    plan = small.holds(task, parts)
    tight = small.catalogue(rings=(small.part(OVER, seat_over=MOST - 1),))
    assert not small.broken("ring_seat", task, parts, plan)
    assert small.broken("ring_seat", task, tight, plan)


KEPT = small.Case(
    small.job(HELD, Window(fit="ring_seat", high=MOST)), small.catalogue(rings=(OVER,))
)
REFUSED = small.Case(
    small.job(HELD, Window(fit="ring_seat", high=1_000)), small.catalogue(rings=(OVER,))
)
