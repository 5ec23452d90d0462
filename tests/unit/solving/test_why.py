"""`why` on the tiny job: what is in conflict, what opens it, why a plan is as it is."""

from __future__ import annotations

from fitsolver.fits.displacement import displacement
from fitsolver.records.base import Range
from fitsolver.records.job import Engine, GasketPlace, Job, MassMatch, SameSize, Squish, Terms
from fitsolver.records.readings import Reading
from fitsolver.records.why import WhyAnswer
from fitsolver.records.windows import Window
from fitsolver.service import reasons
from tests.unit.rules import small
from tests.unit.solving.test_gauge_reasons import measuring

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


def test_two_cylinders_that_fail_are_each_opened_and_both_together_open_the_job() -> None:
    both = (small.CYLINDER, small.cylinder(name="2"))
    answer = why(small.job(CLEARANCE, cylinders=both))
    own = [opening for opening in answer.openings if opening.cylinder]
    assert {opening.cylinder for opening in own} == {"1", "2"}
    assert not any(opening.opens_job for opening in own)
    several, *more = (opening for opening in answer.openings if not opening.cylinder)
    assert (several.kind, several.by, several.opens_job) == ("several", 2, True)
    assert several.sentence == (
        "together: cylinders 1, 2: the highest clearance 0.05400 mm instead of 0.05399 mm"
    )
    assert {(each.kind, each.opens_job) for each in more} == {("several", True)}
    assert any("a piston of size" in each.sentence for each in more)


def test_no_lowest_end_gap_below_zero_is_named() -> None:
    """Only a ring whose ends overlap after all its filing would keep the highest gap."""
    large = small.part(small.RING, gauge_diameter=6_220_000, file_most=1_000)
    answer = why(small.job(Window(fit="end_gap", low=20_000, high=40_000)), rings=(large,))
    assert answer.status == "nothing fits"
    assert not any("lowest" in opening.sentence for opening in answer.openings)


def test_a_squish_window_that_is_narrower_than_the_pistons_tolerance() -> None:
    high = small.Range(low=3_398_000, high=3_402_000)
    job = small.job(
        Window(fit="squish", low=90_000, high=93_000),
        cylinders=(small.cylinder(squish=Squish(base_low=3_440_000, base_high=3_440_000)),),
        gaskets=(GasketPlace(place="head"),),
    )
    answer = why(job, pistons=(small.part(small.PISTON, compression_height=high),))
    [reason] = answer.conflicts
    assert "narrower than what the squish over P varies by" in reason.sentence


def test_a_joining_rule_has_its_figure_where_another_closes_the_job_as_well() -> None:
    """Too large for its class and, for all that, too dear: the first conflict tells by how much."""
    stroke = 5_000_000
    limit = displacement([small.FINISH], stroke) - 10**16
    engine = Engine(stroke=stroke, displacement_limit=limit)
    answer = why(small.job(engine=engine, terms=Terms(budget=1)))
    [reason] = answer.conflicts
    assert "over by" in reason.sentence or "comes to" in reason.sentence
    assert reason.sentence.endswith("one of them fails too)")


def test_a_displacement_limit_is_raised_by_whole_cubic_millimetres() -> None:
    bore, stroke = small.FINISH, 5_000_000
    needed = displacement([bore], stroke)
    limit = needed - 5 * 10**15 - 1
    job = small.job(engine=Engine(stroke=stroke, displacement_limit=limit))
    [found] = [opening for opening in why(job).openings if opening.kind == "displacement"]
    assert found.by == 6
    for more, fits in ((6, True), (5, False)):
        engine = Engine(stroke=stroke, displacement_limit=limit + more * 10**15)
        assert (why(small.job(engine=engine)).status == "proven best") == fits


def test_a_set_of_one_size_that_one_cylinder_must_leave() -> None:
    names = ("1", "2", "3")
    larger = small.part(
        small.PISTON,
        number="L",
        oversize=small.PISTON.oversize + 1_000,
        skirt=small.Range(low=small.PISTON.skirt.low + 1_000, high=small.PISTON.skirt.high + 1_000),
    )
    wide = Window(fit="clearance", low=4_000, high=5_400)
    pinned = small.cylinder(name="3", piston="L")
    cylinders = (small.CYLINDER, small.cylinder(name="2", piston="P"), pinned)
    job = small.job(wide, cylinders=cylinders, same_size=(SameSize(cylinders=names),))
    answer = why(job, pistons=(small.PISTON, larger))
    assert "same_size" in [reason.rule for reason in answer.conflicts]
    found = [opening.sentence for opening in answer.openings if opening.kind == "same size"]
    assert "cylinder 3 left out of the set of one size (1, 2, 3)" in found


