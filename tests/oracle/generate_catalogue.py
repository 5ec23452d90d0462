"""Small random catalogues, drawn to a scale at which everything can be tried."""

from __future__ import annotations

from typing import Any

from fitsolver.records.base import Range
from fitsolver.records.catalogue import (
    Catalogue,
    Gasket,
    Groove,
    Kit,
    KitItem,
    Piston,
    Ring,
    Route,
)

from .dice import Dice, Scale, Theme

OVERSIZE = 30  # steps from one oversize to the next
CLEARANCE = 10  # steps that a skirt is made below its nominal bore
GROOVE_WIDTH, HEIGHT = 150, 3_000
PLACES = ("base", "head")


def draw_catalogue(dice: Dice, theme: Theme, scale: Scale) -> Catalogue:
    """Draw a catalogue with pistons, rings for every groove, gaskets, kits and routes."""
    grooves = dice.between(1, theme.grooves)
    places = PLACES[: dice.between(1, theme.places)] if theme.places else ()
    pistons = [
        _piston(dice, theme, scale, f"P-{9 - i}", grooves, i % 3 if dice.chance(70) else 3)
        for i in range(dice.between(*theme.pistons))
    ]
    rings = _rings(dice, theme, scale, grooves, pistons)
    gaskets = [
        _gasket(dice, theme, scale, f"G-{place}-{i}", place)
        for place in places
        for i in range(dice.between(1, 3))
    ]
    kits = [
        _kit(dice, theme, f"K-{9 - i}", pistons, rings, gaskets)
        for i in range(dice.between(0, theme.kits))
    ]
    return Catalogue(
        name="random",
        family="random",
        standard_bore=scale.bore,
        unit=scale.unit,
        pistons=tuple(pistons),
        rings=tuple(rings),
        gaskets=tuple(gaskets),
        kits=tuple(kits),
        routes=tuple(_routes(dice, scale)),
    )


def _sold(dice: Dice, theme: Theme) -> dict[str, Any]:
    """Price, stock and lead time; few distinct prices, so that plans are often equally dear."""
    if not dice.chance(theme.supply):
        return {"price": 100 * dice.between(1, 9), "stock": dice.between(3, 8), "lead_days": 3}
    return {
        "price": None if dice.chance(10) else 100 * dice.between(0, 9),
        "stock": dice.between(0, 2),
        "lead_days": dice.one_of(2, 0, 5, 9, None),
    }


def _piston(dice: Dice, theme: Theme, scale: Scale, number: str, grooves: int, size: int) -> Piston:
    oversize, grade = scale.length(OVERSIZE * dice.one_of(size, size, 1)), dice.one_of(0, 2, -2, 1)
    if dice.chance(5):  # a coated skirt, about as large as its nominal bore
        grade = CLEARANCE + dice.between(-3, 3)
    known = not dice.chance(10)
    height = scale.range(HEIGHT + dice.between(-8, 8), dice.between(0, 2))
    return Piston(
        number=number,
        oversize=oversize,
        nominal_bore=scale.bore + oversize,
        skirt=_moved(scale.range(grade - CLEARANCE, dice.between(0, 2)), scale.bore + oversize),
        pin_diameter=scale.length(900 + (dice.chance(10))) if known else None,
        compression_height=height if theme.places and known else None,
        grooves=tuple(
            Groove(
                number=n,
                width=scale.range(GROOVE_WIDTH + dice.between(-1, 1), dice.between(0, 1)),
                depth=scale.length(dice.between(60, 64)) if dice.chance(30) else None,
            )
            for n in range(1, grooves + 1)
        ),
        mass=180_000 + 10 * dice.between(-6, 6) if known else None,
        mass_tolerance=10 * dice.between(0, 2),
        **_sold(dice, theme),
    )


def _moved(span: Range, by: int) -> Range:
    return Range(low=span.low + by, high=span.high + by)


