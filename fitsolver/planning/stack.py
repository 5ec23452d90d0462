"""What the chosen gaskets and compression height do besides the squish."""

from __future__ import annotations

from math import ceil, floor
from typing import Final

from fitsolver.fits import compression
from fitsolver.fits.slider_crank import angle_for
from fitsolver.fits.squish import squish
from fitsolver.options import CylinderChoices
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Gasket
from fitsolver.records.job import Engine, Squish
from fitsolver.records.plan import CompressionRatio, PortOpening, StackEffect
from fitsolver.records.readings import PortBand
from fitsolver.selection import CylinderSelection

#: The place whose gaskets lie under the cylinder: they raise its top face from the crank.
UNDER_THE_CYLINDER: Final = "base"
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
    deck = squish(base, height, _thickness(chosen, gaskets, UNDER_THE_CYLINDER))
    deck = Range(low=deck.low - base.head_step, high=deck.high - base.head_step)
    ratio = _ratio(state, chosen, squish(base, height, _thickness(chosen, gaskets)))
    ports = _ports(state.cylinder.ports, engine, base, deck)
    if not ports and ratio is None:
        return None
    return StackEffect(deck=deck, deck_before=base.deck_before, ports=ports, ratio=ratio)


def _thickness(chosen: CylinderSelection, gaskets: dict[str, Gasket], only: str = "") -> Range:
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
    """Return when the crown uncovers each port's upper edge; a port it never does is left out."""
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