def test_a_route_that_the_job_leaves_out() -> None:
    shallow = small.part(small.HONE, name="shallow", min_cut=400)
    answer = why(small.job(CLEARANCE), routes=(small.HONE, shallow))
    assert "the route 'shallow' allowed" in [opening.sentence for opening in answer.openings]


def shared(offered: tuple[int, ...], bases: tuple[int, int], **window: int) -> WhyAnswer:
    """Two cylinders of other deck heights under one gasket; squish is the base + it - 34 mm."""
    names = zip(("1", "2"), bases, strict=True)
    cylinders = tuple(
        small.cylinder(name=name, squish=Squish(base_low=base, base_high=base))
        for name, base in names
    )
    gaskets = tuple(
        small.part(small.GASKET, number=f"G{thick}", compressed=small.Range(low=thick, high=thick))
        for thick in offered
    )
    job = small.job(
        Window(fit="squish", **window),
        cylinders=cylinders,
        gaskets=(GasketPlace(place="head", shared=True),),
    )
    return why(job, gaskets=gaskets)


def test_a_shared_stack_names_the_gasket_and_the_window_that_would_do() -> None:
    """Squish of 0.9 to 1.1 asks for 0.40 to 0.60 mm and for 0.45 to 0.65: 0.45 is the thinnest."""
    answer = shared((40_000, 61_000), (3_450_000, 3_445_000), low=90_000, high=110_000)
    assert [reason.rule for reason in answer.conflicts] == ["squish"]
    found = {(opening.kind, opening.by) for opening in answer.openings}
    assert ("gasket", 45_000) in found
    assert ("window", 1_000) in found  # the thick one, 0.61, is 0.01 too much for the first
    assert ("window", 5_000) in found  # the thin one is 0.05 too little for the second
    assert all(opening.opens_job for opening in answer.openings)


def test_one_more_gasket_of_a_shared_stack() -> None:
    """Two of 0.23 make 0.46."""
    answer = shared((23_000, 40_000, 61_000), (3_450_000, 3_445_000), low=90_000, high=110_000)
    assert ("stack", 1) in {(opening.kind, opening.by) for opening in answer.openings}


def test_a_gauge_that_closes_the_window_is_named_with_what_would_do() -> None:
    window = Window(fit="clearance", low=4_500, high=5_800)
    answer = reasons(small.job(window, measuring=measuring(800)), small.catalogue())
    assert "guard of 0.0080 mm on each side" in answer.conflicts[0].sentence
    gauge = answer.openings[0]
    assert (gauge.kind, gauge.measure) == ("gauge", "percent")
    assert f"at most {100 - gauge.by}% of the uncertainty" in gauge.sentence
    for left, fits in ((100 - gauge.by, True), (101 - gauge.by, False)):
        better = small.job(window, measuring=measuring(800 * left // 100))
        assert (reasons(better, small.catalogue()).status == "proven best") == fits


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
    assert [opening.sentence for opening in answer.openings] == ["1 more piece of R in hand"]


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


def test_a_piston_with_rings_of_its_own_is_found_although_larger_rings_would_overlap() -> None:
    """Without a lowest end gap and a lowest clearance physics bounds both from below.

    The bore comes to 62.105 to 62.109 mm. The gap of 0.16 mm at most is 0.20 there for rings made
    9 627 ticks larger: (20 000 - 16 000) / pi is 1 273.2 ticks. Made 15 275 larger their ends
    would meet, and 14 901 larger the skirt would be larger than the bore.
    """
    ring = small.part(small.RING, gap=Range(low=15_000, high=16_000), file_most=0)
    bore = small.cylinder(readings=(Reading(depth=1_000_000, angle=0, size=6_210_000),))
    windows = Window(fit="clearance", high=9_000), Window(fit="end_gap", high=20_000)
    answer = why(small.job(*windows, cylinders=(bore,)), rings=(ring,))
    assert by_kind(answer)["piston"] == small.PISTON.skirt.low + 9_627
