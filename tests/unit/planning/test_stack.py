"""Port timing and compression ratio in a plan, worked out by hand (mm)."""

from __future__ import annotations

from typing import Any

import pytest

from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Engine, GasketPlace, Job, Squish
from fitsolver.records.plan import CompressionRatio, StackEffect
from fitsolver.records.readings import PortBand

from ...published.derived import travel
from ..rules import small

MM = 100_000
STROKE, ROD = 58 * MM, 110 * MM
PORT = PortBand(name="exhaust", top=34 * MM, bottom=50 * MM)
#: Squish 0.90 over a head gasket of 0.50 and a base gasket of 0.25: the crown stood 0.40 down.
#: Base 0.90 - 0.75 + 34.00 = 34.15.
BEFORE = Squish(base_low=3_415_000, base_high=3_415_000, squish_before=90_000, deck_before=40_000)
ENGINE = Engine(stroke=STROKE, rod_length=ROD, chamber_volume=18 * 10**18)
#: Base gaskets of 0.29 to 0.31; a head gasket of 0.49 to 0.51 (small.GASKET).
UNDER = small.part(
    small.GASKET, number="U", place="base", compressed=Range(low=29_000, high=31_000)
)


def parts_of(height: Range | None = small.PISTON.compression_height) -> Catalogue:
    """The small catalogue with a gasket for each place."""
    piston = small.part(small.PISTON, compression_height=height)
    return small.catalogue(gaskets=(small.GASKET, UNDER), pistons=(piston,))


def task_of(
    engine: Engine = ENGINE,
    base: Squish | None = BEFORE,
    ports: tuple[PortBand, ...] = (PORT,),
) -> Job:
    return small.job(
        cylinders=(small.cylinder(squish=base, ports=ports),),
        gaskets=(GasketPlace(place="head"), GasketPlace(place="base")),
        engine=engine,
    )


def effect(
    height: Range | None = small.PISTON.compression_height, **changes: Any
) -> StackEffect | None:
    return small.holds(task_of(**changes), parts_of(height)).cylinders[0].stack


def said(height: Range | None = small.PISTON.compression_height, **changes: Any) -> StackEffect:
    found = effect(height, **changes)
    assert found is not None
    return found


def test_where_the_crown_stands() -> None:
    """34.15 - 34.00 + 0.29 to 0.31: the base gasket counts, the head gasket does not."""
    found = said()
    assert found.deck == Range(low=44_000, high=46_000)
    assert found.deck_before == 40_000


def test_a_step_of_the_head_is_no_part_of_the_deck() -> None:
    found = said(base=BEFORE.model_copy(update={"head_step": 5_000, "deck_before": 35_000}))
    assert found.deck == Range(low=39_000, high=41_000)


def test_the_port_opens_earlier_with_a_thicker_base_gasket() -> None:
    [port] = said().ports
    assert port.port == "exhaust"
    for angle, depth in ((port.least, 3_354_000), (port.most, 3_356_000), (port.before, 3_360_000)):
        assert travel(angle / 1_000, STROKE, ROD) == pytest.approx(depth, abs=120)
    # Never inside what is to be expected: rounded outwards by less than a thousandth.
    assert travel(port.least / 1_000, STROKE, ROD) <= 3_354_000
    assert travel(port.most / 1_000, STROKE, ROD) >= 3_356_000
    assert port.shift_least == pytest.approx(port.least - port.before, abs=1)
    assert port.shift_most == pytest.approx(port.most - port.before, abs=1)
    assert port.shift_most < 0


def test_a_higher_piston_opens_it_later() -> None:
    [port] = said(height=Range(low=3_420_000, high=3_420_000)).ports
    assert port.shift_least > 0


def test_the_same_parts_shift_nothing() -> None:
    same = BEFORE.model_copy(update={"deck_before": 45_000})
    height = Range(low=34 * MM - 1_000, high=34 * MM + 1_000)
    [port] = said(base=same, height=height).ports
    assert port.shift_least < 0 < port.shift_most


def test_ratio_by_hand() -> None:
    """Before: 62.000 x 58 mm sweep 175.104 cm3; above 18 cm3 that is 10.7280.

    Squish afterwards 34.15 - 34.00 + 0.78 to 0.82 = 0.93 to 0.97, 0.03 to 0.07 more. Bore
    62.005: area 30.19561 cm2, swept 175.1345, volume 18.21137: 10.6168. Bore 62.009: area
    30.19951, swept 175.1571, volume 18.09060: 10.6823.
    """
    assert said().ratio == CompressionRatio(
        least=10_616, most=10_683, least_before=10_728, most_before=10_729
    )


def test_a_rod_that_is_too_short_to_turn() -> None:
    with pytest.raises(ValueError, match="half of the stroke"):
        Engine(stroke=STROKE, rod_length=STROKE // 2)
    assert Engine(stroke=STROKE, rod_length=STROKE // 2 + 1).rod_length == STROKE // 2 + 1


def test_what_is_not_known_is_left_out() -> None:
    bare = Squish(base_low=3_415_000, base_high=3_415_000)
    [port] = said(base=bare).ports
    assert (port.before, port.shift_least, port.shift_most) == (None, None, None)
    assert said(base=bare).ratio is None
    assert effect(base=None) is None
    assert effect(height=None) is None
    assert effect(engine=Engine(stroke=STROKE)) is None
    only_ratio = said(engine=ENGINE.model_copy(update={"rod_length": None}))
    assert (only_ratio.ports, only_ratio.ratio is None) == ((), False)
    only_ports = said(engine=ENGINE.model_copy(update={"chamber_volume": None}))
    assert (len(only_ports.ports), only_ports.ratio) == (1, None)


def test_a_volume_that_the_squish_would_fill_gives_no_ratio() -> None:
    """1 cm3 stands 0.33 mm high; a piston 0.5 mm higher leaves nothing of it."""
    tiny = ENGINE.model_copy(update={"chamber_volume": 10**18})
    assert said(engine=tiny, height=Range(low=3_450_000, high=3_450_000)).ratio is None


@pytest.mark.parametrize("top", [0, 44_500, 59 * MM])
def test_a_port_edge_beyond_the_travel_is_left_out(top: int) -> None:
    port = PortBand(name="odd", top=top, bottom=80 * MM, decides=True)
    assert said(ports=(port,)).ports == ()
    assert [p.port for p in said(ports=(port, PORT)).ports] == ["exhaust"]
