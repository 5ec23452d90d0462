"""The plans that come next: what counts as another plan, where they end, and the front."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from fitsolver.base.deadline import Clock
from fitsolver.base.errors import CheckError, InputError
from fitsolver.metrology.measured import Measured
from fitsolver.picking.next_best import next_best
from fitsolver.records.alternatives import AlternativesAnswer
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import GasketPlace, InHand, Job
from fitsolver.solving import alternatives as ranking
from fitsolver.solving.alternatives import ranked
from fitsolver.solving.front import front
from fitsolver.solving.problem import problem
from fitsolver.usecases.files import alternatives, pick

from ..rules import small

DEMO = Path(__file__).parents[3] / "catalogs_demo"
PUMP = DEMO / "pump" / "job.toml"


def answer_of(job: Job, parts: Catalogue, count: int = 20, *, edge: bool = False) -> Any:
    return next_best(Measured(job, job), parts, count, Clock(), with_front=edge)


def prices(answer: AlternativesAnswer) -> list[int]:
    return [plan.totals.price for plan in answer.plans]


def test_one_way_to_do_it_is_one_plan() -> None:
    answer = answer_of(small.job(), small.catalogue())
    assert answer.status == "proven best"
    assert answer.complete
    assert len(answer.plans) == 1
    [plan] = answer.plans
    assert plan.changes == ()
    assert not any(plan.against_best.model_dump().values())


def test_each_costs_more_than_the_one_before() -> None:
    rings = tuple(small.part(small.RING, number=f"R{n}", price=900 + 10 * n) for n in (3, 1, 2))
    answer = answer_of(small.job(), small.catalogue(rings=rings))
    assert prices(answer) == [7_910, 7_920, 7_930]
    assert [plan.against_best.price for plan in answer.plans] == [0, 10, 20]
    assert [[(c.what, c.best, c.here) for c in plan.changes] for plan in answer.plans] == [
        [],
        [("ring of groove 1", "R1", "R2")],
        [("ring of groove 1", "R1", "R3")],
    ]
    assert answer.complete


def test_fewer_than_there_are_is_not_complete() -> None:
    rings = tuple(small.part(small.RING, number=f"R{n}") for n in (1, 2))
    answer = answer_of(small.job(), small.catalogue(rings=rings), count=2)
    assert len(answer.plans) == 2
    assert not answer.complete  # a third was not looked for
    assert answer_of(small.job(), small.catalogue(rings=rings), count=3).complete


def test_routes_are_another_plan() -> None:
    other = small.part(small.HONE, name="other", cost=2_500)
    job = small.job(routes=("hone", "other"))
    answer = answer_of(job, small.catalogue(routes=(small.HONE, other)))
    assert prices(answer) == [7_900, 8_400]
    assert [c.here for c in answer.plans[1].changes] == ["other"]


def test_pieces_of_one_number_are_one_plan() -> None:
    """Two measured pieces in hand and the catalogue's own: the best of the three is shown."""
    pieces = tuple(InHand(number="P", count=1, size=size) for size in (6_195_500, 6_195_600))
    answer = answer_of(small.job(in_hand=pieces), small.catalogue())
    assert len(answer.plans) == 1
    assert answer.plans[0].cylinders[0].piston.piece == "piece 1"


@pytest.mark.parametrize(("least", "most", "stacks"), [(0, 1, 3), (1, 2, 5), (0, 3, 10)])
def test_stacks_are_other_plans(least: int, most: int, stacks: int) -> None:
    """Of two gaskets: every number of each, once, also where one is part of the other."""
    gaskets = (small.GASKET, small.part(small.GASKET, number="H", price=500))
    for shared in (False, True):
        place = GasketPlace(place="head", least=least, most=most, shared=shared)
        answer = answer_of(small.job(gaskets=(place,)), small.catalogue(gaskets=gaskets))
        taken = [
            tuple((g.number, g.count) for g in plan.cylinders[0].gaskets) for plan in answer.plans
        ]
        assert len(set(taken)) == len(taken) == stacks
        assert prices(answer) == sorted(prices(answer))
        assert answer.complete


def test_a_shared_stack_is_left_aside_once() -> None:
    cylinders = tuple(small.cylinder(name=name) for name in ("1", "2"))
    gaskets = (small.GASKET, small.part(small.GASKET, number="H"))
    place = GasketPlace(place="head", shared=True)
    job = small.job(cylinders=cylinders, gaskets=(place,))
    assert len(answer_of(job, small.catalogue(gaskets=gaskets)).plans) == 2
    own = small.job(cylinders=cylinders, gaskets=(GasketPlace(place="head"),))
    assert len(answer_of(own, small.catalogue(gaskets=gaskets)).plans) == 4


