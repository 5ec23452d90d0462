"""Of equally good allotments the same one is shown, however the search goes."""

from __future__ import annotations

import pytest

from fitsolver.allotment import closing
from fitsolver.allotment.allot import allot
from fitsolver.records.allotment import AllotmentAnswer
from tests.bench.allot_instances import shop


def plans(answer: AllotmentAnswer) -> dict[str, object]:
    assert answer.status == "proven best"
    return {item.job: item.answer and item.answer.plan for item in answer.jobs}


@pytest.mark.parametrize(("jobs", "seed", "plenty"), [(4, 4, 1.5), (5, 5, 2.0), (6, 1, 0.8)])
def test_another_way_to_search_ends_at_the_same(
    jobs: int, seed: int, plenty: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = shop(jobs, seed, plenty)
    first = plans(allot(whole))
    monkeypatch.setattr(closing, "_SMALL", 0)  # lists instead of one sparse model
    assert plans(allot(whole)) == first
    monkeypatch.setattr("fitsolver.allotment.solve.greedy", lambda pool: dict(pool.left_out))
    assert plans(allot(whole)) == first
