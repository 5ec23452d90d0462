"""The stop of the dial on a warm bore: by hand, in the plan, its stages and its check."""

from __future__ import annotations

import pytest

from fitsolver.checking.check import violations
from fitsolver.picking.ready import made_ready
from fitsolver.planning.stages import in_stages
from fitsolver.records.base import Range
from fitsolver.records.measuring import Temperatures
from fitsolver.records.plan import Plan
from fitsolver.records.readings import GaugeZero
from fitsolver.records.windows import Window
from fitsolver.usecases import files as service

from ..rules import small

ZERO = 6_199_500


def job(at: Temperatures | None, *, zero: bool = True) -> small.Job:
    """62.000 read; the smallest finish is 61.956 + 0.061 + 0.002 = 62.019 at 20 °C."""
    cylinder = small.cylinder(
        zero=GaugeZero(size=ZERO) if zero else None, temperatures=at, bore_limit=6_250_000
    )
    return small.job(Window(fit="clearance", low=6_100, high=9_900), cylinders=(cylinder,))


def plan(task: small.Job) -> Plan:
    found = service.decide(task, small.catalogue()).plan
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("at", "stop"),
    [
        # Iron grows by 11.4e-6 per kelvin: 62.019 is 62.026070 at 30 °C, less 61.995.
        (Temperatures(bore=30_000), 3_107),
        # The gauge was set in steel (11.5e-6) at 30 °C as well: 61.995 was 62.002129 then.
        (Temperatures(bore=30_000, standard=30_000), 2_394),
        (Temperatures(bore=10_000), 1_693),
    ],
)
def test_by_hand(at: Temperatures, stop: int) -> None:
    item = plan(job(at)).cylinders[0]
    assert item.finish_large == 6_201_900
    assert item.dial_stop == Range(low=2_400, high=2_400)
    assert item.warm_dial is not None
    assert item.warm_dial.stop == Range(low=stop, high=stop)
    assert item.warm_dial.bore == at.bore


def test_only_where_it_is_another_figure() -> None:
    for task in (job(None), job(Temperatures()), job(Temperatures(bore=30_000), zero=False)):
        assert plan(task).cylinders[0].warm_dial is None


def test_stages_stop_there_too() -> None:
    answer = service.decide(job(Temperatures(bore=30_000)), small.catalogue())
    (item,) = in_stages(answer, small.catalogue()).cylinders
    assert item.warm_bore == 30_000
    (cut,) = item.targets[0].cuts
    assert (cut.dial, cut.dial_warm) == (2_400, 3_107)


def test_the_check_sees_a_wrong_one() -> None:
    task = made_ready(job(Temperatures(bore=30_000)), small.catalogue()).job
    good = plan(job(Temperatures(bore=30_000)))
    item = good.cylinders[0]
    assert item.warm_dial is not None
    assert not violations(task, small.catalogue(), good)
    moved = item.warm_dial.model_copy(update={"stop": Range(low=3_108, high=3_108)})
    other = item.warm_dial.model_copy(update={"bore": 31_000})
    for wrong in (moved, other, None):
        changed = item.model_copy(update={"warm_dial": wrong})
        told = good.model_copy(update={"cylinders": (changed,)})
        assert violations(task, small.catalogue(), told)
