"""What `why` costs against the solve it explains: 8 cylinders, 2,000 pistons."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fitsolver.records.job import Engine, Job
from fitsolver.records.why import WhyAnswer
from fitsolver.solving.problem import problem
from fitsolver.solving.solve import best
from fitsolver.usecases.why import reasons
from tests.bench import large
from tests.bench.test_ratios import seconds

pytestmark = pytest.mark.bench


def masses_too_far_apart() -> Job:
    """Every cylinder could be done alone; no eight pistons of one size match to 0.9 g."""
    job = large.job(8)
    match = job.mass_match[0].model_copy(update={"limit": 900})
    return job.model_copy(update={"mass_match": (match,)})


def clearance_too_narrow() -> Job:
    """A window of 5 um, and pistons made within 5 um in a bore that is honed within 6."""
    job = large.job(8)
    narrow = {"low": 40 * large.UM, "high": 45 * large.UM}
    windows = tuple(w.model_copy(update=narrow) if w.fit == "clearance" else w for w in job.windows)
    return job.model_copy(update={"windows": windows})


def bore_limit_too_low() -> Job:
    """Every bore reads more than the limit, which the sleeve does not keep either."""
    limit = Engine(bore_limit=large.BORE - large.MM // 10)
    return large.job(8).model_copy(update={"engine": limit})


def something_fits() -> Job:
    return large.job(8)


@pytest.mark.parametrize(
    ("job", "rules"),
    [
        (masses_too_far_apart, {"mass_match"}),
        (clearance_too_narrow, {"clearance"}),
        (bore_limit_too_low, {"bore_limit"}),
        (something_fits, set()),
    ],
)
def test_why_against_the_solve(job: Callable[[], Job], rules: set[str]) -> None:
    """At most 5 times the solve, which is part of it; reading is in neither."""
    task, parts = job(), large.catalogue(2_000, 500, 60)
    answer: WhyAnswer | None = None

    def why() -> None:
        nonlocal answer
        answer = reasons(task, parts)

    solve = seconds(lambda: best(problem(task, parts)))
    ratio = seconds(why) / solve
    print(f"\n{job.__name__}: why / solve: {ratio:.2f} ({solve:.2f} s)")
    assert answer is not None
    assert {reason.rule for reason in answer.conflicts} == rules
    assert bool(answer.openings) == bool(rules)
    assert bool(answer.choices) == (not rules)
    assert ratio <= 5


def test_masses_are_opened_by_the_least_limit() -> None:
    answer = reasons(masses_too_far_apart(), large.catalogue(2_000, 500, 60))
    assert [(opening.kind, opening.by) for opening in answer.openings] == [("mass", 100)]
