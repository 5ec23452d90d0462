"""What a study of few people says of itself holds for drawn studies; seeded."""

from __future__ import annotations

from math import sqrt

import pytest

from fitsolver.metrology.gauge_study import FEW_PEOPLE
from tests.bench.calibration_people import coverage

STUDIES = 600


@pytest.mark.parametrize("people", sorted(FEW_PEOPLE))
def test_the_coverage_is_what_the_note_says(people: int) -> None:
    covered, poor = FEW_PEOPLE[people]
    found = coverage(people, STUDIES)
    assert 100 * found.mean == pytest.approx(covered, abs=1)
    chance = 3.5 * sqrt(poor / 100 * (1 - poor / 100) / STUDIES)
    assert found.poor == pytest.approx(poor / 100, abs=chance)
