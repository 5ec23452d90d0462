"""Of equally good allotments the same one is shown, however the search goes."""

from __future__ import annotations

import pytest
from ortools.sat.python import cp_model

from fitsolver.allotment.allot import allot
from fitsolver.mip import gap
from fitsolver.records.allotment import AllotmentAnswer, Shop
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
