"""Limits of a bore that stays in service, as windows and limits of a job."""

from __future__ import annotations

import pytest

from fitsolver.metrology.form import bore_form
from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, Engine
from fitsolver.records.readings import Reading

from ..oracle.small import bore, catalogue, inch, job, piston, ring, window

NOMINAL = inch("4.2500")


def parts() -> Catalogue:
    """No route but leaving the bore: what may not stay has no plan."""
    return catalogue(
        piston("P", NOMINAL, inch("4.2440")),
        ring("R", NOMINAL, inch("0.0300")),
        standard_bore=NOMINAL,
        unit="in",
    )


@pytest.mark.parametrize(("worn", "stays"), [("4.25425", True), ("4.25430", False)])
def test_wear_per_inch_of_bore(worn: str, stays: bool) -> None:
    """At most 0.001 in per inch of bore (TM 10-3930-647-14-P): 0.00425 in at 4.25 in."""
    cylinder = bore("1", inch(worn), unworn=NOMINAL)
    limit = NOMINAL + NOMINAL // 1_000
    answer = decide(job(cylinder, engine=Engine(bore_limit=limit), unit="in"), parts())
    assert (answer.plan is not None) is stays
    assert bore_form(cylinder, "by axis").wear == inch(worn) - NOMINAL


@pytest.mark.parametrize(("top", "stays"), [("4.25200", True), ("4.25205", False)])
def test_taper_per_inch_of_travel(top: str, stays: bool) -> None:
    """At most 0.0005 in per inch of piston travel (TM 10-3930-647-14-P): 0.002 in over 4 in."""
    cylinder = bore("1", inch(top), inch("4.2510"), inch("4.2500"))
    limit = window("taper", None, 4 * inch("0.0005"))
    assert (decide(job(cylinder, windows=(limit,)), parts()).plan is not None) is stays


@pytest.mark.parametrize(("across", "stays"), [("4.2525", True), ("4.25255", False)])
def test_out_of_round(across: str, stays: bool) -> None:
    """At most 0.0025 in (TM 9-2815-202-34)."""
    readings = tuple(
        Reading(depth=inch("1"), angle=angle, size=size)
        for angle, size in ((0, inch(across)), (90, inch("4.2500")))
    )
    cylinder = Cylinder(name="1", material="iron", readings=readings)
    limit = window("out_of_round", None, inch("0.0025"))
    assert (decide(job(cylinder, windows=(limit,)), parts()).plan is not None) is stays