def test_front_weighs_price_against_days() -> None:
    """In stock at 20.00 more, or ordered for 5 days; a ring that is worse in both is not on it."""
    rings = (
        small.part(small.RING, number="R1", stock=0, lead_days=5),
        small.part(small.RING, number="R2", price=2_900),
        small.part(small.RING, number="R3", price=3_000, stock=0, lead_days=6),
    )
    answer = answer_of(small.job(), small.catalogue(rings=rings), edge=True)
    assert answer.front_complete
    assert answer.front is not None
    assert [(p.totals.price, p.totals.days) for p in answer.front] == [(7_900, 5), (9_900, 1)]
    assert [plan.rank for plan in answer.front] == [1, 2]
    assert len(answer.plans) == 3


def test_restoring_is_not_on_the_front_where_it_can_be_spared() -> None:
    """A new sleeve takes next to nothing off: fewer micrometres, and no gain."""
    sleeve = small.part(
        small.HONE, name="sleeve", kind="restore", restored_bore=6_200_000, min_cut=500, cost=1
    )
    worn = small.cylinder(readings=(small.Reading(depth=1_000_000, angle=0, size=small.READ),))
    job = small.job(cylinders=(worn,), routes=("hone", "sleeve"))
    answer = answer_of(job, small.catalogue(routes=(small.HONE, sleeve)), edge=True)
    assert [plan.totals.restored for plan in answer.plans] == [0, 1]
    assert answer.front is not None
    assert [plan.totals.restored for plan in answer.front] == [0]


def test_nothing_fits_says_why() -> None:
    answer = answer_of(small.job(routes=("hone",)), small.catalogue(rings=()), edge=True)
    assert answer.status == "nothing fits"
    assert answer.no_fit is not None
    assert answer.no_fit.reasons
    assert (answer.plans, answer.front) == ((), None)


def two_rings() -> Any:
    rings = tuple(small.part(small.RING, number=f"R{n}") for n in (1, 2))
    return problem(small.job(), small.catalogue(rings=rings))


def test_no_time_left_ends_the_list_unsettled() -> None:
    clock = Clock()
    found = ranked(two_rings(), clock)
    assert next(found).proven
    clock.limit = 0.0
    last = next(found)
    assert last.selection is None
    assert not last.settled
    assert list(found) == []


def test_without_any_time_nothing_is_claimed() -> None:
    assert front(two_rings(), Clock(limit=0.0)).complete is False
    answer = alternatives(PUMP, time_limit=1e-9, front=True)
    assert (answer.status, answer.plans, answer.complete) == ("undecided", (), False)


def test_ctrl_c_leaves_what_was_found(monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(ranking, "next_within", stopped)
    answer = alternatives(PUMP)
    assert (answer.status, len(answer.plans), answer.complete) == ("best found", 1, False)


def test_ctrl_c_before_any_plan_is_heard(monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(ranking, "best", stopped)
    with pytest.raises(KeyboardInterrupt):
        alternatives(PUMP)


def test_first_is_what_pick_picks() -> None:
    for job in ("pump/job.toml", "brushsaw/job.toml", "brushsaw/guarded.toml"):
        plan, answer = pick(DEMO / job).plan, alternatives(DEMO / job, count=4, front=True)
        assert plan is not None
        assert answer.plans[0].order == plan.order
        assert [c.finish_large for c in answer.plans[0].cylinders] == [
            c.finish_large for c in plan.cylinders
        ]
        assert answer.front_complete


def test_every_plan_is_checked(monkeypatch: pytest.MonkeyPatch) -> None:
    checked: list[Any] = []

    def check(*given: Any) -> None:
        checked.append(given)
        if len(checked) == 3:
            raise CheckError("the third is wrong")

    monkeypatch.setattr("fitsolver.picking.checked_plan.check", check)
    with pytest.raises(CheckError, match="third"):
        alternatives(PUMP, count=3)


@pytest.mark.parametrize("bad", [{"count": 0}, {"time_limit": 0.0}])
def test_bad_asking_is_refused(bad: dict[str, Any]) -> None:
    with pytest.raises(InputError):
        alternatives(PUMP, **bad)
