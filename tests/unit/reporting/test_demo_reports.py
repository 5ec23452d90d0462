"""Every report of the demo jobs, as it comes out of a pipe of 80 and of 100 columns."""

from __future__ import annotations

import json
import math
import os
import re
import subprocess
import sys
from collections.abc import Callable
from typing import Final

import pytest
from rich.console import RenderableType

from fitsolver.base.lengths import Unit
from fitsolver.records.plan import Answer, Fit
from fitsolver.reporting.frames import cylinders_frame, fits_frame, forms_frame, order_frame
from fitsolver.reporting.schema import to_json
from fitsolver.verbs.report import report as report_of
from fitsolver.verbs.schemas import json_schema
from tests.unit.reporting.demos import (
    DEMOS,
    FOLDERS,
    JOBS,
    PLANNED,
    WIDTHS,
    documents,
    flowing,
    formed,
    picked,
    planned,
    reviewed,
    screened,
    undecided,
    unproven,
    written,
)
from tests.unit.reporting.paper import TICKS, paper, section

UNITS: Final[tuple[Unit, ...]] = ("mm", "um", "in", "thou")
Report = Callable[[Unit], RenderableType]


def reports() -> dict[str, Report]:
    found: dict[str, Report] = {}
    for job in JOBS:
        found[f"pick {job}"] = lambda unit, job=job: report_of(picked(job), unit)
        found[f"bore {job}"] = lambda unit, job=job: report_of(formed(job), unit)
        found[f"fits {job}"] = lambda unit, job=job: report_of(screened(job), unit)
    for folder in FOLDERS:
        found[f"catalogue {folder}"] = lambda unit, folder=folder: report_of(reviewed(folder), unit)
    found["unproven"] = lambda unit: report_of(unproven("pump/job"), unit)
    found["undecided"] = lambda unit: report_of(undecided("pump/job"), unit)
    return found


REPORTS: Final = reports()


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", REPORTS)
def test_whole_plain_and_on_diameter_once(name: str, width: int) -> None:
    for unit in UNITS:
        text = written(REPORTS[name](unit), width)
        assert flowing(text).lower().count("on diameter") == 1
        assert "\x1b" not in text
        assert "…" not in text
        for line in text.splitlines():
            assert len(line) <= width
            assert line == line.rstrip()


@pytest.mark.parametrize("name", REPORTS)
def test_a_wider_page_holds_the_same_words(name: str) -> None:
    """Nothing is cut and no word or figure is broken at 80 columns."""
    for unit in UNITS:
        narrow, wide = (written(REPORTS[name](unit), width) for width in (80, 300))
        keep = {"─": " ", "-": " -"}  # rules and underlines grow with the page
        words = [
            sorted(word for word in "".join(keep.get(c, c) for c in text).split() if word != "-")
            for text in (narrow, wide)
        ]
        assert words[0] == words[1]


@pytest.mark.parametrize("job", PLANNED)
def test_proven_best_is_said_when_it_is(job: str) -> None:
    text = written(report_of(picked(job)))
    assert text.count("PROVEN BEST") == 1
    assert "not proven" not in text and "cannot be" not in text


@pytest.mark.parametrize("job", PLANNED)
def test_best_found_shows_its_bounds(job: str) -> None:
    answer = unproven(job)
    text = written(report_of(answer))
    assert "PROVEN BEST" not in text and "not proven best" in flowing(text)
    decided = section(text, "What it goes by, what matters most first")
    assert "cannot be" in decided
    proven = [line.split()[-1] for line in decided.splitlines() if line.endswith((" yes", " no"))]
    assert answer.plan is not None
    assert proven == ["yes" if level.proven else "no" for level in answer.plan.objective]
    removal = answer.plan.objective[1]
    found = paper(removal.value, answer.unit, "up")
    bound = paper(removal.bound, answer.unit, "down")
    assert f"largest removal {found} {answer.unit} {bound} {answer.unit} no" in flowing(decided)


def test_undecided_shows_what_is_known() -> None:
    text = written(report_of(undecided("pump/job")))
    assert "UNDECIDED" in text and "Form found" in text and "Cautions" in text
    for absent in ("PROVEN", "BEST", "NOTHING FITS", "Order list", "finish size"):
        assert absent not in text


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_fits_gives_every_reason_miss_and_way(width: int) -> None:
    answer = picked("pump/worn_out")
    assert answer.status == "nothing fits" and answer.no_fit is not None
    text = flowing(written(report_of(answer), width))
    assert "NOTHING FITS" in text and "PROVEN" not in text
    assert answer.no_fit.reasons and answer.no_fit.near_misses and answer.no_fit.ways_left
    for sentence in (
        *(reason.sentence for reason in answer.no_fit.reasons),
        *(miss.sentence for miss in answer.no_fit.near_misses),
        *answer.no_fit.ways_left,
        *(re.sub(r"^Cylinder [^:]+: ", "", caution) for caution in answer.cautions),
    ):
        assert flowing(sentence) in text


