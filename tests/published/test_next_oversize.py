"""The next-oversize rule of the FAA powerplant handbook (cylinder grinding), as real jobs.

Standard bore 3.875 in, oversizes 0.010, 0.015, 0.020 and 0.030 in: a bore worn past one
oversize is ground to the next larger that cleans up; at 0.015 the finished bore is
3.890 +/- 0.0005 in. The skirts (0.015 in below the bore) and the least cut are invented.
"""

from __future__ import annotations

import pytest

from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.plan import Answer

from ..oracle.small import bore, catalogue, hone, inch, job, piston, ring, window

STANDARD = inch("3.875")
HALF = inch("0.0005")
OVERSIZES = ("0.000", "0.010", "0.015", "0.020", "0.030")


def parts() -> Catalogue:
    sizes = [(text, STANDARD + inch(text)) for text in OVERSIZES]
    return catalogue(
        *(piston(f"P+{text}", size, size - inch("0.015"), base=STANDARD) for text, size in sizes),
        *(ring(f"R+{text}", size, inch("0.020")) for text, size in sizes),
        hone(HALF, name="grind", kind="bore and hone", min_cut=inch("0.001")),
        standard_bore=STANDARD,
        unit="in",
    )


def ground(worn: str, finishing: str) -> Answer:
    """A bore worn to that size at the top and less below."""
    windows = (
        window("clearance", inch("0.0145"), inch("0.0155")),
        window("end_gap", inch("0.0180"), inch("0.0220")),
    )
    cylinder = bore("1", inch(worn), inch(worn) - inch("0.003"))
    return decide(
        job(cylinder, windows=windows, finishing=finishing, routes=("grind",), unit="in"), parts()
    )


@pytest.mark.parametrize("finishing", ["set size", "piston in hand"])
@pytest.mark.parametrize(
    ("worn", "oversize"),
    [
        # 3.8850 less half a thousandth and a cut of a thousandth: 3.8835 just cleans up.
        ("3.8835", "0.010"),
        ("3.88355", "0.015"),
        # Worn past the first oversize.
        ("3.8855", "0.015"),
        ("3.8885", "0.015"),
        ("3.8890", "0.020"),
        # Past 0.020 there is only 0.030.
        ("3.8951", "0.030"),
        ("3.9035", "0.030"),
    ],
)
def test_next_larger_that_cleans_up(worn: str, oversize: str, finishing: str) -> None:
    answer = ground(worn, finishing)
    assert answer.status == "proven best"
    assert answer.plan is not None
    plan = answer.plan.cylinders[0]
    size = STANDARD + inch(oversize)
    assert (plan.piston.number, plan.rings[0].number) == (f"P+{oversize}", f"R+{oversize}")
    assert (plan.finish_small, plan.finish_large) == (size, size)
    assert (plan.bore_low, plan.bore_high) == (size - HALF, size + HALF)
    assert plan.removal == size - (inch(worn) - inch("0.003"))


def test_finished_bore_at_the_second_oversize() -> None:
    """3.890 +/- 0.0005 in, as printed."""
    answer = ground("3.8860", "set size")
    assert answer.plan is not None
    plan = answer.plan.cylinders[0]
    assert (plan.bore_low, plan.bore_high) == (inch("3.8895"), inch("3.8905"))


@pytest.mark.parametrize("finishing", ["set size", "piston in hand"])
def test_nothing_past_the_last_oversize(finishing: str) -> None:
    answer = ground("3.90355", finishing)
    assert answer.status == "nothing fits"
    assert answer.no_fit is not None
    assert {reason.rule for reason in answer.no_fit.reasons} >= {"clean_up", "clearance"}
