"""A job saved as a file and read again is the same job."""

from __future__ import annotations

import tempfile
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_text import job_content, job_text
from fitsolver.reading.shorten import alike
from fitsolver.reading.toml_file import parse_toml
from fitsolver.records.job import (
    Cylinder,
    Engine,
    GasketPlace,
    InHand,
    Job,
    MassMatch,
    PinnedRing,
    Rise,
    SameSize,
    Squish,
    Terms,
)
from fitsolver.records.measuring import Instrument, Measuring, Temperatures
from fitsolver.records.readings import GaugeZero, PortBand, Reading, Zone
from fitsolver.records.wear import EarlierRecord
from fitsolver.records.windows import OpenFit, Window

from ...oracle.dice import THEMES
from ...oracle.generate import cases

DEMOS = Path(__file__).parents[3] / "catalogs_demo"
WHOLE = Path(__file__).parents[2] / "format1"
MM = 100_000

FULL = Job(
    name='a "quoted" name\\',
    note="two\nlines, a tab\t, DEL \x7f and µm",
    unit="in",
    family="harbour launch",
    wear_per_rebuild=2_501,
    catalogue="../shelf",
    finishing="set size",
    convention="six readings",
    routes=("hone", "bore and hone"),
    engine=Engine(
        stroke=58 * MM + 1,
        pin_diameter=1_600_001,
        displacement_limit=10**20 + 7,
        other_bores=(62 * MM, 6_300_007),
        bore_limit=6_310_000,
        rod_length=11_000_003,
        chamber_volume=62 * 10**17 + 7,
        rise=Rise(bore=80, piston=90, ring=0, bore_alloy="grey_iron", ring_alloy="steel_1020"),
    ),
    terms=Terms(
        order_date=date(2027, 3, 1), needed_by=date(2027, 3, 9), needed_in_days=8, budget=24_005
    ),
    windows=(
        Window(fit="clearance", low=-3, high=1_400_001, per_bore=True, guard=127, source="s"),
        Window(fit="taper", high=2_001),
        Window(fit="end_gap", service_high=254, groove=2),
        Window(fit="ring_seat", low=-7_620, high=30_480),
    ),
    gaskets=(GasketPlace(place="head", least=0, most=3, shared=True),),
    in_hand=(
        InHand(number="P-1", size=6_218_003, mass=199_301, kept=True, cylinder="1"),
        InHand(number="R-1", gap=0, gap_bore=6_250_000),
        InHand(number="R-2", gap=25_001, gap_most=30_003, gap_bore=6_250_000),
        InHand(number="G 1", count=4),
    ),
    same_size=(SameSize(cylinders=("1", "rear left")),),
    mass_match=(MassMatch(cylinders=("1", "rear left"), limit=2_000, source="sheet"),),
    best=("price", "days"),
    measuring=Measuring(
        set_name="fine set",
        instruments=(
            Instrument(
                kind="outside micrometer",
                name='25 "long"',
                permissible_error=401,
                resolution=127,
                repeatability=53,
                expansion=10_901,
                basis="certificate",
            ),
            Instrument(kind="bore gauge", repeatability=87, reproducibility=61),
            Instrument(kind="setting master", standard_uncertainty=50_000),
        ),
        setting="master",
        temperatures=Temperatures(bore=22_222, piston=-3_001, uncertainty=501, expansion_share=101),
        decision="guarded",
        probability=954_501,
        form_allowance=203,
        read_by="first shift",
    ),
    cylinders=(
        Cylinder(
            name="1",
            material="iron",
            zone=Zone(top=6 * MM, bottom=78 * MM),
            ports=(PortBand(name="", top=3_400_001, bottom=58 * MM, decides=True),),
            readings=(
                Reading(depth=10 * MM, angle=0, size=6_217_600 + 7, dial=7),
                Reading(depth=10 * MM, angle=90, size=6_217_600 - 254, dial=-254),
                Reading(depth=10 * MM, angle=37, size=6_217_605),
                Reading(depth=20 * MM, angle=0, size=6_217_612, repeats=(6_217_600, 6_217_623)),
                Reading(
                    depth=20 * MM,
                    angle=90,
                    size=6_217_598,
                    dial=-2,
                    repeats=(6_217_500, 6_217_696, 6_217_597),
                ),
            ),
            zero=GaugeZero(size=6_217_600, on_piston=True),
            unworn=6_215_000,
            wear_per_rebuild=1_270,
            earlier=(
                EarlierRecord(
                    date=date(2019, 2, 28), left=6_210_007, found=6_211_001, uncertainty=53
                ),
                EarlierRecord(date=date(2024, 2, 29), left=6_213_001, found=6_213_999),
            ),
            form_allowance=307,
            read_by="B.",
            scratch=254,
            windows=(Window(fit="squish", low=100_000, high=100_001),),
            bore_limit=6_300_001,
            squish=Squish(
                base_low=3_406_000,
                base_high=3_406_001,
                head_step=-1_003,
                squish_before=81_007,
                deck_before=-2_001,
            ),
            routes=("hone",),
            piston="P-1",
            piston_size=6_218_003,
            piston_mass=199_301,
            piston_kept=True,
            rings=(PinnedRing(groove=1, number="R-1"), PinnedRing(groove=2, number="R 2")),
            route="hone",
            temperatures=Temperatures(
                bore=46_500, micrometer=19_999, uncertainty=1_000, expansion_share=1_000
            ),
        ),
        Cylinder(
            name="rear left", material="plated", finished_size=6_250_001, finished_half_width=127
        ),
    ),
)


def saved_and_read(job: Job, folder: Path) -> Job:
    """Return a job as its text reads back; its content without a text is the same."""
    path = folder / "saved.toml"
    text = job_text(job)
    assert repr(job_content(job)) == repr(parse_toml(text, path))
    path.write_text(text, encoding="utf-8")
    return read_job(path).model_copy(update={"fingerprint": ""})


