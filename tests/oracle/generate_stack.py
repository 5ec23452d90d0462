"""Ports, engine and windows for port timing and compression ratio, near what the parts come to."""

from __future__ import annotations

from math import acos, degrees, pi
from typing import Any

from fitsolver.records.job import Squish
from fitsolver.records.readings import PortBand
from fitsolver.records.windows import Window

from .dice import Dice, Scale

MM = 100_000
STROKE, ROD, CHAMBER = 50 * MM, 95 * MM, 100 * 1000 * MM**3  # 100 cm3
PORTS = (
    PortBand(name="exhaust", top=30 * MM, bottom=49 * MM),
    PortBand(name="transfer", top=38 * MM, bottom=49 * MM),
)
#: Steps that the crown and the squish stand at in the middle of what is drawn.
DECK, SQUISH = 33, 38


def facts(dice: Dice) -> dict[str, Any]:
    """What of the engine timing and ratio are figured from."""
    chamber = CHAMBER + dice.between(-9, 9) * MM**3
    return {"stroke": STROKE, "rod_length": ROD + dice.between(-9, 9), "chamber_volume": chamber}


def measured(dice: Dice, scale: Scale, squish: Squish) -> Squish:
    """The squish base with the squish as it was, and a head step."""
    before = scale.length(SQUISH + dice.between(-3, 3))
    step = scale.length(dice.between(-2, 2))
    return squish.model_copy(update={"squish_before": before, "head_step": step})


def windows(dice: Dice, scale: Scale) -> list[Window]:
    """Windows on ports, each or all, and on the ratio, in thousandths."""
    found = []
    for port in (None, PORTS[0], PORTS[1]):
        if dice.chance(40 if port is None else 30):
            middle = _angle((port or PORTS[0]).top - scale.length(DECK))
            wide = max(3, _angle(30 * MM) - _angle(30 * MM - scale.length(12)))
            if port is None:  # it holds for both
                found.append(Window(fit="port_timing", **_edges(dice, middle, wide, 30_000)))
            else:
                found.append(
                    Window(fit="port_timing", port=port.name, **_edges(dice, middle, wide, 0))
                )
    if dice.chance(60):
        area = pi / 4 * (scale.bore + scale.length(15)) ** 2
        left = [CHAMBER + area * scale.length(steps) for steps in (-5, 5)]
        ratios = [1000 + 1000 * area * STROKE / volume for volume in left]
        wide = max(2, round(ratios[0] - ratios[1]))
        found.append(Window(fit="compression", **_edges(dice, round(sum(ratios) / 2), wide, 0)))
    return found


def _edges(dice: Dice, middle: int, wide: int, above: int) -> dict[str, Any]:
    low = middle - dice.between(wide // 4, 5 * wide // 4)
    high = max(low, middle + dice.between(wide // 4, 5 * wide // 4)) + above
    missing = None if dice.chance(45) else dice.one_of("low", "high")
    return {
        "low": None if missing == "low" else low,
        "high": None if missing == "high" else high,
    }


def _angle(travel: int) -> int:
    """The crank angle at a travel, near enough."""
    radius = STROKE / 2
    left = radius + ROD - travel
    cosine = (radius**2 + left**2 - ROD**2) / (2 * radius * left)
    return round(1000 * degrees(acos(cosine)))
