"""Ten plans and the front against one plan. Run with `pytest -m bench -s`."""

from __future__ import annotations

import time
from itertools import islice
from statistics import median

import pytest

from fitsolver.solving.alternatives import ranked
from fitsolver.solving.front import front
from fitsolver.solving.problem import problem
from fitsolver.solving.solve import best
from tests.bench import large

pytestmark = pytest.mark.bench


def test_ten_alternatives() -> None:
    """At most 5 times one solve, records to proof: 8 cylinders against 2,000 pistons."""
    job, parts = large.job(8), large.catalogue(2_000, 500, 60)
    ratios = []
    for _ in range(3):
        started = time.perf_counter()
        first = best(problem(job, parts))
        one = time.perf_counter() - started
        started = time.perf_counter()
        found = list(islice(ranked(problem(job, parts)), 10))
        ratios.append((time.perf_counter() - started) / one)
        assert len(found) == 10
        assert all(solution.proven for solution in found)
        assert found[0].levels == first.levels
        told = [tuple(item.value for item in solution.levels) for solution in found]
        assert told == sorted(told)
    print(f"\nten plans / one: {', '.join(f'{ratio:.2f}' for ratio in ratios)}")
    assert median(ratios) <= 5


@pytest.mark.parametrize("same_size", [True, False])
def test_front_of_four_cylinders(same_size: bool) -> None:
    """At most 30 times one pick, proven: 4 cylinders against 400 pistons, processor seconds."""
    job, parts = large.job(4), large.catalogue(400, 100, 20)
    if not same_size:
        job = job.model_copy(update={"same_size": ()})
    started = time.process_time()
    assert best(problem(job, parts)).proven
    one = time.process_time() - started
    started = time.process_time()
    found = front(problem(job, parts))
    taken = time.process_time() - started
    assert found.complete
    print(f"\n{len(found.solutions)} plans: {taken:.1f} s, front / pick: {taken / one:.1f}")
    assert taken <= 30 * one
