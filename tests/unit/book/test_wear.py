"""Wear per rebuild: against the textbook's figures, a second program, and drawn wears."""

from __future__ import annotations

import random
from math import sqrt
from statistics import mean, stdev

import pytest
from scipy.stats import t as student

from fitsolver.book.wear import LEAST_WEAR, outlook, wear_estimate, with_wear
from fitsolver.records.book import Visit, WearEstimate
from fitsolver.records.ladder import CylinderLadder, LadderAnswer

from .made import DAY, cylinder, job

#: Standard uncertainty of a wear where nothing is told: two readings of a gauge of 0.002 mm.
UNTOLD = sqrt(2) * 200


def visits(*wears: int | None, error: float | None = None) -> list[Visit]:
    """Visits with these wears, as a history has them."""
    return [
        Visit(date=DAY, key="0" * 32, wear=wear, wear_uncertainty=None if wear is None else error)
        for wear in wears
    ]


def test_without_a_wear_nothing_is_known() -> None:
    assert wear_estimate(visits(None, None)) is None


def test_of_one_wear_the_gauge_alone_tells() -> None:
    found = wear_estimate(visits(None, 1_000, error=50))
    assert found is not None
    assert (found.count, found.mean, found.uncertainty) == (1, 1_000, 50)
    assert found.most == pytest.approx(1_000 + student.ppf(0.95, 8) * 50 * sqrt(2), abs=1)
    untold = wear_estimate(visits(1_000))
    assert untold is not None and untold.uncertainty == pytest.approx(UNTOLD)


def test_of_several_their_scatter_counts_too() -> None:
    wears = [900, 1_300, 1_100, 1_700]
    found = wear_estimate(visits(*wears, error=100))
    pooled = sqrt((8 * 100**2 + 3 * stdev(wears) ** 2) / 11)
    assert found is not None
    assert (found.count, found.mean) == (4, mean(wears))
    assert found.uncertainty == pytest.approx(pooled / 2)
    assert found.most == pytest.approx(
        mean(wears) + student.ppf(0.95, 11) * pooled * sqrt(1.25), abs=1
    )


def test_a_new_bore_begins_its_record_anew() -> None:
    found = wear_estimate(visits(5_000, -20_000, 1_000, error=100))
    assert found is not None and (found.count, found.mean) == (1, 1_000)
    # A little below nothing is the gauge, not a new bore.
    both = wear_estimate(visits(1_000, -200, error=100))
    assert both is not None and (both.count, both.mean) == (2, 400)


def test_the_next_wear_is_below_the_most_as_often_as_stated() -> None:
    """Three drawn wears and a fourth, two thousand times: two standard errors are 1 %."""
    draw = random.Random(7)
    below, runs = 0, 2_000
    for _ in range(runs):
        wears = [round(draw.gauss(2_000, 200)) for _ in range(4)]
        found = wear_estimate(visits(*wears[:3], error=200))
        assert found is not None
        below += wears[3] <= found.most
    assert 0.93 < below / runs < 0.97


def test_a_job_takes_the_wear_that_is_known() -> None:
    task = job(cylinder("A"), cylinder("B", wear_per_rebuild=777))
    known = {"1": WearEstimate(count=1, mean=1_000, uncertainty=1, most=1_500)}
    assert [task.wear_for(c) for c in with_wear(task, known).cylinders] == [1_000, 777]
    assert with_wear(task, known, most=True).cylinders[0].wear_per_rebuild == 1_500
    nothing = {"1": WearEstimate(count=1, mean=-20, uncertainty=1, most=30)}
    assert with_wear(task, nothing).cylinders[0].wear_per_rebuild == LEAST_WEAR


def test_the_sentence() -> None:
    known = {"1": WearEstimate(count=2, mean=1_100, uncertainty=120.3, most=1_871)}
    left = CylinderLadder(
        cylinder="1",
        smallest=1,
        largest=1,
        bore_limit=None,
        wear_per_rebuild=None,
        bore_low=None,
        bore_high=None,
        rebuilds_left=3,
        light_hones=0,
        rungs=(),
    )
    answer = LadderAnswer(
        program_version="0",
        job="small",
        catalogue="small",
        unit="mm",
        status="proven best",
        cylinders=(left,),
    )
    (said,) = outlook(job(), known, answer)
    assert said == (
        "Cylinder 1: the book knows a wear of 0.011 mm per rebuild (standard uncertainty 0.002 mm, "
        "from 2 rebuilds); the next is at most 0.019 mm (95% sure), at which 3 would be left."
    )
