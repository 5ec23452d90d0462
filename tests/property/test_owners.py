"""A job split between shop, family sheet and job is the same job, and so is its new form."""

from __future__ import annotations

import json
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import Any
from unittest.mock import patch

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fitsolver.picking.decide import decide
from fitsolver.reading import shorten
from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_text import job_text
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.reporting.schema import to_json

from ..oracle.dice import THEMES
from ..oracle.generate import cases
from ..oracle.splitting import FAMILY, split

CALM = settings(
    derandomize=True,
    database=None,
    deadline=None,
    max_examples=40,
    suppress_health_check=list(HealthCheck),
)
DRAWN = st.sampled_from(sorted(THEMES)).flatmap(cases)


def plan(job: Job, catalogue: Catalogue) -> Any:
    """The plan as its document, but for whose figure each window is."""
    found = json.loads(to_json(decide(job, catalogue)))["plan"]
    for cylinder in found["cylinders"] if found else ():
        for fit in cylinder["fits"]:
            del fit["owner"]
    return found


def check(job: Job, catalogue: Catalogue, random: Random) -> None:
    """Both the split job and the new form of the whole one are the job, with its plan."""
    job = job.model_copy(update={"family": FAMILY, "catalogue": "."})
    expected, wanted = plan(job, catalogue), shorten.alike(job)
    with TemporaryDirectory() as name:
        folder = Path(name)
        told = read_job(split(job, random, folder))
        assert shorten.alike(told) == wanted
        assert plan(told, catalogue) == expected
        old, new = folder / "old.toml", folder / "new.toml"
        old.write_text(job_text(job), encoding="utf-8")
        with patch.object(shorten, "read_catalogue", return_value=catalogue):
            new.write_text(shorten.shortened(old, new), encoding="utf-8")
        again = read_job(new)
        assert shorten.alike(again) == wanted
        assert plan(again, catalogue) == expected


@CALM
@given(DRAWN, st.randoms(use_true_random=False))
def test_a_split_job_is_the_same_job(case: tuple[Job, Catalogue], random: Random) -> None:
    check(*case, random)
