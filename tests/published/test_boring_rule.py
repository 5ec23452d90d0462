"""The next-oversize rule and the boring rule, stage by stage.

FAA powerplant handbook (cylinder grinding): a bore worn past one oversize goes to the next
larger; at 0.015 in over 3.875 in it is finished to 3.890 +/- 0.0005 in. Workshop manuals: bore to
piston + clearance - what is left for honing; common practice, from memory: 0.03 to 0.10 mm on
diameter. Skirts and bores are invented.
"""

from __future__ import annotations

from typing import Any

import pytest

from fitsolver.picking.decide import decide
from fitsolver.planning.stages import in_stages
from fitsolver.records.catalogue import Catalogue, Stage
from fitsolver.records.stages import CylinderStages

from ..oracle.small import bore, catalogue, hone, inch, job, mm, piston, ring, span, window
from .test_next_oversize import STANDARD, ground
from .test_next_oversize import parts as oversizes

SKIRT, NOMINAL = mm("62.440"), mm("62.500")


def leaving(low: str, high: str) -> Catalogue:
    """A shop that bores, leaving that much for the hone."""
    return catalogue(
        piston("P", NOMINAL, mm("62.430"), mm("62.450")),
        ring("R", NOMINAL, mm("0.25")),
        hone(name="bore and hone", kind="bore and hone", min_cut=mm("0.1")),
        stages=(
            Stage(route="bore and hone", name="bore", leaves=span(mm(low), mm(high))),
            Stage(route="bore and hone", name="hone", leaves=span(0, 0)),
        ),
    )


def bored(low: str, high: str, **pins: Any) -> CylinderStages:
    shelf = leaving(low, high)
    cylinder = bore("1", mm("62.25"), mm("62.20"), piston="P", **pins)
    asked = job(cylinder, windows=(window("clearance", mm("0.06"), mm("0.09")),))
    (plan,) = in_stages(decide(asked, shelf), shelf).cylinders
    return plan


def test_piston_and_clearance_less_the_honing_allowance() -> None:
    """62.440 + 0.060 = 62.500; less 0.05 to 0.10 the boring size is 62.400 to 62.450."""
    (target,) = bored("0.05", "0.10", piston_size=SKIRT).targets
    boring, honing = target.cuts
    assert (boring.lowest, boring.highest) == (mm("62.400"), mm("62.450"))
    assert boring.diameter == mm("62.425")
    assert (honing.start, honing.diameter, honing.stock) == (mm("62.425"), mm("62.5"), mm("0.075"))


def test_three_hundredths_left_for_honing() -> None:
    (target,) = bored("0.03", "0.03", piston_size=SKIRT).targets
    boring, honing = target.cuts
    assert boring.lowest == boring.highest == boring.diameter == mm("62.470")
    assert (boring.stock, honing.stock) == (mm("0.270"), mm("0.03"))
    assert boring.dial_on_piston == mm("0.06") - mm("0.03")


def test_boring_goes_ahead_for_a_piston_not_yet_measured() -> None:
    """62.430 asks for 62.490, 62.450 for 62.510: 62.410 to 62.440 leaves enough for both."""
    plan = bored("0.05", "0.10")
    assert [target.finish for target in plan.targets] == [mm("62.490"), mm("62.510")]
    assert plan.ahead is not None
    (boring,) = plan.ahead.cuts
    assert (boring.lowest, boring.highest) == (mm("62.410"), mm("62.440"))
    assert (boring.diameter, plan.ahead.serves_both) == (mm("62.415"), True)
    assert plan.ahead.waits == ("hone",)


def test_exact_allowance_goes_ahead_to_the_smallest_only() -> None:
    plan = bored("0.03", "0.03")
    assert plan.ahead is not None
    (boring,) = plan.ahead.cuts
    assert (boring.diameter, plan.ahead.serves_both) == (mm("62.460"), False)


@pytest.mark.parametrize("finishing", ["set size", "piston in hand"])
@pytest.mark.parametrize(
    ("worn", "oversize"),
    [("3.8835", "0.010"), ("3.8855", "0.015"), ("3.8890", "0.020"), ("3.9035", "0.030")],
)
def test_next_oversize(worn: str, oversize: str, finishing: str) -> None:
    (plan,) = in_stages(ground(worn, finishing), oversizes()).cylinders
    (target,) = plan.targets
    (grinding,) = target.cuts
    assert grinding.stage == plan.route == "grind"
    assert grinding.diameter == STANDARD + inch(oversize)
    assert grinding.half_width == inch("0.0005")
    assert (plan.start.low, plan.start.high) == (inch(worn) - inch("0.003"), inch(worn))
    assert grinding.stock == STANDARD + inch(oversize) - plan.start.low