@pytest.mark.parametrize("job", JOBS)
def test_every_caution_is_said_once(job: str) -> None:
    for answer, report in (
        (picked(job), f"pick {job}"),
        (formed(job), f"bore {job}"),
        (screened(job), f"fits {job}"),
    ):
        text = flowing(written(REPORTS[report](answer.unit)))
        assert answer.cautions
        for caution in answer.cautions:
            said = caution
            if isinstance(answer, Answer):  # cylinders are told together
                said = re.sub(r"^Cylinder [^:]+: ", "", caution)
            assert text.count(flowing(said)) == 1


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("job", JOBS)
def test_a_set_that_does_not_fit_says_which_fit_and_how(job: str, unit: Unit) -> None:
    for item in screened(job).sets:
        answer = screened(job).model_copy(update={"sets": (item,)})
        text = flowing(written(report_of(answer, unit)))
        assert item.piston in text
        assert all(part in text for part in (*item.rings, *item.gaskets, item.kit))
        assert ("does not fit" in text) is not item.holds
        assert ("misses" in text) is not item.holds
        for fit in item.fits:
            for words in misses(fit, unit):
                assert words in text
        tight = sum(fit.slack_low is not None and fit.slack_low < 0 for fit in item.fits)
        large = sum(fit.slack_high is not None and fit.slack_high < 0 for fit in item.fits)
        assert text.count(": too large by") == large
        assert text.count(": too tight by") + text.count(": too small by") == tight


def misses(fit: Fit, unit: Unit) -> list[str]:
    said = []
    if fit.slack_low is not None and fit.slack_low < 0 and fit.low is not None:
        edge = paper(fit.low + fit.guard, unit, "up")
        how = "small" if fit.fit == "ring_seat" else "tight"
        said.append(f"permitted from {edge}: too {how} by {paper(-fit.slack_low, unit, 'up')}")
    if fit.slack_high is not None and fit.slack_high < 0 and fit.high is not None:
        edge = paper(fit.high - fit.guard, unit, "down")
        said.append(f"permitted up to {edge}: too large by {paper(-fit.slack_high, unit, 'up')}")
    return said


def test_rules_broken_beside_a_fit_are_not_lost() -> None:
    """A ring filed too far and one that is too large in the same set: both are said."""
    for item in screened("launch/job").sets:
        answer = screened("launch/job").model_copy(update={"sets": (item,)})
        text = flowing(written(report_of(answer)))
        for verdict in item.verdicts:
            plain = verdict.sentence.startswith("misses by")
            if not verdict.holds and not plain and verdict.rule in ("end_gap", "clean_up"):
                assert flowing(verdict.sentence) in text


def test_documents_are_the_same_every_time_and_keep_to_their_schema() -> None:
    jsonschema = pytest.importorskip("jsonschema")
    checks = {name: jsonschema.Draft202012Validator(json_schema(name)) for name, _ in documents()}
    for name, record in documents():
        text = to_json(record)
        assert text == to_json(type(record).model_validate_json(text))
        checks[name].validate(json.loads(text))


@pytest.mark.parametrize("job", PLANNED)
def test_frames_hold_what_the_records_hold(job: str) -> None:
    plan = planned(job)
    for unit in UNITS:
        fits = fits_frame(plan, unit)
        lines = [(c.cylinder, fit) for c in plan.cylinders for fit in c.fits]
        assert len(fits) == len(lines)
        for (_, row), (cylinder, fit) in zip(fits.iterrows(), lines, strict=True):
            assert (row["cylinder"], row["fit"], row["part"]) == (cylinder, fit.fit, fit.part)
            for name in ("low", "high", "guard", "least", "most", "slack_low", "slack_high"):
                ticks, value = getattr(fit, name), row[f"{name} [{unit}]"]
                assert math.isnan(value) if ticks is None else value == ticks / TICKS[unit]
        bores = cylinders_frame(plan, unit)
        assert list(bores[f"removal [{unit}]"]) == [c.removal / TICKS[unit] for c in plan.cylinders]
        forms = forms_frame(picked(job).forms, unit)
        assert list(forms[f"largest [{unit}]"]) == [
            form.largest / TICKS[unit] for form in picked(job).forms
        ]
    order = order_frame(plan)
    assert list(order["count"]) == [line.count for line in plan.order]
    assert round(order["price"].sum() * 100) == plan.parts_price


def test_a_pipe_gets_no_escape_codes() -> None:
    kept = {k: v for k, v in os.environ.items() if k not in ("FORCE_COLOR", "TTY_COMPATIBLE")}
    done = subprocess.run(
        [sys.executable, "-m", "fitsolver", "bore", str(DEMOS / "pump" / "job.toml")],
        capture_output=True,
        env=kept | {"TERM": "xterm-256color", "COLUMNS": "80", "PYTHONUTF8": "1"},
        check=True,
    )
    assert b"\x1b" not in done.stdout
    assert "62.268" in done.stdout.decode("utf-8")
