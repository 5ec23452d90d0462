"""ISO 286 fits as clearances: tables against tables, and each fit as a finished bore in a job.

Figures and their sources are in `iso286_fits.csv` beside this file. The tolerance factor i of
the 1988 edition is not used: its formula does not give every cell of the tables.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from fitsolver.fits.clearance import clearance
from fitsolver.picking.decide import decide
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import Answer

from ..oracle.small import catalogue, job, mm, piston, ring, span, window

MICRON = 100  # ticks
with (Path(__file__).parent / "iso286_fits.csv").open(newline="", encoding="utf-8") as _file:
    TABLE = {row["id"]: row["value"] for row in csv.DictReader(_file)}

RANGES = {"30-50": "50", "50-80": "62", "80-120": "86"}  # a size in millimetres inside each range
FITS = {"H7g6": ("IT7", "g6"), "H8f7": ("IT8", "f7")}
CASES = [(fit, size) for fit in FITS for size in RANGES]


def ticks(name: str) -> int:
    return int(TABLE[name]) * MICRON


@pytest.mark.parametrize("size", RANGES)
@pytest.mark.parametrize(("shaft", "grade"), [("g6", "IT6"), ("f7", "IT7")])
def test_deviations_span_their_grade(shaft: str, grade: str, size: str) -> None:
    """es - ei of a shaft is the width of its tolerance grade (ISO 286-2 against ISO 286-1)."""
    assert ticks(f"{shaft}_es_{size}") - ticks(f"{shaft}_ei_{size}") == ticks(f"{grade}_{size}")


@pytest.mark.parametrize(("fit", "size"), CASES)
def test_least_and_greatest_clearance(fit: str, size: str) -> None:
    hole, shaft = FITS[fit]
    nominal = mm(RANGES[size])
    skirt = span(nominal + ticks(f"{shaft}_ei_{size}"), nominal + ticks(f"{shaft}_es_{size}"))
    least, most = printed(fit, size)
    found = clearance(nominal, nominal + ticks(f"{hole}_{size}"), skirt)
    assert (found.low, found.high) == (least, most)


@pytest.mark.parametrize(("fit", "size"), CASES)
def test_fit_as_a_finished_bore(fit: str, size: str) -> None:
    """A window of exactly the printed clearances holds with nothing to spare, not a tick less."""
    least, most = printed(fit, size)
    answer = finished(fit, size, least, most)
    assert answer.status == "proven best"
    assert answer.plan is not None
    found = next(f for f in answer.plan.cylinders[0].fits if f.fit == "clearance")
    assert (found.least, found.most) == (least, most)
    assert (found.slack_low, found.slack_high) == (0, 0)
    assert finished(fit, size, least + 1, most).status == "nothing fits"
    assert finished(fit, size, least, most - 1).status == "nothing fits"


def printed(fit: str, size: str) -> tuple[int, int]:
    least, most = TABLE[f"{fit}_{size}"].split("/")
    return int(least) * MICRON, int(most) * MICRON


def finished(fit: str, size: str, least: int, most: int) -> Answer:
    """A bore finished to the hole's tolerance, with a piston made to the shaft's."""
    hole, shaft = FITS[fit]
    nominal, width = mm(RANGES[size]), ticks(f"{hole}_{size}")
    bore = Cylinder(
        name="1",
        material="iron",
        finished_size=nominal + width // 2,
        finished_half_width=width // 2,
    )
    parts = catalogue(
        piston(
            "shaft",
            nominal,
            nominal + ticks(f"{shaft}_ei_{size}"),
            nominal + ticks(f"{shaft}_es_{size}"),
        ),
        ring("R", nominal, mm("0.2")),
        standard_bore=nominal,
    )
    asked: Job = job(
        bore, windows=(window("clearance", least, most),), finishing="already finished"
    )
    return decide(asked, parts)
