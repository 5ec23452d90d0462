"""Sizes that fit but cannot be had: named first by `pick`, where nothing fits, and by `why`."""

from __future__ import annotations

from random import Random

from fitsolver.choices.candidates import shelf
from fitsolver.choices.options import choices
from fitsolver.explain.passed_over import _least_by_size
from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Kit, KitItem, Piston
from fitsolver.records.job import InHand, Job, SameSize
from fitsolver.records.readings import Reading
from fitsolver.records.windows import Window
from fitsolver.usecases.why import reasons
from tests.oracle.dice import THEMES, Dice
from tests.oracle.generate import draw_case
from tests.unit.rules import small

NONE = {"stock": 0, "lead_days": None}
WINDOW = Window(fit="clearance", low=4_000, high=5_500)


def piston(oversize: int, **changes: object) -> Piston:
    skirt = small.PISTON.skirt
    size = small.Range(low=skirt.low + oversize, high=skirt.high + oversize)
    return small.part(
        small.PISTON,
        number=f"P{oversize // 1_000}",
        oversize=oversize,
        nominal_bore=6_200_000 + oversize,
        skirt=size,
        **changes,
    )


SMALL, LARGE = piston(1_000, **NONE), piston(3_000)
HONE = small.part(small.HONE, max_cut=9_000)


def job(**changes: object) -> Job:
    """A bore that wants +0.010 (its clearance 0.04 to 0.055 over a skirt of 61.965)."""
    return small.job(WINDOW, **changes)


def test_the_answer_leads_with_a_size_that_cannot_be_had() -> None:
    """62.009 to 62.013 over +0.010, finish 62.012 at most: 0.012 removed at least by clean-up."""
    parts = small.catalogue(pistons=(SMALL, LARGE), routes=(HONE,))
    answer = decide(job(), parts)
    assert answer.plan is not None
    assert answer.plan.cylinders[0].piston.number == "P3"
    assert answer.passed_over[0] == (
        "+0.010 mm fits cylinder 1, 0.008 mm removed; P1: none in stock, no lead time given; "
        "+0.030 mm was picked instead"
    )
    had = decide(job(), small.catalogue(pistons=(piston(1_000), LARGE), routes=(HONE,)))
    assert had.plan is not None
    removal = had.plan.cylinders[0].removal
    assert removal == 800  # the figure in the sentence is what a plan with the size takes
    assert "+0.010 mm fits" not in " ".join(had.passed_over)


def test_why_says_so_before_anything_else_of_the_size() -> None:
    parts = small.catalogue(pistons=(SMALL, LARGE), routes=(HONE,))
    choices = reasons(job(), parts).choices
    assert choices[0].subject == "size"
    assert choices[0].rules == ("availability",)
    assert choices[0].sentence.endswith("P1: none in stock, no lead time given")
    assert not any("not together" in choice.sentence for choice in choices)


def test_nothing_fits_for_want_of_the_part() -> None:
    parts = small.catalogue(pistons=(SMALL,), routes=(HONE,))
    answer = decide(job(), parts)
    assert answer.no_fit is not None
    expected = "+0.010 mm fits cylinder 1, 0.008 mm removed; P1: none in stock, no lead time"
    assert answer.no_fit.reasons[0].sentence.startswith(expected)
    assert reasons(job(), parts).conflicts[0].sentence.startswith(expected)


def test_a_part_that_is_not_sold_and_one_that_a_kit_brings() -> None:
    bare = piston(1_000, price=None, stock=0)
    alone = decide(job(), small.catalogue(pistons=(bare, LARGE), routes=(HONE,)))
    assert "P1: not sold; +0.030 mm was picked instead" in alone.passed_over[0]
    kit = Kit(number="K", price=9_000, stock=1, contents=(KitItem(number="P1", count=1),))
    answer = decide(job(), small.catalogue(pistons=(bare, LARGE), kits=(kit,), routes=(HONE,)))
    assert answer.plan is not None
    assert answer.plan.cylinders[0].piston.number == "P1"
    assert "+0.010 mm fits" not in " ".join(answer.passed_over)


def test_a_ring_that_cannot_be_had_is_the_one_that_is_named() -> None:
    """The ring left needs a bore of 62.024; the one for this bore is out of stock."""
    ends = Window(fit="end_gap", low=20_000, high=32_000)
    gap = small.Range(low=25_000, high=27_000)
    near = small.part(small.RING, gap=gap, file_most=0, **NONE)
    far = small.part(small.RING, number="F", gauge_diameter=6_204_000, gap=gap, file_most=0)
    parts = small.catalogue(pistons=(piston(1_000), LARGE), rings=(near, far), routes=(HONE,))
    answer = decide(small.job(WINDOW, ends), parts)
    assert answer.plan is not None
    assert answer.plan.cylinders[0].piston.number == "P3"
    assert "+0.010 mm fits cylinder 1, 0.008 mm removed; R: none in stock" in answer.passed_over[0]


