from fitsolver.records.windows import Window

from . import small

ROOM = Window(fit="clearance", low=4_000, high=5_400)  # H = 62.009 exactly


def test_the_finish_that_just_cleans_up_is_taken() -> None:
    plan = small.holds(small.job(ROOM))
    assert plan.cylinders[0].finish_large == small.FINISH


def test_a_deeper_scratch_leaves_no_finish() -> None:
    task = small.job(ROOM, cylinders=(small.cylinder(scratch=251),))
    assert "62.007" in small.fails("clean_up", task)  # 62.00502 + 0.002, as shown


def test_a_scratch_is_not_left_in_a_bore_as_it_is() -> None:
    task = small.job(routes=("as is",), cylinders=(small.cylinder(scratch=1),))
    assert "scratch" in small.fails("clean_up", task)
    small.holds(small.job(routes=("as is",)))


def test_the_check_sees_it() -> None:
    task, parts = small.job(ROOM), small.catalogue()
    deeper = small.job(ROOM, cylinders=(small.cylinder(scratch=251),))
    plan = small.holds(task, parts)
    assert not small.broken("clean_up", task, parts, plan)
    assert small.broken("clean_up", deeper, parts, plan)


KEPT = small.Case(small.job(ROOM), small.catalogue())
REFUSED = small.Case(small.job(ROOM, cylinders=(small.cylinder(scratch=251),)), small.catalogue())
