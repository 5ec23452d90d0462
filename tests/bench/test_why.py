"""What `why` costs against the failed solve: 8 cylinders, 2,000 pistons."""

from __future__ import annotations

import pytest

from fitsolver.records.job import Job
from fitsolver.records.why import WhyAnswer
from fitsolver.service import reasons
from fitsolver.solving.problem import problem
from fitsolver.solving.solve import best
from tests.bench import large
from tests.bench.test_ratios import seconds

pytestmark = pytest.mark.bench


def masses_too_far_apart() -> Job:
    """Every cylinder could be done alone; no eight pistons of one size match to 0.9 g."""
    job = large.job(8)
    match = job.mass_match[0].model_copy(update={"limit": 900})
    return job.model_copy(update={"mass_match": (match,)})


def test_why_against_the_failed_solve() -> None:
    """At most 5 times the solve that found nothing, which is part of it; reading is in neither."""
    job, parts = masses_too_far_apart(), large.catalogue(2_000, 500, 60)
    answer: WhyAnswer | None = None

    def why() -> None:
        nonlocal answer
        answer = reasons(job, parts)

    failed = seconds(lambda: best(problem(job, parts)))
    ratio = seconds(why) / failed
    print(f"\nwhy / failed solve: {ratio:.2f} ({failed:.1f} s)")
    assert answer is not None
    assert [reason.rule for reason in answer.conflicts] == ["mass_match"]
    assert [(opening.kind, opening.by) for opening in answer.openings] == [("mass", 100)]
    assert ratio <= 5
