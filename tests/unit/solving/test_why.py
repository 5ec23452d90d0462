"""`why` on the tiny job: what is in conflict, what opens it, why a plan is as it is."""

from __future__ import annotations

from fitsolver.records.job import Engine, Job, MassMatch, Terms
from fitsolver.records.why import WhyAnswer
from fitsolver.records.windows import Window
from fitsolver.service import reasons
from tests.unit.rules import small

CLEARANCE = Window(fit="clearance", low=4_000, high=5_399)  # LOW less the largest skirt, 4 900


def why(job: Job, **changes: object) -> WhyAnswer:
    return reasons(job, small.catalogue(**changes))


def by_kind(answer: WhyAnswer) -> dict[str, int]:
    return {opening.kind: opening.by for opening in answer.openings}


def test_a_clearance_one_tick_short() -> None:
    """HIGH less the smallest skirt is 5 400."""
    answer = why(small.job(CLEARANCE))
    assert answer.status == "nothing fits"
    assert [reason.rule for reason in answer.conflicts] == ["clean_up", "clearance"]
    found = by_kind(answer)
    assert found["window"] == 1
    assert found["piston"] == small.PISTON.skirt.low + 1
    assert all(opening.opens_job for opening in answer.openings)
    assert "0.05400 mm instead of 0.05399 mm" in answer.openings[0].sentence


def test_a_bore_limit_is_raised_to_the_tick() -> None:
    limit = small.HIGH - 37
    answer = why(small.job(engine=Engine(bore_limit=limit)))
    assert by_kind(answer)["bore limit"] == 37


def test_two_cylinders_that_fail_are_each_opened_not_the_job() -> None:
    both = (small.CYLINDER, small.cylinder(name="2"))
    answer = why(small.job(CLEARANCE, cylinders=both))
    assert {opening.cylinder for opening in answer.openings} == {"1", "2"}
    assert not any(opening.opens_job for opening in answer.openings)


def test_a_route_that_the_job_leaves_out() -> None:
    shallow = small.part(small.HONE, name="shallow", min_cut=400)
    answer = why(small.job(CLEARANCE), routes=(small.HONE, shallow))
    assert "the route 'shallow' allowed" in [opening.sentence for opening in answer.openings]


def test_money_and_days() -> None:
    priced = small.part(small.PISTON, stock=0, lead_days=9)
    cost = 5_000 + 900 + 2_000
    terms = Terms(budget=cost - 5)
    assert by_kind(why(small.job(terms=terms)))["budget"] == 5
    late = small.job(terms=Terms(needed_in_days=6))
    assert by_kind(why(late, pistons=(priced,)))["days"] == 3


def test_a_part_that_cannot_be_had() -> None:
    none = small.part(small.RING, stock=0)
    answer = why(small.job(), rings=(none,))
    assert [reason.rule for reason in answer.conflicts] == ["availability"]
    assert [opening.sentence for opening in answer.openings] == ["1 more piece of R to be had"]


def test_masses() -> None:
    """A piston of 200 g within half a gram either way: two differ by a gram at most."""
    both = (small.CYLINDER, small.cylinder(name="2"))
    match = MassMatch(cylinders=("1", "2"), limit=990)
    assert by_kind(why(small.job(cylinders=both, mass_match=(match,))))["mass"] == 10


def test_a_plan_tells_what_sets_its_size_and_what_other_rings_miss() -> None:
    wide = small.part(small.RING, number="W", width=small.Range(low=205_000, high=206_000))
    seat = Window(fit="end_gap", low=20_000, high=60_000)
    low = Window(fit="clearance", low=4_900, high=5_500)
    answer = why(small.job(low, seat), rings=(small.RING, wide))
    assert answer.status == "proven best"
    told = {choice.subject: choice for choice in answer.choices}
    assert told["finish"].rules == ("clean_up", "clearance")
    assert told["ring"].rules == ("side_clearance",)
    assert "no smaller size" in told["size"].sentence
    assert told["edge"].rules == ("clearance",)


def test_the_next_smaller_size_and_what_stops_it() -> None:
    under = small.part(
        small.PISTON,
        number="U",
        oversize=-1_000,
        nominal_bore=6_199_000,
        skirt=small.Range(low=6_195_000, high=6_195_100),
    )
    window = Window(fit="clearance", low=4_000, high=5_500)
    answer = why(small.job(window), pistons=(small.PISTON, under))
    [size] = [choice for choice in answer.choices if choice.subject == "size"]
    assert size.rules == ("clean_up", "clearance")
    assert "short by" in size.sentence
