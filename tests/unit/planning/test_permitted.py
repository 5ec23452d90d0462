"""Permitted finish sizes, by moving the finish size and asking the solver-free check.

For a piston in hand the question is put for the largest and for the smallest piston of the
tolerance by itself: each has a finish size of its own.
"""

from __future__ import annotations

from typing import Any

import pytest

from fitsolver.checking.check import violations
from fitsolver.checking.end_gap import least_filing
from fitsolver.checking.view import view
from fitsolver.fits.end_gap import FARTHEST
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Finishing, Job
from fitsolver.records.plan import CylinderPlan, Plan

from ..rules import small
from .drawn import planned


def test_the_figures_of_a_set_size_by_hand() -> None:
    """Bore 62.000, hone at least 0.005 at most 0.050, +-0.002; skirt 61.955 to 61.956.

    Clean at 62.005: finish 62.007. Clearance up to 0.080 with the smallest: 62.035 - 0.002.
    """
    window = small.Window(fit="clearance", low=4_000, high=8_000)
    [found] = small.holds(small.job(window)).cylinders
    assert (found.lowest, found.highest) == (6_200_700, 6_203_300)
    assert found.highest_small == found.highest
    assert (found.finish_small, found.finish_large) == (6_200_700, 6_200_700)


def test_the_figures_of_a_piston_in_hand_by_hand() -> None:
    """Clearance 0.060 to 0.080: the largest piston, 61.956, asks for 62.018, takes 62.034.

    The smallest, 61.955, asks for 62.017 and takes 62.033.
    """
    window = small.Window(fit="clearance", low=6_000, high=8_000)
    [found] = small.holds(small.job(window, finishing="piston in hand")).cylinders
    assert (found.finish_small, found.finish_large) == (6_201_700, 6_201_800)
    assert (found.lowest, found.highest) == (6_201_800, 6_203_400)
    assert found.highest_small == 6_203_300
    assert (found.dial_on_piston.low, found.dial_on_piston.high) == (6_200, 6_200)
    assert (found.stock_worst, found.stock_tightest) == (1_800, 1_800)


@pytest.mark.parametrize("finishing", ["set size", "piston in hand"])
def test_one_tick_beyond_what_is_permitted_the_check_objects(finishing: Finishing) -> None:
    asked = 0
    for job, catalogue, plan in planned(seed=7, draws=900, finishing=finishing):
        for index, item in enumerate(plan.cylinders):
            if not item.machined:
                assert (item.lowest, item.highest, item.highest_small) == (None, None, None)
                continue
            for low, high, at in _asked(item, finishing):
                trial = _Trial(job, catalogue, plan, index, at)
                asked += 1
                if low is not None:
                    assert trial.permits(low), trial.wrong(low)
                    assert not trial.permits(low - 1)
                if high is None:
                    assert trial.permits(item.finish_large + 10_000)
                else:
                    assert trial.permits(high), trial.wrong(high)
                    assert not trial.permits(high + 1)
    assert asked > 100


def _asked(item: CylinderPlan, finishing: str) -> list[tuple[int | None, int | None, Range]]:
    """Lowest and highest to be tried, with the skirt sizes that they are for."""
    if finishing == "set size":
        return [(item.lowest, item.highest, item.skirt)]
    largest = Range(low=item.skirt.high, high=item.skirt.high)
    smallest = Range(low=item.skirt.low, high=item.skirt.low)
    return [(item.lowest, item.highest, largest), (None, item.highest_small, smallest)]


class _Trial:
    """One cylinder of a plan with a piston of a given skirt, finished to any size."""

    def __init__(
        self, job: Job, catalogue: Catalogue, plan: Plan, index: int, skirt: Range
    ) -> None:
        number = plan.cylinders[index].piston.number
        self.job, self.plan, self.index = job, plan, index
        self.skirt = skirt
        self.catalogue = catalogue
        if not plan.cylinders[index].skirt.known:  # a measured one has the size it has
            self.catalogue = catalogue.model_copy(
                update={
                    "pistons": tuple(
                        _changed(p, skirt=skirt) if p.number == number else p
                        for p in catalogue.pistons
                    )
                }
            )

    def permits(self, finish: int) -> bool:
        return not self.wrong(finish)

    def wrong(self, finish: int) -> list[str]:
        """What the check says of this cylinder, but for what is best and least."""
        item = self.plan.cylinders[self.index]
        half = item.half_width
        item = _changed(
            item,
            finish_small=finish,
            finish_large=finish,
            bore_low=finish - half,
            bore_high=finish + half,
            skirt=self.skirt,
            fits=(),
        )
        plan = self._with(item)
        seen = view(self.job, self.catalogue, plan).cylinders[self.index]
        rings = tuple(_changed(r, filing=least_filing(seen, r.groove)) for r in item.rings)
        plan = self._with(_changed(item, rings=rings))
        far = [
            f"ring {groove} out of reach"
            for groove, ring in seen.rings.items()
            if item.bore_high - ring.gauge_diameter > FARTHEST
        ]
        said = violations(self.job, self.catalogue, plan)
        mine = f"cylinder {item.cylinder}"
        return far + [
            sentence
            for sentence in said
            if not sentence.startswith(
                ("sizes:", "figures:", "stack:", "objective:", "availability:")
            )
            and "to expect" not in sentence  # the lines of the fits are left out here
            and (f"{mine}:" in sentence or f"{mine}," in sentence or "displacement" in sentence)
        ]

    def _with(self, item: CylinderPlan) -> Plan:
        cylinders = list(self.plan.cylinders)
        cylinders[self.index] = item
        return _changed(self.plan, cylinders=tuple(cylinders))


def _changed(record: Any, **update: Any) -> Any:
    return record.model_copy(update=update)