def test_one_piece_for_a_set_of_two() -> None:
    both = (small.CYLINDER, small.cylinder(name="2"))
    task = job(cylinders=both, same_size=(SameSize(cylinders=("1", "2")),))
    one = piston(1_000, stock=1, lead_days=None)
    answer = decide(task, small.catalogue(pistons=(one, LARGE), routes=(HONE,)))
    assert answer.passed_over[0] == (
        "+0.010 mm fits cylinders 1 and 2, 0.008 mm removed; P1: 1 to be had, no lead time "
        "given, 2 needed; +0.030 mm was picked instead"
    )


def test_one_piece_that_another_cylinder_took() -> None:
    both = (small.CYLINDER, small.cylinder(name="2"))
    one = piston(1_000, stock=1, lead_days=None)
    parts = small.catalogue(pistons=(one, LARGE), routes=(HONE,))
    [said] = decide(job(cylinders=both), parts).passed_over
    assert "P1: 1 to be had, no lead time given, all taken by another cylinder" in said


def test_a_measured_piece_that_two_cylinders_need_is_named() -> None:
    both = (small.CYLINDER, small.cylinder(name="2"))
    held = InHand(number="P1", size=SMALL.skirt.low)
    task = job(cylinders=both, in_hand=(held,))
    parts = small.catalogue(pistons=(SMALL,), routes=(HONE,))
    [reason] = reasons(task, parts).conflicts
    assert (
        "2 needed, 1 to be had: cylinders 1 and 2 take no piston but P1 (piece 1)"
        in reason.sentence
    )
    assert decide(task, parts).no_fit is not None
    assert [o.sentence for o in reasons(task, parts).openings] == ["1 more piece of P1 in hand"]


def test_a_size_that_needs_a_restored_bore_is_told_so() -> None:
    """Worn to 62.020, the small size fits only a sleeve of 61.990."""
    worn = small.cylinder(readings=(Reading(depth=1_000_000, angle=0, size=6_202_000),))
    sleeve = small.part(
        small.HONE, name="sleeve", kind="restore", restored_bore=6_199_000, max_cut=9_000
    )
    task = job(cylinders=(worn,), routes=("hone", "sleeve"))
    parts = small.catalogue(pistons=(piston(1_000), LARGE), routes=(HONE, sleeve))
    answer = reasons(task, parts)
    size = answer.choices[0]
    assert "does not fit" in size.sentence
    assert size.sentence.endswith("it would fit only in a sleeved or re-plated bore ('sleeve')")


def test_the_scratch_is_named_where_it_stops_a_size_and_sets_the_finish() -> None:
    torn = small.cylinder(scratch=1_250)
    parts = small.catalogue(pistons=(piston(1_000), LARGE), routes=(HONE,))
    choices = reasons(job(cylinders=(torn,)), parts).choices
    said = {choice.subject: choice.sentence for choice in choices}
    assert "a scratch 0.0125 mm deep takes twice its depth" in said["size"]
    assert "without the scratch, 0.0125 mm deep, it would fit" in said["size"]
    few = small.catalogue(pistons=(piston(1_000),), routes=(HONE,))
    answer = decide(job(cylinders=(torn,)), few)
    assert answer.no_fit is not None
    assert any("a scratch 0.0125 mm deep" in each.sentence for each in answer.no_fit.reasons)


def test_a_catalogue_without_a_route_that_cuts() -> None:
    parts = small.catalogue(pistons=(LARGE,), routes=())
    task = job(routes=())
    answer = decide(task, parts)
    assert answer.no_fit is not None
    first = answer.no_fit.reasons[0]
    assert first.sentence.startswith("no work that takes metal is in this catalogue: ")
    assert reasons(task, parts).conflicts[0] == first
    assert not any("sleeving" in way for way in answer.no_fit.ways_left)


def test_a_pinned_route_that_the_job_does_not_list() -> None:
    other = small.part(small.HONE, name="bore")
    task = job(cylinders=(small.cylinder(route="bore"),))
    parts = small.catalogue(routes=(HONE, other))
    [reason] = reasons(task, parts).conflicts
    assert reason.sentence == (
        "the cylinder is to be done by 'bore', which is not among the work that the job lists "
        "('hone')"
    )


def test_no_size_that_takes_less_than_planned_is_left_aside() -> None:
    """Drawn jobs of every theme: the sizes looked at are those that a look at all of them finds."""
    dice, less = Random(5), 0
    for name in THEMES:
        for _ in range(25):
            drawn, catalogue = draw_case(THEMES[name], dice.randbytes(Dice.SIZE))
            for state in choices(drawn, catalogue, shelf(drawn, catalogue)):
                whole = _least_by_size(state, None)
                for planned in sorted(set(whole.values())):
                    near = _least_by_size(state, planned)
                    wanted = {size: least for size, least in whole.items() if least < planned}
                    assert {
                        size: least for size, least in near.items() if least < planned
                    } == wanted
                    less += len(wanted)
    assert less > 100
