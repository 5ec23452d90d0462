"""A new job file reads once it has readings, and says what was asked for."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, get_args

import pytest

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.reading.job_file import FINISHINGS, read_job
from fitsolver.reading.job_template import NewJob, job_template
from fitsolver.records.job import Job
from tests.unit.reading.uncommented import with_examples

from .files import job_file, refusal


def _filled(folder: Path, text: str) -> Job:
    """The job once the blanks hold a figure and the example readings are uncommented."""
    text = with_examples(text)
    return read_job(job_file(folder, text.replace('= ""', '= "9 um"')))


@pytest.mark.parametrize("units", get_args(Unit))
@pytest.mark.parametrize("finishing", FINISHINGS)
def test_the_plain_one(tmp_path: Path, units: Unit, finishing: Any) -> None:
    text = job_template(NewJob("x", units=units, finishing=finishing, cylinders=3))
    bare = text.replace('= ""', '= "9 um"')
    assert "no readings" in refusal(read_job, job_file(tmp_path, bare)).message
    job = _filled(tmp_path, text)
    assert (job.unit, job.finishing) == (units, finishing)
    assert [(w.fit, w.groove, w.low, w.high) for w in job.windows] == [
        ("clearance", None, 900, 900),
        ("end_gap", 1, 900, 900),
        ("end_gap", 2, 900, 900),
        ("out_of_round", None, None, 900),
        ("taper", None, None, 900),
    ]
    assert [(c.name, c.material, len(c.readings)) for c in job.cylinders] == [
        (name, "iron", 6) for name in "123"
    ]
    assert all(6_190_000 < r.size < 6_220_000 for r in job.cylinders[0].readings)


def test_with_every_option(tmp_path: Path) -> None:
    job = _filled(
        tmp_path,
        job_template(
            NewJob(
                name='pump "2" {spare}',
                units="in",
                family="P62",
                catalogue="../shelf",
                material="plated",
                finishing="set size",
                stroke="58 mm",
                clearance=("2 thou", "0.004"),
                end_gap=("0.25 mm", "12 thou"),
            )
        ),
    )
    assert (job.name, job.family, job.catalogue) == ('pump "2" {spare}', "P62", "../shelf")
    assert (job.cylinders[0].material, job.engine.stroke) == ("plated", 5_800_000)
    assert [(w.fit, w.low, w.high) for w in job.windows] == [
        ("clearance", 5_080, 10_160),
        ("end_gap", 25_000, 30_480),
        ("out_of_round", None, 900),
        ("taper", None, 900),
    ]


def test_every_commented_section_reads_when_uncommented(tmp_path: Path) -> None:
    """But what is said in two ways must be chosen, so the second way stays a comment."""
    second_ways = (
        "needed_by",
        "finished",
        "readings_file",
        "rod_length",
        "deck_height",
        "head_step",
        "zero_piston",
        "per_bore",
        "convention",
        "no_window",
        "gap",
        "probability",
        "standard_uncertainty",
    )
    lines = []
    for line in job_template(NewJob("x")).replace('= ""', '= "9 um"').splitlines():
        match = re.match(r"^# ?( \[|\[|[a-z_]+ = )", line)
        key = line.lstrip("# ").split(" ")[0]
        keep = match is None or key.startswith(second_ways)
        lines.append(line if keep else line.removeprefix("#").removeprefix(" "))
    text = "\n".join(lines).replace('["1", "2"]', '["1"]')
    job = read_job(job_file(tmp_path, text))
    assert len(job.windows) == 6
    assert all((job.gaskets, job.in_hand, job.same_size, job.mass_match))
    assert job.engine.rise is not None
    assert job.cylinders[0].squish is not None
    assert job.cylinders[0].zone is not None
    assert job.measuring is not None
    assert (job.measuring.set_name, job.measuring.factor) == ("everyday set", 1645)
    assert (job.measuring.temperatures.bore, job.measuring.instruments[0].expansion) == (
        21_500,
        11_500,
    )


def test_one_blank_for_each_groove_of_the_catalogue() -> None:
    text = job_template(NewJob("x", grooves=(1, 2, 3)))
    assert re.findall(r"^groove = (.)", text, re.M) == ["1", "2", "3"]
    assert 'fit = "end_gap"' not in job_template(NewJob("x", grooves=()))


def test_comments_stand_in_one_column() -> None:
    text = job_template(NewJob("x", catalogue="a"))
    columns = {line.index(" # ") for line in text.splitlines() if " = " in line and " # " in line}
    assert min(columns) == 33
    assert all(len(line) <= 100 for line in text.splitlines())


@pytest.mark.parametrize(
    ("options", "field"),
    [
        ({"name": " "}, "name"),
        ({"cylinders": 0}, "cylinders"),
        ({"cylinders": 65}, "cylinders"),
        ({"units": "cm"}, "units"),
        ({"finishing": "soon"}, "finishing"),
        ({"material": ""}, "material"),
        ({"stroke": "-3"}, "stroke"),
        ({"stroke": "x"}, "stroke"),
        ({"clearance": ("2", "1")}, "clearance"),
        ({"clearance": ("1", "two")}, "clearance"),
        ({"end_gap": ("nan", "1")}, "end_gap"),
    ],
)
def test_bad_options(options: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as caught:
        job_template(NewJob(**{"name": "x", **options}))
    assert caught.value.field == field
    assert caught.value.allowed
