"""A window that is deleted never opens a fit in silence: it is refused, or asked by another one."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fitsolver.base.errors import InputError
from fitsolver.choices.asked import formed, is_asked, missing
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.job_file import catalogue_folder, read_job
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.windows import OpenFit
from fitsolver.usecases.loading import hold_together

from ..oracle.dice import THEMES
from ..oracle.generate import cases

DEMOS = Path(__file__).parents[2] / "catalogs_demo"
#: Fits that a job need not ask: side clearance has a floor, the others are asked where they matter.
OPTIONAL = ("side_clearance", "ring_seat", "port_timing", "compression")


def without(job: Job, index: int) -> Job:
    windows = (*job.windows[:index], *job.windows[index + 1 :])
    return job.model_copy(update={"windows": windows})


@settings(
    derandomize=True,
    database=None,
    deadline=None,
    max_examples=300,
    suppress_health_check=list(HealthCheck),
)
@given(st.sampled_from(sorted(THEMES)).flatmap(cases))
def test_drawn_jobs(case: tuple[Job, Catalogue]) -> None:
    job, catalogue = case
    opened = tuple(OpenFit(fit=place.fit, groove=place.groove) for place in missing(job, catalogue))
    whole = job.model_copy(update={"no_window": opened})
    assert missing(whole, catalogue) == {}
    for index, window in enumerate(whole.windows):
        fewer = without(whole, index)
        if missing(fewer, catalogue) or window.fit in OPTIONAL:
            continue
        for before, after in zip(whole.cylinders, fewer.cylinders, strict=True):
            asked = [
                p for p in formed(whole, catalogue, before) if is_asked(whole, catalogue, before, p)
            ]
            for place in asked:
                named = any(one.covers(place.fit, place.groove) for one in opened)
                assert named or is_asked(fewer, catalogue, after, place)


@pytest.mark.parametrize("name", ["pump/job", "launch/job", "brushsaw/job", "pump/worn_out"])
def test_every_window_of_the_demos(name: str) -> None:
    path = DEMOS / f"{name}.toml"
    job = read_job(path)
    folder = catalogue_folder(job, path)
    assert folder is not None
    catalogue = read_catalogue(folder)
    hold_together(job, catalogue)
    for index, window in enumerate(job.windows):
        fewer = without(job, index)
        if window.fit in OPTIONAL:
            continue
        with pytest.raises(InputError, match="no window"):
            hold_together(fewer, catalogue)
        opened = (OpenFit(fit=window.fit, groove=window.groove),)
        hold_together(fewer.model_copy(update={"no_window": opened}), catalogue)
