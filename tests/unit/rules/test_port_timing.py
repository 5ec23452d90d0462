"""Base 34.5 mm - compression height 34.0 + base gasket 0.49 to 0.51: the crown stands 0.99 to
1.01 mm below the top face, and a port at 28.24 mm is passed at a travel of 27.23 to 27.25 mm.

With a stroke of 54.5 and a rod of 110 mm a depth of 27.25 is 82.884863 degrees (cosine rule; the
check value of geometry tables), and 0.02 mm less, at 0.487 mm a degree, 82.843787.
"""

from typing import Any

import pytest

from fitsolver.explain.why import nothing_fits
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Engine, GasketPlace, Job, Squish
from fitsolver.records.readings import PortBand
from fitsolver.records.windows import Window
from fitsolver.solving.problem import problem

from . import small

PORTS = (
    PortBand(name="exhaust", top=2_824_000, bottom=4_000_000),
    PortBand(name="transfer", top=3_400_000, bottom=4_500_000),
)
LEAST, MOST = 82_843, 82_885


def parts(**changes: Any) -> Catalogue:
    return small.catalogue(gaskets=(small.part(small.GASKET, place="base"),), **changes)


def timed(low: int | None, high: int | None, port: str | None = "exhaust", **more: Any) -> Job:
    return small.job(
        Window(fit="port_timing", port=port, low=low, high=high),
        *more.pop("windows", ()),
        cylinders=(
            small.cylinder(squish=Squish(base_low=3_450_000, base_high=3_450_000), ports=PORTS),
        ),
        gaskets=(GasketPlace(place="base"),),
        engine=Engine(stroke=5_450_000, rod_length=11_000_000, **more),
    )


def test_the_port_opens_on_both_edges() -> None:
    plan = small.holds(timed(LEAST, MOST), parts())
    [line] = [fit for fit in plan.cylinders[0].fits if fit.fit == "port_timing"]
    assert (line.port, line.least, line.most) == ("exhaust", LEAST, MOST)
    assert (line.slack_low, line.slack_high) == (0, 0)


def test_a_thousandth_of_a_degree_less_room_and_it_does_not() -> None:
    sentence = small.fails("port_timing", timed(LEAST + 1, MOST), parts())
    assert "under the cylinder" in sentence and "82.844 to 82.885°" in sentence
    small.fails("port_timing", timed(LEAST, MOST - 1), parts())


def test_a_window_for_every_port_is_one_for_each() -> None:
    small.holds(timed(LEAST, 120_000, port=None), parts())
    small.fails("port_timing", timed(LEAST, 90_000, port=None), parts())


def test_an_own_window_comes_before_the_one_for_every_port() -> None:
    own = Window(fit="port_timing", port="transfer", low=90_000)
    plan = small.holds(timed(LEAST, MOST, port=None, windows=(own,)), parts())
    assert [fit.port for fit in plan.cylinders[0].fits if fit.port] == ["exhaust", "transfer"]


def test_a_port_below_the_crowns_reach_is_never_in_its_window() -> None:
    low = PortBand(name="exhaust", top=5_600_000, bottom=6_000_000)
    task = timed(0, None)
    deep = task.cylinders[0].model_copy(update={"ports": (low,)})
    small.fails("port_timing", task.model_copy(update={"cylinders": (deep,)}), parts())


def test_a_piston_of_unknown_compression_height_is_refused() -> None:
    unknown = small.part(small.PISTON, compression_height=None)
    sentence = small.fails("port_timing", timed(LEAST, MOST), parts(pistons=(unknown,)))
    assert "compression height" in sentence


def test_a_head_gasket_does_not_count() -> None:
    head = small.part(small.GASKET, number="H", place="head")
    offered = small.catalogue(gaskets=(small.part(small.GASKET, place="base"), head))
    task = timed(LEAST, MOST).model_copy(
        update={"gaskets": (GasketPlace(place="base"), GasketPlace(place="head"))}
    )
    small.holds(task, offered)


@pytest.mark.parametrize(("low", "high"), [(LEAST + 7, 90_000), (None, MOST - 7)])
def test_why_names_the_smallest_wider_window(low: int | None, high: int) -> None:
    told = nothing_fits(problem(timed(low, high), parts()))
    assert [reason.rule for reason in told.conflicts] == ["port_timing"]
    [opening] = [opening for opening in told.openings if opening.kind == "window"]
    assert (opening.by, opening.measure, opening.opens_job) == (7, "thousandths", True)
    assert "port timing of exhaust 82." in opening.sentence


def test_the_check_sees_it() -> None:
    task = timed(LEAST, MOST)
    plan = small.holds(task, parts())
    assert not small.broken("port_timing", task, parts(), plan)
    assert small.broken("port_timing", timed(LEAST + 1, MOST), parts(), plan)
    assert small.broken("port_timing", timed(LEAST, MOST - 1), parts(), plan)


KEPT = small.Case(timed(LEAST, MOST), parts())
REFUSED = small.Case(timed(LEAST + 1, MOST), parts())
