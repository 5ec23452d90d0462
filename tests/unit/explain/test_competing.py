"""Cylinders that compete for measured pistons: who is short, told by counting."""

from __future__ import annotations

from random import Random

import pytest

from fitsolver.base.lengths import TICKS_PER
from fitsolver.explain.competing import competition
from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Route
from fitsolver.records.job import InHand, Job
from fitsolver.records.windows import Window
from fitsolver.solving.possible import possible
from fitsolver.solving.problem import problem
from fitsolver.usecases.why import reasons
from tests.bench import competing

MM, UM = TICKS_PER["mm"], TICKS_PER["um"]
SENTENCE = (
    "2 needed, 1 there (P74 (piece 4), 73.964 mm), 1 left without: cylinders 3 and 4 (74.010 to "
    "74.011 mm) take pistons of 73.962 to 73.967 mm; one piston more of that size would serve one "
    "more of them"
)


def more_in_hand(job: Job, *sizes: int) -> Job:
    more = tuple(InHand(number="P74", size=size) for size in sizes)
    return job.model_copy(update={"in_hand": (*job.in_hand, *more)})


def test_two_cylinders_want_one_piston() -> None:
    """Bores 74.000, 74.001, 74.010, 74.011; pistons 73.954, 73.955, 73.953, 73.964."""
    told = reasons(competing.job(), competing.catalogue())
    assert [reason.sentence for reason in told.conflicts] == [SENTENCE]
    [opening] = told.openings
    assert (opening.kind, opening.by, opening.opens_job) == ("part", 1, True)
    assert opening.sentence == "piston more in hand: 1 x P74 of 73.962 to 73.967 mm"
    no_fit = decide(competing.job(), competing.catalogue()).no_fit
    assert no_fit is not None
    assert [reason.sentence for reason in no_fit.reasons] == [SENTENCE]


@pytest.mark.parametrize(
    ("size", "opens"), [(73_961.99, False), (73_962, True), (73_967, True), (73_967.01, False)]
)
def test_the_sizes_that_open_it_are_exact(size: float, opens: bool) -> None:
    job = more_in_hand(competing.job(), round(size * UM))
    assert (decide(job, competing.catalogue()).plan is not None) == opens


def test_several_pistons_are_asked_for_at_once() -> None:
    job = competing.job((0, 1, 10, 11, 12), (54, 55, 53, 64))
    told = reasons(job, competing.catalogue())
    [opening] = told.openings
    assert opening.by == 2
    assert opening.sentence.startswith("pistons more in hand: 1 x P74 of 73.9")


def test_windows_may_differ_from_cylinder_to_cylinder() -> None:
    """Cylinder 1 takes a wide range: its pieces enclose those of the others."""
    job = competing.job((10, 10, 10), (64, 64, 70))
    wide = Window(fit="clearance", low=30 * UM, high=60 * UM, source="invented")
    first = job.cylinders[0].model_copy(update={"windows": (wide,)})
    job = job.model_copy(update={"cylinders": (first, *job.cylinders[1:])})
    assert competition(problem(job, competing.catalogue())) is None
    assert decide(job, competing.catalogue()).plan is not None
    fewer = job.model_copy(update={"in_hand": (job.in_hand[0], job.in_hand[2])})
    found = competition(problem(fewer, competing.catalogue()))
    assert found is not None
    assert [few.cylinders for few in found.short] == [(1, 2)]


def test_a_piece_that_is_reserved_is_no_range_of_sizes() -> None:
    """Cylinder 2 may not have the middle piece: the pairing of any graph is used."""
    job = competing.job((10, 10, 10, 30), (63, 64, 65, 83))
    kept = job.in_hand[1].model_copy(update={"cylinder": "1"})
    job = job.model_copy(update={"in_hand": (job.in_hand[0], kept, *job.in_hand[2:])})
    assert competition(problem(job, competing.catalogue())) is None
    other = kept.model_copy(update={"cylinder": "4"})
    job = job.model_copy(update={"in_hand": (job.in_hand[0], other, *job.in_hand[2:])})
    found = competition(problem(job, competing.catalogue()))
    assert found is not None
    assert [few.cylinders for few in found.short] == [(0, 1, 2)]
    assert len(found.short[0].units) == 2


def test_what_can_be_ordered_is_never_short() -> None:
    parts = competing.catalogue()
    sold = parts.pistons[0].model_copy(
        update={
            "number": "P75",
            "price": 100,
            "lead_days": 3,
            "skirt": parts.pistons[0].skirt.model_copy(
                update={"low": 73 * MM + 964 * UM, "high": 73 * MM + 965 * UM}
            ),
        }
    )
    parts = parts.model_copy(update={"pistons": (*parts.pistons, sold)})
    assert decide(competing.job(), parts).plan is not None
    few = sold.model_copy(update={"lead_days": None, "stock": 1})
    parts = parts.model_copy(update={"pistons": (*parts.pistons[:1], few)})
    assert decide(competing.job(), parts).plan is not None
    none = few.model_copy(update={"stock": 0})
    parts = parts.model_copy(update={"pistons": (*parts.pistons[:1], none)})
    found = competition(problem(competing.job(), parts))
    assert found is not None


def test_bores_that_may_be_machined_are_told_without_sizes() -> None:
    hone = Route(name="hone", kind="finish hone", min_cut=0, max_cut=10 * UM, half_width=0)
    parts = competing.catalogue().model_copy(update={"routes": (hone,)})
    job = competing.job((10, 10), (64,)).model_copy(update={"finishing": "piston in hand"})
    told = reasons(job, parts)
    assert [reason.sentence for reason in told.conflicts] == [
        "2 needed, 1 to be had: cylinders 1 and 2 take no piston but P74 (piece 1)"
    ]


@pytest.mark.parametrize("seed", range(60))
def test_short_exactly_where_the_solver_finds_no_plan(seed: int) -> None:
    """Without rings and gaskets pistons are all there is to be short of."""
    dice = Random(seed)
    count = dice.randrange(2, 7)
    job = competing.job(
        [dice.randrange(12) for _ in range(count)],
        [54 + dice.randrange(12) for _ in range(dice.randrange(count, count + 3))],
    )
    if dice.random() < 0.5:
        held = [
            item.model_copy(update={"cylinder": str(dice.randrange(1, count + 1))})
            if dice.random() < 0.3
            else item
            for item in job.in_hand
        ]
        job = job.model_copy(update={"in_hand": tuple(held)})
    task = problem(job, competing.catalogue())
    alone = all(
        possible(problem(job.model_copy(update={"cylinders": (c,)}), competing.catalogue()))
        for c in job.cylinders
    )
    found = competition(task)
    assert (found is None) == (possible(task) or not alone)
    if found is not None:
        for few in found.short:
            names = {task.cylinders[at].name for at in few.cylinders}
            left = job.model_copy(
                update={"cylinders": tuple(c for c in job.cylinders if c.name in names)}
            )
            assert not possible(problem(left, competing.catalogue()))
            assert len(few.units) < len(few.cylinders)
