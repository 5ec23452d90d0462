"""Figures that `why` suggests, typed into the job file as they stand, make a plan."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from fitsolver.base.lengths import Unit, parse_length
from fitsolver.picking.decide import decide
from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_text import job_text
from fitsolver.records.job import Engine, Job
from fitsolver.records.why import Opening
from fitsolver.records.windows import Window
from fitsolver.usecases.why import reasons

from ..rules import small

UNITS: list[Unit] = ["mm", "um", "in", "thou"]
NARROW = Window(fit="clearance", low=4_000, high=5_391)
_FIGURE = re.compile(r"-?\d+\.\d+ (?:mm|µm|in|thou)")


def told(job: Job, kind: str) -> Opening:
    found = [each for each in reasons(job, small.catalogue()).openings if each.kind == kind]
    assert len(found) == 1
    return found[0]


#: The steps that a shop reads, in ticks.
STEPS = {"mm": 100, "um": 10, "in": 254, "thou": 254}


def outward(found: int, unit: Unit) -> int:
    """The next step of a shop that opens the job as well as what was found does."""
    return -(-found // STEPS[unit]) * STEPS[unit]


@pytest.mark.parametrize("unit", UNITS)
def test_every_figure_of_a_change_opens_the_job_in_steps_of_a_shop(unit: Unit) -> None:
    """HIGH less the smallest skirt is 5 400; the bore limit is 37 ticks short."""
    limit = small.HIGH - 37
    window = told(small.job(NARROW, unit=unit), "window").sentence
    edges = [parse_length(each, unit) for each in _FIGURE.findall(window)]
    assert edges == [outward(5_400, unit), 5_391]
    raised = told(small.job(engine=Engine(bore_limit=limit), unit=unit), "bore limit").sentence
    figures = [parse_length(each, unit) for each in _FIGURE.findall(raised)]
    highest = outward(small.HIGH, unit)
    assert figures == [highest, limit, outward(highest - limit, unit)]


@pytest.mark.parametrize("unit", UNITS)
def test_the_edge_typed_into_the_job_file_makes_a_plan(unit: Unit, tmp_path: Path) -> None:
    job = small.job(NARROW, unit=unit)
    edge = _FIGURE.findall(told(job, "window").sentence)[0]
    path = tmp_path / "job.toml"
    text = job_text(job)
    line = next(line for line in text.splitlines() if line.startswith("high = "))
    path.write_text(text.replace(line, f'high = "{edge}"'), encoding="utf-8")
    assert decide(job, small.catalogue()).plan is None
    assert decide(read_job(path), small.catalogue()).plan is not None


def test_parts_of_the_bore() -> None:
    """0.000870968 of 62 mm is 5 400 ticks: told in millionths, the next one up."""
    per_bore = Window(fit="clearance", low=645_161, high=870_000, per_bore=True)
    sentence = told(small.job(per_bore), "window").sentence
    assert sentence.split()[3] == "0.000871"
