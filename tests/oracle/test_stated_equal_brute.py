"""Windows that makers state for their own parts: the solver against the brute force.

The brute force reads `docs/decision.md`, "Windows", for itself: the job's window, then that of the
part's maker for the use, then one that yields.
"""

from __future__ import annotations

from collections import Counter

from hypothesis import HealthCheck, given, settings

from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

from .generate_stated import stated_cases
from .test_solver_equals_brute import compare

CALM = settings(
    derandomize=True,
    database=None,
    deadline=None,
    max_examples=60,
    suppress_health_check=list(HealthCheck),
)
SEEN: Counter[str] = Counter()


@CALM
@given(stated_cases("rings"))
def test_rings_with_gaps_of_their_own(case: tuple[Job, Catalogue]) -> None:
    compare(*case)


@CALM
@given(stated_cases("finish"))
def test_pistons_with_clearances_of_their_own(case: tuple[Job, Catalogue]) -> None:
    compare(*case)


@CALM
@given(stated_cases("everything"))
def test_everything_at_once(case: tuple[Job, Catalogue]) -> None:
    compare(*case)


@CALM
@given(stated_cases("rings"))
def test_they_bind(case: tuple[Job, Catalogue]) -> None:
    """Of the drawn jobs many are decided by such a window, and many by one of the job."""
    plan = decide(*case).plan
    for fit in () if plan is None else (fit for item in plan.cylinders for fit in item.fits):
        SEEN[fit.owner] += fit.fit in ("clearance", "end_gap")


def test_both_owners_were_seen() -> None:
    assert SEEN["part"] > 50
    assert SEEN["job"] > 50
