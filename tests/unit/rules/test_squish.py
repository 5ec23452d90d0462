from . import small

# base 34.5 - compression height 34.0 + gasket 0.49 to 0.51 = 0.99 to 1.01 mm


def test_the_stack_lands_on_both_edges() -> None:
    plan = small.holds(small.squished(99_000, 101_000))
    assert plan.cylinders[0].gaskets[0].number == "G"


def test_a_tick_less_room_and_no_stack_does() -> None:
    assert "of compressed gaskets asked" in small.fails("squish", small.squished(99_001, 101_000))
    small.fails("squish", small.squished(99_000, 100_999))


def test_a_piston_of_unknown_compression_height_is_refused() -> None:
    parts = small.catalogue(pistons=(small.part(small.PISTON, compression_height=None),))
    sentence = small.fails("squish", small.squished(99_000, 101_000), parts)
    assert "compression height" in sentence


def test_the_check_sees_it() -> None:
    task, parts = small.squished(99_000, 101_000), small.catalogue()
    plan = small.holds(task, parts)
    assert not small.broken("squish", task, parts, plan)
    assert small.broken("squish", small.squished(99_001, 101_000), parts, plan)


KEPT = small.Case(small.squished(99_000, 101_000), small.catalogue())
REFUSED = small.Case(small.squished(99_001, 101_000), small.catalogue())
