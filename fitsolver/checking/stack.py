"""Check of a plan's port timing and compression ratio, with or without a window.

Bisection on the slider-crank equation gives the angles; the plan uses its inverse.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest
from math import cos, degrees, pi, sin, sqrt
from typing import Final

from fitsolver.checking.view import CylinderView, PlanView
from fitsolver.records.base import Range
from fitsolver.records.plan import PortOpening, StackEffect

_PARTS: Final = 1_000  # of a degree, and of a ratio
#: Rounding errors of an angle or ratio (thousandths) are far below this.
_NOISE: Final = 1e-2
_HALVINGS: Final = 60
_NOTHING: Final = StackEffect(deck=Range(low=0, high=0), deck_before=None, ports=(), ratio=None)


def violations(view: PlanView) -> Iterator[str]:
    """Yield every figure of a cylinder's stack that disagrees with its parts."""
    for item in view.cylinders:
        for sentence in _wrong(item):
            yield f"cylinder {item.name}: {sentence}"


def _wrong(item: CylinderView) -> Iterator[str]:
    said, base = item.plan.stack or _NOTHING, item.cylinder.squish
    squish, deck = squish_over(item, ""), squish_over(item, "base")
    if base is None or squish is None or deck is None or item.job.engine.stroke is None:
        if item.plan.stack is not None:
            yield "nothing can be said of the stack"
        return
    deck = Range(low=deck.low - base.head_step, high=deck.high - base.head_step)
    if item.plan.stack is not None:
        if said.deck != deck or said.deck_before != base.deck_before:
            yield "the crown does not stand where its parts put it"
        if not said.ports and said.ratio is None:
            yield "what is said of the stack is empty"
    yield from _ports(item, said, deck)
    expected = _ratios(item, squish)
    found = said.ratio
    figures = () if found is None else tuple(found.model_dump().values())
    if len(figures) != len(expected) or any(
        not _rounded(figure, value, up=bool(place % 2))
        for place, (figure, value) in enumerate(zip(figures, expected, strict=False))
    ):
        yield "the compression ratio is not what volumes and bore come to"


def squish_over(item: CylinderView, place: str) -> Range | None:
    """Return the squish over the gaskets of one place, or of all."""
    base, height = item.cylinder.squish, item.piston.part.compression_height
    if base is None or height is None:
        return None
    taken = [(g.compressed, n) for g, n in item.gaskets if place in ("", g.place)]
    return Range(
        low=base.base_low - height.high + sum(t.low * n for t, n in taken),
        high=base.base_high - height.low + sum(t.high * n for t, n in taken),
    )


def _ports(item: CylinderView, said: StackEffect, deck: Range) -> Iterator[str]:
    stroke, rod = item.job.engine.stroke or 0, item.job.engine.rod_length
    passed = [
        port
        for port in item.cylinder.ports
        if rod is not None and deck.high <= port.top <= stroke + deck.low
    ]
    for port, opening in zip_longest(passed, said.ports):
        if port is None or opening is None or port.name != opening.port:
            yield "the ports are not those that the crown passes"
            return
        angles = tuple(_angle(port.top - at, stroke, rod or 0) for at in (deck.high, deck.low))
        old = None
        if said.deck_before is not None and 0 <= port.top - said.deck_before <= stroke:
            old = _angle(port.top - said.deck_before, stroke, rod or 0)
        if not _opens(opening, angles[0], angles[1], old):
            yield f"{port.name} does not open at the angles given"


def _angle(depth: int, stroke: int, rod: int) -> float:
    """Return the crank angle (thousandths of a degree) at a travel of `depth`, by bisection."""
    low, high, radius = 0.0, pi, stroke / 2
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        reach = radius * cos(middle) + sqrt(rod**2 - (radius * sin(middle)) ** 2)
        low, high = (middle, high) if radius + rod - reach < depth else (low, middle)
    return degrees(low) * _PARTS


def _opens(said: PortOpening, least: float, most: float, old: float | None) -> bool:
    holds = _rounded(said.least, least, up=False) and _rounded(said.most, most, up=True)
    if old is None or said.before is None or said.shift_least is None or said.shift_most is None:
        return holds and old is said.before is said.shift_least is said.shift_most is None
    return (
        holds
        and abs(said.before - old) <= 0.5 + _NOISE
        and _rounded(said.shift_least, least - old, up=False)
        and _rounded(said.shift_most, most - old, up=True)
    )


def _ratios(item: CylinderView, squish: Range) -> tuple[float, ...]:
    """Return least, most, and both before, in thousandths; empty where they are not known."""
    engine, base = item.job.engine, item.cylinder.squish
    if base is None or base.squish_before is None:
        return ()
    if engine.stroke is None or engine.chamber_volume is None:
        return ()
    cases = (
        (item.plan.bore_low, squish.high - base.squish_before),
        (item.plan.bore_high, squish.low - base.squish_before),
        (item.smallest, 0),
        (item.largest, 0),
    )
    found = []
    for bore, growth in cases:
        area = pi / 4 * bore**2
        clearance = engine.chamber_volume + area * growth
        if clearance <= 0:
            return ()
        found.append(_PARTS * (area * engine.stroke + clearance) / clearance)
    return tuple(found)


def _rounded(figure: int, value: float, *, up: bool) -> bool:
    low, high = (value, value + 1) if up else (value - 1, value)
    return low - _NOISE <= figure <= high + _NOISE
