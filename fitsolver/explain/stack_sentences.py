"""Sentences on what the stack of gaskets must come to: squish, port timing, compression ratio."""

from __future__ import annotations

from typing import Final

from fitsolver.base.lengths import Unit
from fitsolver.choices.types import CylinderChoices
from fitsolver.choices.words import asked_words, say
from fitsolver.explain.nearest import Near
from fitsolver.fits import compression
from fitsolver.fits.port_timing import UNDER_THE_CYLINDER
from fitsolver.matching.words import listed
from fitsolver.records.base import Range
from fitsolver.records.windows import Window
from fitsolver.solving.problem import Problem

#: How a sentence on the gaskets offered ends.
NO_STACK: Final = "no stack of them lands there"


def squish_sentence(
    task: Problem, near: Near, window: Window | None, base: Range | None = None
) -> str:
    """Return the gasket thickness that the nearest piston needs, and the stacks offered.

    Even without a window the piston must not touch the head. `base` is what squish counts from
    (ticks), where it is stated as that.
    """
    stack = near.option.piston.stack
    number = near.option.piston.candidate.part.number
    if stack.low is not None and stack.high is not None and stack.low > stack.high:
        return _no_room(task, near, window, base, stack.low - stack.high)
    if window is None and stack.low is not None:
        more = say(stack.low - 1, task.job.unit, "up")  # at this thickness it touches
        return f"{more} of gaskets or less lets {number} touch the head; {_offered(task)}"
    asked = asked_words(stack.low, stack.high, task.job.unit)
    return f"{asked} of compressed gaskets asked in all by {number}; {_offered(task)}"


def _half(span: Range, unit: Unit) -> str:
    return say((span.high - span.low + 1) // 2, unit)


def _no_room(
    task: Problem, near: Near, window: Window | None, base: Range | None, short: int
) -> str:
    """Return the variation of a squish where it exceeds the window with any gaskets."""
    unit, piston = task.job.unit, near.option.piston.candidate.part
    height = piston.compression_height
    told = []
    if base is not None and not base.known:
        told.append(f"squish base ±{_half(base, unit)}")
    if height is not None and not height.known:
        told.append(f"compression height of {piston.number} ±{_half(height, unit)}")
    asked = "above 0"
    if window is not None:
        asked = asked_words(*window.stated(piston.nominal_bore, kept=False), unit)
        if window.guard:
            told.append(f"measuring allowance {say(window.guard, unit)} on each side")
    leave = "leaves" if len(told) == 1 else "leave"
    return (
        f"{asked} asked; {listed(told)} {leave} no room, whatever the gaskets: "
        f"{say(short, unit, 'up')} too little"
    )


def port_timing_sentence(task: Problem, state: CylinderChoices, near: Near) -> str:
    """Return what the ports ask of the gaskets under the cylinder, and what there is."""
    stack, unit = near.option.piston.stack, task.job.unit
    asked = " and ".join(
        f"{port.name} {_edges(port.window.low, port.window.high, '°')}" for port in state.timed
    )
    number = near.option.piston.candidate.part.number
    if (stack.base_low or 0) > (stack.base_high or 0):
        return (
            f"{asked} asked of the ports; no gaskets under the cylinder let {number} open them so"
        )
    need = asked_words(stack.base_low, stack.base_high, unit)
    return (
        f"{asked} asked of the ports: {need} of compressed gaskets under the cylinder with "
        f"{number}; {_offered(task, UNDER_THE_CYLINDER)}"
    )


def compression_sentence(
    task: Problem, state: CylinderChoices, near: Near, bore: tuple[int, int]
) -> str:
    """Return the ratios that the offered gaskets give in a bore (least and most, ticks)."""
    window, growth = state.ratio, near.option.piston.stack.growth
    assert window is not None and growth is not None
    thin, thick = thicknesses(task)
    found = compression.ratio(
        window.stroke,
        window.chamber,
        Range(low=bore[0], high=bore[1]),
        Range(low=growth.low + thin, high=growth.high + thick),
    )
    number = near.option.piston.candidate.part.number
    comes = "no volume above the crown with the thinnest stack"
    if found is not None:
        comes = f"ratios of {found[0] / 1000:.3f} to {found[1] / 1000:.3f}"
    return (
        f"{_edges(window.window.low, window.window.high)} asked; {comes} with {number} over the "
        f"gaskets offered, and {NO_STACK}"
    )


def thicknesses(task: Problem, only: str = "") -> tuple[int, int]:
    """Return the least and most compressed thickness (ticks) of the stacks offered."""
    thin = thick = 0
    for place in task.job.gaskets:
        offered = [g.compressed for g in task.catalogue.gaskets if g.place == place.place]
        if only in ("", place.place):
            thin += place.least * min((gasket.low for gasket in offered), default=0)
            thick += place.most * max((gasket.high for gasket in offered), default=0)
    return thin, thick


def _offered(task: Problem, only: str = "") -> str:
    thin, thick = (say(each, task.job.unit) for each in thicknesses(task, only))
    return f"{thin} to {thick} from those offered, and {NO_STACK}"


def _edges(low: int | None, high: int | None, sign: str = "") -> str:
    if low is None:
        return f"up to {(high or 0) / 1000:.3f}{sign}"
    if high is None:
        return f"from {low / 1000:.3f}{sign}"
    return f"{low / 1000:.3f} to {high / 1000:.3f}{sign}"
