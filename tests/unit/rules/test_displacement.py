from fractions import Fraction

from fitsolver.records.job import Engine

from . import small

STROKE = 5_800_000
PI_HIGH = Fraction(3141592653589793238462643383280, 10**30)
#: pi/4 F^2 S of the finish size and one other bore, rounded up.
SIZE = -int(-(PI_HIGH / 4 * STROKE * (small.FINISH**2 + 6_200_000**2)) // 1)


def limited(limit: int) -> object:
    engine = Engine(stroke=STROKE, displacement_limit=limit, other_bores=(6_200_000,))
    return small.job(engine=engine)


def test_the_engine_is_just_within_its_class() -> None:
    assert small.holds(limited(SIZE)).displacement == SIZE


def test_a_hair_less_is_too_little() -> None:
    assert "permitted" in small.fails("displacement", limited(SIZE - 1))


def test_the_check_sees_it() -> None:
    parts = small.catalogue()
    plan = small.holds(limited(SIZE), parts)
    assert not small.broken("displacement", limited(SIZE), parts, plan)
    assert small.broken("displacement", limited(SIZE - 1), parts, plan)


KEPT = small.Case(limited(SIZE), small.catalogue())
REFUSED = small.Case(limited(SIZE - 1), small.catalogue())
