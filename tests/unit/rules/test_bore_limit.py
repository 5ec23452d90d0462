from . import small


def limited(limit: int) -> object:
    return small.job(cylinders=(small.cylinder(bore_limit=limit),))


def test_the_largest_local_size_is_just_within() -> None:
    plan = small.holds(limited(small.HIGH))
    assert plan.cylinders[0].left_to_limit == 0


def test_a_tick_less_is_too_little() -> None:
    assert "62.008" in small.fails("bore_limit", limited(small.HIGH - 1))  # 62.00899, shown down


def test_the_check_sees_it() -> None:
    parts = small.catalogue()
    plan = small.holds(limited(small.HIGH), parts)
    assert not small.broken("bore_limit", limited(small.HIGH), parts, plan)
    assert small.broken("bore_limit", limited(small.HIGH - 1), parts, plan)


KEPT = small.Case(limited(small.HIGH), small.catalogue())
REFUSED = small.Case(limited(small.READ - 1), small.catalogue())