def _rings(
    dice: Dice, theme: Theme, scale: Scale, grooves: int, pistons: list[Piston]
) -> list[Ring]:
    """Rings of the pistons' sizes, some a size over."""
    rings: list[Ring] = []
    for groove in range(1, grooves + 1):
        for _ in range(dice.between(*theme.rings)):
            marked = (1, 2) if grooves > 1 and dice.chance(20) else (groove,)
            size = dice.pick(pistons).nominal_bore
            size += scale.length(OVERSIZE) if dice.chance(20) else 0
            rings.append(_ring(dice, theme, scale, f"R-{9 - len(rings)}", marked, size))
    return rings


def _ring(
    dice: Dice, theme: Theme, scale: Scale, number: str, grooves: tuple[int, ...], size: int
) -> Ring:
    return Ring(
        number=number,
        grooves=grooves,
        gauge_diameter=size,
        gap=scale.range(dice.between(14, 26), dice.between(0, 4)),
        width=scale.range(GROOVE_WIDTH - _narrower(dice), dice.between(0, 1)),
        radial_depth=scale.length(dice.between(58, 62)) if dice.chance(30) else None,
        file_most=scale.length(dice.one_of(120, 30, 8, 0, 160)),
        seat_over=scale.length(dice.between(0, 70)) if dice.chance(20) else None,
        **_sold(dice, theme),
    )


def _narrower(dice: Dice) -> int:
    """How many steps a ring is narrower than its groove; now and then it hardly goes in."""
    return dice.between(-1, 2) if dice.chance(6) else dice.between(4, 5)


def _gasket(dice: Dice, theme: Theme, scale: Scale, number: str, place: str) -> Gasket:
    compressed = dice.between(2, 9)
    return Gasket(
        number=number,
        place=place,
        thickness=scale.length(compressed + 2),
        crush=scale.length(2),
        compressed=scale.range(compressed, dice.between(0, 1)),
        **_sold(dice, theme),
    )


def _kit(
    dice: Dice,
    theme: Theme,
    number: str,
    pistons: list[Piston],
    rings: list[Ring],
    gaskets: list[Gasket],
) -> Kit:
    """A piston with some rings and gaskets, or a set of rings only; often cheaper than singles."""
    numbers = [part.number for part in (*dice.some(rings, 50), *dice.some(gaskets, 50))]
    if not numbers or not dice.chance(30):
        numbers.insert(0, dice.pick(pistons).number)
    return Kit(
        number=number,
        contents=tuple(KitItem(number=n, count=dice.one_of(1, 1, 2)) for n in numbers),
        **{**_sold(dice, theme), "price": 100 * dice.between(2, 15)},
    )


def _routes(dice: Dice, scale: Scale) -> list[Route]:
    """A shop's routes: kinds, cuts, half-widths, materials, costs and days."""

    def route(kind: Any, least: int, most: int | None, half: int, **more: Any) -> Route:
        return Route(
            name=kind,
            kind=kind,
            min_cut=scale.length(least),
            max_cut=None if most is None else scale.length(most),
            half_width=scale.length(half),
            cost=100 * dice.between(0, 9),
            days=dice.between(0, 3),
            materials=() if dice.chance(70) else ("iron", "steel"),
            **more,
        )

    shop = [
        route("finish hone", dice.between(0, 3), dice.between(10, 50), dice.between(0, 1)),
        route("glaze-break", 0, dice.between(4, 10), dice.between(0, 1)),
        route(
            "bore and hone",
            dice.between(2, 8),
            dice.one_of(90, 60, None),
            dice.between(0, 2),
        ),
        route(
            "restore",
            dice.between(0, 6),
            dice.one_of(60, None, 20),
            dice.between(0, 1),
            restored_bore=scale.bore - scale.length(dice.between(0, 20)),
        ),
    ]
    offered = dice.some(shop[1:], 75)
    if dice.chance(20):
        offered.append(Route(name="as is", kind="as is", cost=100 * dice.between(0, 3)))
    return [shop[0], *offered]
