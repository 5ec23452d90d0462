"""Facts of the trade as jobs. Each is common practice, no source; the parts are invented."""

from __future__ import annotations

from typing import Any

import pytest

from fitsolver.metrology.form import bore_form
from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import CylinderPlan
from fitsolver.records.readings import GaugeZero, PortBand, Reading

from ..oracle.small import catalogue, hone, inch, job, mm, piston, ring, window

SKIRT = mm("50.360")
NOMINAL = mm("50.500")
PORT = PortBand(name="exhaust", top=mm("35"), bottom=mm("45"))
CLEARANCE = window("clearance", mm("0.145"), mm("0.150"))


def read(deciding: str, port: str, **more: Any) -> Cylinder:
    """The bore by its gauge, zeroed on the piston: three depths, and one beside the port."""
    dials = [(mm("10"), mm(deciding)), (mm("25"), mm(deciding)), (mm("55"), mm(deciding))]
    readings = tuple(
        Reading(depth=depth, angle=0, size=SKIRT + dial, dial=dial)
        for depth, dial in [*dials, (mm("40"), mm(port))]
    )
    return Cylinder(
        name="1",
        material="iron",
        readings=readings,
        ports=(PORT,),
        zero=GaugeZero(size=SKIRT, on_piston=True),
        **more,
    )


def parts(*rings: Any) -> Catalogue:
    return catalogue(
        piston("P-00", NOMINAL, mm("50.355"), mm("50.365")),
        piston("P-25", mm("50.75"), mm("50.605"), mm("50.615"), base=NOMINAL),
        *(rings or (ring("R-00", NOMINAL, mm("0.20"), mm("0.25")),)),
        hone(name="light hone", kind="glaze-break", max_cut=mm("0.02")),
        hone(name="bore and hone", kind="bore and hone", min_cut=mm("0.05")),
        standard_bore=NOMINAL,
    )


def planned(asked: Job, shelf: Catalogue) -> CylinderPlan:
    answer = decide(asked, shelf)
    assert answer.status == "proven best"
    assert answer.plan is not None
    return answer.plan.cylinders[0]


def test_light_hone_keeps_the_piston_of_the_same_size() -> None:
    """Common practice, no source: a bore of about 50.5 mm whose gauge, zeroed on the piston,
    reads 0.14 mm is honed lightly to 0.145 mm; 0.005 mm goes and the piston stays."""
    cylinder = read("0.140", "0.1445", piston="P-00", piston_size=SKIRT)
    plan = planned(job(cylinder, windows=(CLEARANCE,)), parts())
    assert (plan.piston.number, plan.route) == ("P-00", "light hone")
    assert plan.removal == mm("0.005")
    assert plan.finish_large == SKIRT + mm("0.145")
    assert plan.dial_stop is not None
    assert (plan.dial_stop.low, plan.dial_stop.high) == (mm("0.145"), mm("0.145"))
    assert plan.dial_zero_on_piston


def test_light_hone_is_preferred_to_the_next_size() -> None:
    """Common practice, no source: with nothing pinned, the same size is chosen as well."""
    plan = planned(job(read("0.140", "0.1445"), windows=(CLEARANCE,)), parts())
    # The piston of 50.355..50.365 may be as large as 50.365: 0.145 above it is 50.510.
    assert (plan.piston.number, plan.route) == ("P-00", "light hone")
    assert plan.removal == mm("0.010")


def test_port_side_excess_is_reported() -> None:
    """Common practice, no source: after the hone the gauge reads 0.145 mm and just under
    0.15 mm near the exhaust port. The port's readings are reported and do not decide."""
    cylinder = read("0.145", "0.149", piston="P-00", piston_size=SKIRT)
    form = bore_form(cylinder, "by axis")
    assert form.port_excess == mm("0.004")
    assert form.largest == SKIRT + mm("0.145")
    answer = decide(job(cylinder, windows=(CLEARANCE,), finishing="already finished"), parts())
    assert answer.plan is not None
    assert (answer.plan.cylinders[0].route, answer.plan.cylinders[0].removal) == ("as is", 0)
    assert answer.forms[0].port_excess == mm("0.004")


@pytest.mark.parametrize(
    ("on_the_shelf", "number", "filing"),
    [
        # 50.75 is 0.245 over 50.505: 0.20 - 0.245 pi = -0.5697, opened to 0.20 by 0.7697.
        (("R-00", "R-25", "R-50"), "R-25", "0.76969"),
        # Two sizes over it is 0.20 - 0.495 pi = -1.3551, opened by 1.5551.
        (("R-00", "R-50"), "R-50", "1.55509"),
    ],
)
def test_a_ring_over_size_is_filed_to_fit(
    on_the_shelf: tuple[str, ...], number: str, filing: str
) -> None:
    """Common practice, no source: a ring whose gap in that bore comes out above the window is
    replaced by one a size or two over, filed to fit."""
    rings = [
        # 0.35 + 0.005 pi = 0.3657 is above 0.30: metal cannot be put back.
        ring("R-00", NOMINAL, mm("0.30"), mm("0.35")),
        ring("R-25", mm("50.75"), mm("0.20"), mm("0.25"), file_most=mm("2")),
        ring("R-50", mm("51.00"), mm("0.20"), mm("0.25"), file_most=mm("2")),
    ]
    cylinder = read("0.140", "0.1445", piston="P-00", piston_size=SKIRT)
    gap = window("end_gap", mm("0.20"), mm("0.30"))
    shelf = parts(*(r for r in rings if r.number in on_the_shelf))
    plan = planned(job(cylinder, windows=(CLEARANCE, gap)), shelf)
    assert plan.removal == mm("0.005")
    assert plan.rings[0].number == number
    assert plan.rings[0].filing == pytest.approx(mm(filing), abs=1)
    fit = next(fit for fit in plan.fits if fit.fit == "end_gap")
    assert fit.filed == plan.rings[0].filing


@pytest.mark.parametrize(
    ("gap", "status"),
    [("0.0140", True), ("0.01395", False), ("0.0320", True), ("0.03205", False)],
)
def test_end_gap_per_unit_of_bore(gap: str, status: bool) -> None:
    """Common practice, from memory: at least 0.0035 of the bore, and above
    0.008 of it the bore is oversize. At 4 in that is 0.014 to 0.032 in."""
    size = inch("4")
    shelf = catalogue(
        piston("P", size, inch("3.995")), ring("R", size, inch(gap)), standard_bore=size
    )
    per_bore = window("end_gap", 3_500_000, 8_000_000, per_bore=True)
    bore = Cylinder(name="1", material="iron", finished_size=size)
    asked = job(bore, windows=(per_bore,), finishing="already finished", unit="in")
    assert (decide(asked, shelf).plan is not None) is status
