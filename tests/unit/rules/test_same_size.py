from fitsolver.records.base import Range
from fitsolver.records.job import Job, SameSize
from fitsolver.records.windows import Window

from . import small

#: A second piston half a millimetre larger, for cylinder 2 whose bore is that much larger.
LARGE = small.part(
    small.PISTON,
    number="Q",
    oversize=50_000,
    nominal_bore=6_250_000,
    skirt=Range(low=6_245_500, high=6_245_600),
)
PARTS = small.catalogue(pistons=(small.PISTON, LARGE))


def pair(second: int, *, together: bool) -> Job:
    reading = small.CYLINDER.readings[0].model_copy(update={"size": second})
    return small.job(
        Window(fit="clearance", low=4_000, high=6_000),
        cylinders=(small.CYLINDER, small.cylinder(name="2", readings=(reading,))),
        same_size=(SameSize(cylinders=("1", "2")),) if together else (),
    )


def test_two_bores_of_one_size_take_one_oversize() -> None:
    plan = small.holds(pair(6_200_100, together=True), PARTS)
    assert {item.piston.number for item in plan.cylinders} == {"P"}


def test_two_bores_too_far_apart_do_not() -> None:
    assert len(small.holds(pair(6_250_000, together=False), PARTS).cylinders) == 2
    sentence = small.fails("same_size", pair(6_250_000, together=True), PARTS)
    assert "0.000 for cylinder 1; +0.500 for cylinder 2" in sentence


def test_the_check_sees_it() -> None:
    plan = small.holds(pair(6_250_000, together=False), PARTS)
    assert not small.broken("same_size", pair(6_250_000, together=False), PARTS, plan)
    assert small.broken("same_size", pair(6_250_000, together=True), PARTS, plan)


KEPT = small.Case(pair(6_250_000, together=False), PARTS)
REFUSED = small.Case(pair(6_250_000, together=True), PARTS)
