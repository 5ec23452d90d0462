"""The effect of gaskets and compression height on port timing and compression ratio."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor
from typing import Final

from fitsolver.choices.selection import CylinderSelection
from fitsolver.choices.types import CylinderChoices
from fitsolver.fits import compression, port_timing
from fitsolver.fits.port_timing import UNDER_THE_CYLINDER
from fitsolver.fits.slider_crank import angle_for
from fitsolver.fits.squish import squish
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Gasket
from fitsolver.records.job import Engine, Squish
from fitsolver.records.plan import CompressionRatio, PortOpening, StackEffect
from fitsolver.records.readings import PortBand

_PARTS: Final = 1_000  # of a degree


def stack_effect(
    state: CylinderChoices, chosen: CylinderSelection, gaskets: dict[str, Gasket]
) -> StackEffect | None:
    """Return port timing and compression ratio with the chosen parts (docs/stack.md).

    None where the job gives neither a rod length with ports nor a chamber volume, or where the
    squish base or the piston's compression height is not known.
    """
    base, engine = state.cylinder.squish, state.job.engine
    height = chosen.option.piston.candidate.part.compression_height
    if base is None or height is None or engine.stroke is None:
        return None
    deck = port_timing.deck(base, height, thickness(chosen, gaskets, UNDER_THE_CYLINDER))
    ratio = _ratio(state, chosen, squish(base, height, thickness(chosen, gaskets)))
    ports = _ports(state.cylinder.ports, engine, base, deck)
    if not ports and ratio is None:
        return None
    return StackEffect(deck=deck, deck_before=base.deck_before, ports=ports, ratio=ratio)


def bore_bounds(
    state: CylinderChoices, chosen: CylinderSelection, gaskets: dict[str, Gasket]
) -> tuple[int | None, int | None]:
    """Return the least L and the most H (ticks) that a window on the compression ratio permits.

    With the parts chosen; None where it sets no such bound.
    """
    window, bare = state.ratio, chosen.option.piston.stack.growth
    if window is None or bare is None:
        return None, None
    stack = thickness(chosen, gaskets)
    return window.smallest_bore(bare.high + stack.high), window.largest_bore(bare.low + stack.low)


def keeps_ratio(
    state: CylinderChoices, bare: Range | None, stack: Sequence[Range], bore: Range
) -> bool:
    """Tell whether a bore keeps the window on its compression ratio with some gaskets.

    `bare` is the growth without them, `stack` their compressed thickness (ticks).
    """
    window = state.ratio
    if window is None or bare is None:
        return True
    low = window.smallest_bore(bare.high + sum(each.high for each in stack))
    high = window.largest_bore(bare.low + sum(each.low for each in stack))
    return (low is None or bore.low >= low) and (high is None or bore.high <= high)


def thickness(chosen: CylinderSelection, gaskets: dict[str, Gasket], only: str = "") -> Range:
    """Return the compressed thickness of the gaskets at one place, or at all."""
    taken = [
        (gaskets[number].compressed, count)
        for place, stack in chosen.stacks.items()
        if only in ("", place)
        for number, count in stack.items()
    ]
    return Range(
        low=sum(one.low * count for one, count in taken),
        high=sum(one.high * count for one, count in taken),
    )


def _ports(
    ports: tuple[PortBand, ...], engine: Engine, base: Squish, deck: Range
) -> tuple[PortOpening, ...]:
    """Return the angle at which the crown uncovers each port; omits ports never uncovered."""
    if engine.stroke is None or engine.rod_length is None:
        return ()
    found = []
    for port in ports:
        angles = [
            angle_for(port.top - crown, engine.stroke, engine.rod_length)
            for crown in (deck.high, deck.low)
        ]
        if angles[0] is None or angles[1] is None:
            continue
        before = None
        if base.deck_before is not None:
            before = angle_for(port.top - base.deck_before, engine.stroke, engine.rod_length)
        found.append(_opening(port.name, angles[0], angles[1], before))
    return tuple(found)


def _opening(name: str, least: float, most: float, before: float | None) -> PortOpening:
    return PortOpening(
        port=name,
        least=floor(least * _PARTS),
        most=ceil(most * _PARTS),
        before=None if before is None else round(before * _PARTS),
        shift_least=None if before is None else floor((least - before) * _PARTS),
        shift_most=None if before is None else ceil((most - before) * _PARTS),
    )


def _ratio(
    state: CylinderChoices, chosen: CylinderSelection, new: Range
) -> CompressionRatio | None:
    """Return the ratio before and afterwards; None without the volume and squish before."""
    engine, old = state.job.engine, state.cylinder.squish
    if old is None or old.squish_before is None:
        return None
    if engine.stroke is None or engine.chamber_volume is None:
        return None
    before = compression.ratio(
        engine.stroke,
        engine.chamber_volume,
        Range(low=state.smallest, high=state.largest),
        Range(low=0, high=0),
    )
    growth = Range(low=new.low - old.squish_before, high=new.high - old.squish_before)
    bore = Range(low=chosen.low, high=chosen.high)
    after = compression.ratio(engine.stroke, engine.chamber_volume, bore, growth)
    if before is None or after is None:
        return None
    return CompressionRatio(
        least=after[0], most=after[1], least_before=before[0], most_before=before[1]
    )
