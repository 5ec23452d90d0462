"""What reports say of measuring: odds, corrections, budgets, cautions of instruments."""

from __future__ import annotations

from math import ceil
from pathlib import Path

from rich.console import Console

from fitsolver.metrology.budgets import budgets
from fitsolver.metrology.measuring import measured
from fitsolver.planning.measuring_cautions import budget_cautions, measuring_cautions
from fitsolver.records.job import Job
from fitsolver.records.measuring import Instrument, Measuring, Temperatures
from fitsolver.records.windows import Window
from fitsolver.usecases import files as service
from fitsolver.usecases import tables
from fitsolver.verbs.report import report as report_of
from tests.unit.rules import small

DEMO = Path(__file__).parents[3] / "catalogs_demo"
GUARDED = DEMO / "brushsaw" / "guarded.toml"
MICROMETER = Instrument(kind="outside micrometer", standard_uncertainty=200)
GAUGE = Instrument(kind="bore gauge", standard_uncertainty=300, resolution=100)
WINDOW = Window(fit="clearance", low=4_000, high=8_000)


def job(*windows: Window, **measuring: object) -> Job:
    whole = {"instruments": (MICROMETER, GAUGE), **measuring}
    return small.job(*windows, measuring=Measuring(**whole))


def shown(report: object) -> str:
    console = Console(width=80, no_color=True)
    with console.capture() as capture:
        console.print(report)
    return " ".join(capture.get().split())


def test_a_plan_tells_its_odds_and_what_was_corrected() -> None:
    answer = service.pick(GUARDED)
    assert answer.plan is not None
    text = shown(report_of(answer))
    assert "all fits in their windows" in text and "% likely" in text
    for correction in answer.corrections:
        assert correction.sentence in text


def test_a_form_report_tells_what_was_corrected() -> None:
    answer = service.bore(GUARDED)
    assert "bore read at 23.5 °C" in shown(report_of(answer))


def test_a_budget_names_every_source_once_and_what_helps() -> None:
    answer = service.budget(GUARDED)
    text = shown(report_of(answer))
    clearance = next(item for item in answer.budgets if item.fit == "clearance")
    for item in clearance.contributions:
        assert item.name in text
    assert f"combined {ceil(clearance.combined) / 100:.2f} µm" in text
    assert f"helps most when halved: {clearance.improvement}" in text
    inches = shown(report_of(answer, "in"))
    assert f"combined {ceil(clearance.combined / 2.54) / 1000:.3f} thou" in inches


def test_a_gauge_study_ends_in_lines_that_can_be_copied() -> None:
    study = tables.gauge_study(
        DEMO / "pump" / "gauge_readings.csv", "0.03", permissible_error="0.003"
    )
    console = Console(width=80, no_color=True)
    with console.capture() as capture:
        console.print(report_of(study))
    assert study.instrument_lines.strip() in capture.get()


def test_a_gauge_coarser_than_the_window_is_cautioned_about() -> None:
    coarse = GAUGE.model_copy(update={"resolution": 4_001})
    assert not any("in steps of" in line for line in measuring_cautions(job(WINDOW)))
    said = measuring_cautions(job(WINDOW, instruments=(MICROMETER, coarse)))
    assert any("bore gauge is read in steps of" in line for line in said)


def test_instruments_left_out_are_named() -> None:
    assert any("bore gauge" in s for s in measuring_cautions(job(instruments=(MICROMETER,))))
    assert any("master" in s for s in measuring_cautions(job(setting="master")))
    assert not any("master" in s for s in measuring_cautions(job()))


def test_exact_temperatures_are_cautioned_about() -> None:
    assert any("20 °C is taken as exact" in s for s in measuring_cautions(job()))
    doubted = job(temperatures=Temperatures(uncertainty=1_000))
    assert not any("taken as exact" in s for s in measuring_cautions(doubted))


def test_a_window_too_narrow_for_95_percent_is_cautioned_about() -> None:
    wide = measured(job(WINDOW))
    assert not any("3.92" in s for s in budget_cautions(wide.job, budgets(wide)))
    narrow = measured(job(WINDOW.model_copy(update={"high": 5_000})))
    assert any("3.92" in s for s in budget_cautions(narrow.job, budgets(narrow)))
