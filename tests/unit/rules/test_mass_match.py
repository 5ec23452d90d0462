from fitsolver.records.job import Job, MassMatch

from . import small

PAIR = (small.CYLINDER, small.cylinder(name="2"))


def matched(limit: int) -> Job:
    return small.job(cylinders=PAIR, mass_match=(MassMatch(cylinders=("1", "2"), limit=limit),))


def test_both_tolerances_are_just_within() -> None:
    assert small.holds(matched(1_000)).mass_spreads == (1_000,)


def test_a_milligram_less_is_too_little() -> None:
    assert "1 g" in small.fails("mass_match", matched(999))


def test_a_piston_of_unknown_mass_is_refused() -> None:
    parts = small.catalogue(pistons=(small.part(small.PISTON, mass=None),))
    small.fails("mass_match", matched(10_000), parts)


def test_the_check_sees_it() -> None:
    parts = small.catalogue()
    plan = small.holds(matched(1_000), parts)
    assert not small.broken("mass_match", matched(1_000), parts, plan)
    assert small.broken("mass_match", matched(999), parts, plan)


KEPT = small.Case(matched(1_000), small.catalogue())
REFUSED = small.Case(matched(999), small.catalogue())
