"""The fits of one engine's handbook as a job, new and in service.

TM 55-1905-219-14-4, table of specifications; liner from TM 55-1905-221-14-3. Groove and ring
widths and the ring's gauge diameter are not given there and are invented so that the printed
clearances come out; all sizes in inches.
"""

from __future__ import annotations

from typing import Any

import pytest

from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, InHand, Job
from fitsolver.records.plan import Answer, Fit

from ..oracle.small import INCH, catalogue, groove, inch, job, piston, ring, span, window

LINER = inch("4.2495"), inch("4.2511")
SKIRT = inch("4.2428"), inch("4.2450")
CLEARANCE = window("clearance", inch("0.0045"), inch("0.0083"), service_high=inch("0.0120"))
GAP = window("end_gap", inch("0.0230"), inch("0.0380"), service_high=inch("0.0600"))
SIDE = window("side_clearance", inch("0.0040"), inch("0.0070"), service_high=inch("0.0180"))


def parts(gap_high: str = "0.0329", groove_high: str = "0.1890") -> Catalogue:
    grooves = (groove(1, inch("0.1880"), inch(groove_high)),)
    return catalogue(
        piston("P", LINER[0], *SKIRT, grooves=grooves),
        ring(
            "R",
            LINER[0],
            inch("0.0230"),
            inch(gap_high),
            width=span(inch("0.1820"), inch("0.1840")),
        ),
        standard_bore=LINER[0],
        unit="in",
    )


def liner(low: int = LINER[0], high: int = LINER[1], **more: Any) -> Cylinder:
    """A liner anywhere within its tolerance, as a finished bore."""
    half = (high - low) // 2
    return Cylinder(
        name="1", material="iron", finished_size=low + half, finished_half_width=half, **more
    )


def asked(cylinder: Cylinder, *windows: Any, **more: Any) -> Job:
    return job(cylinder, windows=windows, finishing="already finished", unit="in", **more)


def fit_of(answer: Answer, name: str) -> Fit:
    assert answer.plan is not None, answer.no_fit
    return next(fit for fit in answer.plan.cylinders[0].fits if fit.fit == name)


def test_new_parts_fill_the_printed_windows() -> None:
    """Skirt clearance 0.0045 to 0.0083 and side clearance 0.0040 to 0.0070, both to the edge.

    The ring's gap at 4.2495 in grows by pi x 0.0016 = 0.0050265 in up to the largest liner.
    """
    answer = decide(asked(liner(), CLEARANCE, GAP, SIDE), parts())
    assert answer.status == "proven best"
    clearance = fit_of(answer, "clearance")
    assert (clearance.least, clearance.most) == (inch("0.0045"), inch("0.0083"))
    side = fit_of(answer, "side_clearance")
    assert (side.least, side.most) == (inch("0.0040"), inch("0.0070"))
    gap = fit_of(answer, "end_gap")
    assert gap.least == inch("0.0230")
    assert gap.most == pytest.approx(0.0379265 * INCH, abs=1)


@pytest.mark.parametrize(
    "catalogue_of",
    [
        # 0.0330 + 0.0050265 = 0.0380265 in: past 0.0380.
        {"gap_high": "0.0330"},
        # 0.1891 - 0.1820 = 0.0071 in: past 0.0070.
        {"groove_high": "0.1891"},
    ],
)
def test_new_parts_past_a_printed_window(catalogue_of: dict[str, str]) -> None:
    assert decide(asked(liner(), CLEARANCE, GAP, SIDE), parts(**catalogue_of)).status == (
        "nothing fits"
    )


@pytest.mark.parametrize(("worn", "status"), [("0.0120", True), ("0.0121", False)])
def test_skirt_clearance_of_used_parts(worn: str, status: bool) -> None:
    """A kept piston may have up to 0.012 in (TM 55-1905-221-14-3); a new one may not."""
    bore = inch("4.2520")
    used = liner(bore, bore, piston="P", piston_size=bore - inch(worn), piston_kept=True)
    answer = decide(asked(used, CLEARANCE), parts())
    assert (answer.plan is not None) is status
    if answer.plan is not None:
        assert fit_of(answer, "clearance").service
    new = used.model_copy(update={"piston_kept": False})
    assert decide(asked(new, CLEARANCE), parts()).plan is None


@pytest.mark.parametrize(("gap", "status"), [("0.0600", True), ("0.0601", False)])
def test_end_gap_of_used_rings(gap: str, status: bool) -> None:
    """A kept ring may have up to 0.0600 in in the bore it was measured in."""
    bore = inch("4.2503")
    held = InHand(number="R", gap=inch(gap), gap_bore=bore, kept=True)
    # The new ring would do as well, so it is taken off the shelf.
    sold_out = parts()
    sold_out = sold_out.model_copy(
        update={"rings": (sold_out.rings[0].model_copy(update={"stock": 0}),)}
    )
    answer = decide(asked(liner(bore, bore), GAP, in_hand=(held,)), sold_out)
    assert (answer.plan is not None) is status
    if answer.plan is not None:
        assert answer.plan.cylinders[0].rings[0].kept


@pytest.mark.parametrize(("width", "status"), [("0.2000", True), ("0.2001", False)])
def test_side_clearance_of_a_used_piston(width: str, status: bool) -> None:
    """A worn groove may have up to 0.0180 in over the ring: 0.2000 - 0.1820."""
    bore = inch("4.2503")
    used = liner(bore, bore, piston="P", piston_kept=True)
    answer = decide(asked(used, SIDE), parts(groove_high=width))
    assert (answer.plan is not None) is status
