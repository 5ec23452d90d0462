from fitsolver.records.job import Engine

from . import small


def test_the_pin_fits() -> None:
    small.holds(small.job(engine=Engine(pin_diameter=1_600_000)))


def test_another_pin_does_not() -> None:
    task = small.job(engine=Engine(pin_diameter=1_600_001))
    assert "pin" in small.fails("compatibility", task)


def test_a_ring_is_no_deeper_than_its_groove() -> None:
    deep = small.catalogue(rings=(small.part(small.RING, radial_depth=290_000),))
    small.holds(small.job(), deep)
    deeper = small.catalogue(rings=(small.part(small.RING, radial_depth=290_001),))
    assert "deep" in small.fails("compatibility", small.job(), deeper)


def test_the_check_sees_it() -> None:
    task, parts = small.job(), small.catalogue()
    plan = small.holds(task, parts)
    other = small.job(engine=Engine(pin_diameter=1_600_001))
    assert not small.broken("compatibility", task, parts, plan)
    assert small.broken("compatibility", other, parts, plan)


KEPT = small.Case(small.job(), small.catalogue())
REFUSED = small.Case(small.job(engine=Engine(pin_diameter=1_600_001)), small.catalogue())
