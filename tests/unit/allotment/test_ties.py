"""Of equally good allotments the same one is shown, however the search goes."""

from __future__ import annotations

import pytest
from ortools.sat.python import cp_model

from fitsolver.allotment.allot import allot
from fitsolver.mip import gap
from fitsolver.records.allotment import AllotmentAnswer, Shop, StockLine
from tests.bench.allot_instances import shop, with_kits


def plans(answer: AllotmentAnswer) -> dict[str, object]:
    assert answer.status == "proven best"
    return {item.job: item.answer and item.answer.plan for item in answer.jobs}


@pytest.mark.parametrize(("jobs", "seed", "plenty"), [(4, 4, 1.5), (5, 5, 2.0), (6, 1, 0.8)])
def test_another_way_to_search_ends_at_the_same(
    jobs: int, seed: int, plenty: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = shop(jobs, seed, plenty)
    first = plans(allot(whole))
    monkeypatch.setattr(gap, "_SMALL", 0)  # enumerated columns instead of the flow model
    assert plans(allot(whole)) == first
    monkeypatch.setattr("fitsolver.allotment.solve.greedy", lambda whole: dict(whole.left_out))
    assert plans(allot(whole)) == first


SHOPS = [shop(4, 4, 1.5), shop(6, 1, 0.8), shop(8, 3, 1.2), with_kits(shop(5, 2, 1.2), 2)]


@pytest.mark.parametrize("whole", SHOPS, ids=lambda whole: whole.name)
def test_another_seed_of_the_solver_ends_at_the_same(
    whole: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = plans(allot(whole))
    solve = cp_model.CpSolver.solve
    for seed in (1, 2, 3):

        def seeded(self: cp_model.CpSolver, *args: object, seed: int = seed) -> object:
            self.parameters.random_seed = seed
            self.parameters.permute_variable_randomly = True
            self.parameters.permute_presolve_constraint_order = True
            return solve(self, *args)  # type: ignore[arg-type]

        monkeypatch.setattr(cp_model.CpSolver, "solve", seeded)
        assert plans(allot(whole)) == first, seed


def alike() -> Shop:
    """Return a shop of two jobs alike, all to be ordered but one ring that both want."""
    one = shop(1, 4, 0.0)
    (catalogue,), (entry,) = one.catalogues, one.jobs
    slow = tuple(ring.model_copy(update={"lead_days": 12}) for ring in catalogue.rings)
    soon = tuple(piston.model_copy(update={"lead_days": 6}) for piston in catalogue.pistons)
    whole = catalogue.model_copy(update={"rings": slow, "pistons": soon})
    job = entry.job.model_copy(
        update={"cylinders": entry.job.cylinders[:1], "same_size": (), "mass_match": ()}
    )
    job = job.model_copy(update={"terms": job.terms.model_copy(update={"needed_in_days": None})})
    named = [
        entry.model_copy(update={"job": job.model_copy(update={"name": n}), "priority": None})
        for n in ("one", "other")
    ]
    first = allot(one.model_copy(update={"jobs": tuple(named), "catalogues": (whole,)}))
    answer = first.jobs[0].answer
    assert answer is not None and answer.plan is not None
    rings = [ring.number for ring in answer.plan.cylinders[0].rings]
    return one.model_copy(
        update={
            "jobs": tuple(named),
            "catalogues": (whole,),
            "shelf": tuple(StockLine(number=number, count=1) for number in rings),
        }
    )


def test_who_of_two_takes_the_last_ring_hangs_on_their_names_alone() -> None:
    whole = alike()
    first = allot(whole)
    taken = {line.number: line.taken for line in first.shelf}
    assert taken and set(taken.values()) == {1}  # one job has them; the other orders
    turned = whole.model_copy(update={"jobs": whole.jobs[::-1]})
    assert plans(allot(turned)) == plans(first)


@pytest.mark.parametrize("whole", SHOPS, ids=lambda whole: whole.name)
def test_jobs_and_parts_in_another_order_end_at_the_same(whole: Shop) -> None:
    first = plans(allot(whole))
    (catalogue,) = whole.catalogues
    turned = catalogue.model_copy(
        update={
            kind: tuple(reversed(getattr(catalogue, kind))) for kind in ("pistons", "rings", "kits")
        }
    )
    other = whole.model_copy(
        update={
            "jobs": tuple(reversed(whole.jobs)),
            "shelf": tuple(reversed(whole.shelf or ())),
            "catalogues": (turned,),
        }
    )
    assert plans(allot(other)) == first
