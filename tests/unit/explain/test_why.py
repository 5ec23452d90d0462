"""`why` on the tiny job: what is in conflict, what opens it, why a plan is as it is."""

from __future__ import annotations

from fitsolver.fits.displacement import displacement
from fitsolver.reading.quantities import parse_volume
from fitsolver.records.base import Range
from fitsolver.records.job import (
    Engine,
    GasketPlace,
    InHand,
    Job,
    MassMatch,
    PinnedRing,
    SameSize,
    Squish,
    Terms,
)
from fitsolver.records.readings import Reading
from fitsolver.records.why import WhyAnswer
from fitsolver.records.windows import Window
from fitsolver.usecases.why import reasons
from tests.unit.explain.test_gauge_reasons import measuring
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
    assert "0.054 mm instead of 0.05399 mm" in answer.openings[0].sentence


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
        "together: cylinders 1, 2: the highest clearance 0.054 mm instead of 0.05399 mm"
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
    assert reason.sentence == (
        "0.900 to 0.930 mm asked; compression height of P ±0.020 mm leaves no room, whatever the "
        "gaskets: 0.010 mm too little"
    )


def test_a_joining_rule_has_its_figure_where_another_closes_the_job_as_well() -> None:
    """Too large for its class and, for all that, too dear: the first conflict tells by how much."""
    stroke = 5_000_000
    limit = displacement([small.FINISH], stroke) - 10**16
    engine = Engine(stroke=stroke, displacement_limit=limit)
    answer = why(small.job(engine=engine, terms=Terms(budget=1)))
    [reason] = answer.conflicts
    assert "is the budget" in reason.sentence or "permitted; " in reason.sentence
    assert reason.sentence.endswith("one of them fails too)")


def test_a_displacement_limit_is_raised_by_whole_cubic_millimetres() -> None:
    bore, stroke = small.FINISH, 5_000_000
    needed = displacement([bore], stroke)
    limit = needed - 5 * 10**15 - 1
    job = small.job(engine=Engine(stroke=stroke, displacement_limit=limit))
    [found] = [opening for opening in why(job).openings if opening.kind == "displacement"]
    assert found.by == 6
    typed = parse_volume(" ".join(found.sentence.split()[3:5]))
    assert 0 <= typed - (limit + 6 * 10**15) < 10**14  # as it stands it is enough, and hardly more
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
    assert "measuring allowance of 0.0080 mm on each side" in answer.conflicts[0].sentence
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
    assert " short with U, " in size.sentence


def test_a_ring_is_asked_for_where_bore_and_skirt_fit() -> None:
    """A gap of 0.25 to 0.30 at 62.300 is 0.664 mm wider by then in 62.009: too wide by 0.064."""
    wide = Window(fit="clearance", low=4_000, high=5_500)
    ends = Window(fit="end_gap", low=20_000, high=32_000)
    tight = small.part(small.RING, gauge_diameter=6_199_000)
    answer = why(small.job(wide, ends), rings=(tight,))
    found = {opening.kind: opening for opening in answer.openings}
    assert "piston" not in found
    ring = found["ring"]
    # 0.30 + pi (62.009 - D0) <= 0.32, so D0 is 62.00264 at least.
    assert ring.by == 6_200_264
    assert ring.sentence == (
        "a ring for groove 1 made for a bore of 62.040 mm, not in the catalogue, would serve: "
        "else like R; the smallest that does is made for 62.003 mm"
    )


def test_a_ring_of_the_catalogue_instead_of_the_one_that_is_pinned() -> None:
    ends = Window(fit="end_gap", low=20_000, high=40_000)
    tight = small.part(small.RING, number="T", gauge_diameter=6_190_000)
    pinned = small.cylinder(rings=(PinnedRing(groove=1, number="T"),))
    answer = why(small.job(ends, cylinders=(pinned,)), rings=(small.RING, tight))
    assert "R of the catalogue in groove 1 instead of T" in [o.sentence for o in answer.openings]
    assert "piston" not in by_kind(answer)


def test_no_piston_smaller_than_standard_is_asked_for() -> None:
    """A bore below standard: only a skirt 0.05 smaller would fit, so an oversize of -0.05."""
    bore = small.Reading(depth=1_000_000, angle=0, size=small.READ - 5_000)
    ends = Window(fit="clearance", low=4_000, high=5_500)
    task = small.job(ends, cylinders=(small.cylinder(readings=(bore,)),), routes=("as is",))
    answer = why(task)
    assert answer.status == "nothing fits"
    assert not any("an oversize of -" in opening.sentence for opening in answer.openings)


def test_two_things_that_fail_are_changed_as_a_pair() -> None:
    """The window is a tick short, as above, and the bore limit by 37: neither alone will do."""
    torn = (small.cylinder(scratch=250),)  # no more than the hone takes: nothing is left as it is
    limit = Engine(bore_limit=small.HIGH - 37)
    answer = why(small.job(CLEARANCE, engine=limit, cylinders=torn))
    pair = next(opening for opening in answer.openings if opening.kind == "pair")
    assert pair.opens_job
    assert "the highest clearance 0.054 mm instead of 0.05399 mm" in pair.sentence
    assert "a bore limit of 62.009 mm instead of 62.00863 mm" in pair.sentence
    assert not any(opening.kind in ("window", "bore limit") for opening in answer.openings)
    for clearance, less, fits in ((5_400, 0, True), (5_399, 0, False), (5_400, 1, False)):
        window = CLEARANCE.model_copy(update={"high": clearance})
        engine = Engine(bore_limit=small.HIGH - less)
        changed = why(small.job(window, engine=engine, cylinders=torn))
        assert (changed.status == "proven best") == fits


def test_a_measured_ring_that_two_grooves_need_is_named() -> None:
    two = (1, 2)
    grooves = tuple(
        small.Groove(number=n, width=small.Range(low=203_000, high=204_000)) for n in two
    )
    ring = small.part(small.RING, grooves=two, gauge_diameter=6_150_000)
    held = InHand(number="R", gap=25_000, gap_bore=6_200_000)
    answer = why(
        small.job(Window(fit="end_gap", low=20_000, high=40_000), in_hand=(held,)),
        pistons=(small.part(small.PISTON, grooves=grooves),),
        rings=(ring,),
    )
    [reason] = answer.conflicts
    assert reason.rule == "end_gap"
    assert "2 needed, in grooves 1 and 2; one there of piece 1 of R" in reason.sentence


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
