from . import small


def test_the_largest_cut_is_just_enough() -> None:
    parts = small.catalogue(routes=(small.part(small.HONE, max_cut=700),))
    assert small.holds(small.job(), parts).cylinders[0].removal == 700


def test_a_tick_less_is_not() -> None:
    parts = small.catalogue(routes=(small.part(small.HONE, max_cut=699),))
    assert "0.007 mm at most with hone" in small.fails("route_cut", small.job(), parts)


def test_a_route_is_for_its_materials() -> None:
    parts = small.catalogue(routes=(small.part(small.HONE, materials=("steel",)),))
    assert "iron" in small.fails("route_cut", small.job(), parts)
    task = small.job(cylinders=(small.cylinder(material="steel"),))
    small.holds(task, parts)
    small.holds(small.job(cylinders=(small.cylinder(material="Steel"),)), parts)


def test_the_check_sees_it() -> None:
    task, parts = small.job(), small.catalogue()
    plan = small.holds(task, parts)
    short = small.catalogue(routes=(small.part(small.HONE, max_cut=699),))
    assert not small.broken("route_cut", task, parts, plan)
    assert small.broken("route_cut", task, short, plan)


KEPT = small.Case(small.job(), small.catalogue())
REFUSED = small.Case(small.job(), small.catalogue(routes=(small.part(small.HONE, max_cut=699),)))
