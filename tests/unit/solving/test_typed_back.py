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


@pytest.mark.parametrize("unit", UNITS)
def test_every_figure_of_a_change_is_the_one_that_was_found(unit: Unit) -> None:
    """HIGH less the smallest skirt is 5 400; the bore limit is 37 ticks short."""
    limit = small.HIGH - 37
    window = told(small.job(NARROW, unit=unit), "window").sentence
    assert [parse_length(each, unit) for each in _FIGURE.findall(window)] == [5_400, 5_391]
    raised = told(small.job(engine=Engine(bore_limit=limit), unit=unit), "bore limit").sentence
    figures = [parse_length(each, unit) for each in _FIGURE.findall(raised)]
    assert figures == [small.HIGH, limit, 37]


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


def test_parts_in_a_thousand_million_of_the_bore() -> None:
    """An edge per unit of bore is told with every decimal: 0.000870968 of 62 mm is 5 400 ticks."""
    per_bore = Window(fit="clearance", low=645_161, high=870_000, per_bore=True)
    sentence = told(small.job(per_bore), "window").sentence
    figure = sentence.split()[3]
    assert int(figure.replace("0.", "").ljust(9, "0")) == 870_968
