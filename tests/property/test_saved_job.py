"""A job saved and read again is the same job."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_text import job_text
from fitsolver.records.base import LEVELS
from fitsolver.records.catalogue import Catalogue
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
from fitsolver.records.readings import GaugeZero, PortBand, Reading, Zone
from fitsolver.records.wear import EarlierRecord

from ..oracle.dice import THEMES
from ..oracle.generate import cases
from ..oracle.small import mm, window


def saved(job: Job) -> Job:
    """The job as it is read from the file that is written from it."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "job.toml"
        path.write_text(job_text(job), encoding="utf-8")
        found = read_job(path)
    assert found.fingerprint, "a job that was read has the fingerprint of its file"
    return found.model_copy(update={"fingerprint": job.fingerprint})


@settings(
    derandomize=True,
    database=None,
    deadline=None,
    max_examples=250,
    suppress_health_check=list(HealthCheck),
)
@given(st.sampled_from(sorted(THEMES)).flatmap(cases))
def test_random_job(case: tuple[Job, Catalogue]) -> None:
    assert saved(case[0]) == case[0]


def test_job_with_a_value_in_every_field() -> None:
    """All lengths odd in their last tick, so that no rounding passes."""
    whole = Job(
        name='Pump "A", spring',
        note="first line\nsecond line \\ with a backslash",
        unit="mm",
        family="P62",
        catalogue="shelf",
        finishing="set size",
        convention="six readings",
        cylinders=(full_cylinder(), bare_cylinder()),
        windows=(
            window(
                "clearance", 900_001, 1_400_003, per_bore=True, guard=7, source="sheet 3, line 2"
            ),
            window("end_gap", 20_001, None, service_low=15_003, service_high=90_001, groove=2),
            window("taper", None, 1_999),
        ),
        routes=("as is", "finish hone"),
        engine=Engine(
            stroke=mm("58.00001"),
            pin_diameter=mm("16.00003"),
            displacement_limit=355 * 10**18,
            other_bores=(mm("62.00001"), mm("62.25")),
            bore_limit=mm("63.10001"),
            rod_length=mm("110.00003"),
            chamber_volume=62 * 10**17 + 7,
            rise=Rise(
                bore=80,
                piston=90,
                ring=110,
                bore_alloy="grey_iron",
                piston_alloy="al_a132",
                ring_alloy="ductile_iron",
            ),
        ),
        gaskets=(GasketPlace(place="base", least=0, most=2), GasketPlace(place="h", shared=True)),
        in_hand=(
            InHand(number="G-1", count=3),
            InHand(number="P-1", size=mm("62.43999"), mass=199_301, kept=True, cylinder="one"),
            InHand(number="R-1", gap=20_003, gap_bore=mm("62.25001")),
        ),
        same_size=(SameSize(cylinders=("one", "two")),),
        mass_match=(MassMatch(cylinders=("one", "two"), limit=2_001, source="sheet 7"),),
        terms=Terms(
            order_date=date(2027, 3, 1),
            needed_by=date(2027, 3, 10),
            needed_in_days=9,
            budget=22_001,
        ),
        best=("filing", *(level for level in LEVELS if level != "filing")),
    )
    assert saved(whole) == whole


def full_cylinder() -> Cylinder:
    zero = mm("62.25001")
    return Cylinder(
        name="one",
        material="iron",
        zone=Zone(top=mm("6"), bottom=mm("78.00001")),
        ports=(PortBand(name="exhaust", top=mm("34"), bottom=mm("58"), decides=True),),
        readings=tuple(
            Reading(depth=mm("10") * i, angle=angle, size=zero + i + angle, dial=i + angle)
            for i in (1, 2, 3)
            for angle in (0, 90, 37)
        ),
        zero=GaugeZero(size=zero, on_piston=True),
        unworn=mm("62.19999"),
        wear_per_rebuild=mm("0.01001"),
        earlier=(
            EarlierRecord(date=date(2012, 5, 14), left=mm("62.01201"), found=mm("62.02103")),
            EarlierRecord(
                date=date(2017, 9, 2), left=mm("62.03001"), found=mm("62.04307"), uncertainty=301
            ),
        ),
        scratch=6_251,
        windows=(window("ring_seat", -40_001, 20_003),),
        bore_limit=mm("63.00001"),
        squish=Squish(
            base_low=mm("34.06001"),
            base_high=mm("34.06002"),
            head_step=-1_003,
            squish_before=81_007,
            deck_before=-2_001,
        ),
        routes=("finish hone",),
        piston="P-1",
        piston_size=mm("62.43999"),
        piston_mass=199_301,
        piston_kept=True,
        rings=(PinnedRing(groove=1, number="R-1"), PinnedRing(groove=2, number="R-2")),
        route="finish hone",
    )


def bare_cylinder() -> Cylinder:
    return Cylinder(
        name="two", material="steel", finished_size=mm("62.50001"), finished_half_width=301
    )
