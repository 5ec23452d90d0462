"""Five hundred drawn jobs, split between shop, family sheet and job: the plans stay equal."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

from ..property.test_owners import CALM, DRAWN, check


@pytest.mark.bench
@settings(CALM, max_examples=500)
@given(DRAWN, st.randoms(use_true_random=False))
def test_500_split_jobs(case: tuple[Job, Catalogue], random: Random) -> None:
    check(*case, random)