def test_everything_a_job_holds_comes_back(tmp_path: Path) -> None:
    assert saved_and_read(FULL, tmp_path) == FULL


@pytest.mark.parametrize("unit", ["mm", "um", "in", "thou"])
def test_any_unit_holds_lengths_exactly(tmp_path: Path, unit: str) -> None:
    job = FULL.model_copy(update={"unit": unit})
    assert saved_and_read(job, tmp_path) == job


@pytest.mark.parametrize(
    "name", ["pump/job", "pump/worn_out", "launch/job", "brushsaw/job", "brushsaw/stack"]
)
def test_the_demonstration_jobs(tmp_path: Path, name: str) -> None:
    whole = WHOLE / f"{name}.toml"  # the pump's jobs with every figure in them
    path = whole if whole.exists() else DEMOS / f"{name}.toml"
    job = read_job(path).model_copy(update={"fingerprint": ""})
    assert saved_and_read(job, tmp_path) == job


@pytest.mark.parametrize("name", ["pump/job", "pump/worn_out"])
def test_a_job_with_figures_of_sheets_is_saved_whole(tmp_path: Path, name: str) -> None:
    job = read_job(DEMOS / f"{name}.toml")
    saved = saved_and_read(job.model_copy(update={"fingerprint": ""}), tmp_path)
    assert {window.owner for window in saved.windows} == {"job"}
    assert alike(saved) == alike(job)


@pytest.mark.parametrize("theme", THEMES)
def test_generated_jobs(theme: str) -> None:
    @settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
    @given(case=cases(theme))
    def same(case: tuple[Job, object]) -> None:
        with tempfile.TemporaryDirectory() as folder:
            assert saved_and_read(case[0], Path(folder)) == case[0]

    same()


@given(note=st.text(st.characters(codec="utf-8")))
@settings(max_examples=200, deadline=None)
def test_any_text(note: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        job = Job(name="n", note=note, cylinders=FULL.cylinders[1:])
        assert saved_and_read(job, Path(folder)).note == note


def test_doubts_accepted_and_fits_left_open_are_written(tmp_path: Path) -> None:
    job = Job(
        name="scored",
        cylinders=FULL.cylinders[1:],
        accept=("reading 2/14/thrust", "scratch 2"),
        no_window=(OpenFit(fit="squish"), OpenFit(fit="end_gap", groove=3)),
    )
    assert 'no_window = ["squish", "end_gap 3"]' in job_text(job)
    assert saved_and_read(job, tmp_path) == job


def test_what_no_file_can_say_is_not_written() -> None:
    cylinder = Cylinder(
        name="1", material="iron", readings=(Reading(depth=1, angle=0, size=6_210_000, dial=3),)
    )
    with pytest.raises(ValueError, match="zero"):
        job_text(Job(name="n", cylinders=(cylinder,)))
    with pytest.raises(ValueError, match="taper"):
        job_text(FULL.model_copy(update={"windows": (Window(fit="taper", low=0, high=9),)}))
    with pytest.raises(ValueError, match="dates"):
        job_text(FULL.model_copy(update={"terms": Terms(needed_by=date(2027, 3, 9))}))


@pytest.mark.parametrize(
    "measuring",
    [
        Measuring(),
        Measuring(temperatures=Temperatures(standard=21_000)),
        Measuring(set_name="everyday set", decision="guarded"),
        Measuring(set_name="everyday set", decision="guarded", factor=1_645),
    ],
)
def test_how_it_was_measured_comes_back(tmp_path: Path, measuring: Measuring) -> None:
    job = FULL.model_copy(update={"measuring": measuring})
    assert saved_and_read(job, tmp_path) == job


@pytest.mark.parametrize(
    ("measuring", "words"),
    [
        (Measuring(factor=2_000), "goes with decision"),
        (
            Measuring(set_name="everyday set", decision="guarded", factor=1, probability=500_000),
            "not both",
        ),
        (Measuring(decision="guarded"), "instruments"),
        (Measuring(instruments=(Instrument(kind="setting master", resolution=5),)), "known by"),
        (Measuring(instruments=(Instrument(kind="bore gauge"),)), "known by"),
        (
            Measuring(
                instruments=(Instrument(kind="setting master", permissible_error=0, resolution=1),)
            ),
            "without error",
        ),
        (Measuring(temperatures=Temperatures(uncertainty=100, expansion_share=10)), "uncertain"),
    ],
)
def test_measuring_that_no_file_can_say(measuring: Measuring, words: str) -> None:
    sure = FULL.cylinders[0].model_copy(update={"temperatures": Temperatures(bore=21_000)})
    job = FULL.model_copy(update={"measuring": measuring, "cylinders": (sure,)})
    with pytest.raises(ValueError, match=words):
        job_text(job)


@pytest.mark.parametrize(
    ("size", "repeats"), [(6_210_000, (6_210_000,)), (6_210_000, (6_210_000, 6_210_009))]
)
def test_repeats_that_are_none(size: int, repeats: tuple[int, ...]) -> None:
    reading = Reading(depth=1, angle=0, size=size, repeats=repeats)
    cylinder = Cylinder(name="1", material="iron", readings=(reading,))
    with pytest.raises(ValueError, match="mean of two"):
        job_text(Job(name="n", cylinders=(cylinder,)))


def test_blades_that_contradict_each_other_are_not_written() -> None:
    held = InHand(number="R", gap=300, gap_most=300, gap_bore=6_250_000)
    with pytest.raises(ValueError, match="thicker"):
        job_text(FULL.model_copy(update={"in_hand": (held,)}))
