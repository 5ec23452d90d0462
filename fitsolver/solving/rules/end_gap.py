"""`end_gap`: `G_hi + pi (H - D0) <= top` and `bottom - (G_lo + pi (L - D0)) <= file_most`.

Filing `f` of the ring in a groove: `f >= bottom - G_lo - pi (L - D0)`, `f >= 0`; with the
fraction p/q for pi, `q f + p L >= q (bottom - G_lo) + p D0`, exact in integers. Filed at the
smallest local size, a ring gapes further at the largest: `bottom + pi (spread) <= top`.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from fitsolver.choices.types import NO_BOUND, RingOption
from fitsolver.fits.end_gap import PI
from fitsolver.solving.terms import total
from fitsolver.solving.variables import CylinderVars, Model

_P, _Q = PI.numerator, PI.denominator


def post(model: Model) -> None:
    """Post the rule for every groove, and define how much its ring is filed."""
    for cylinder in model.cylinders:
        for groove, rings in cylinder.rings.items():
            without = [(NO_BOUND, x) for x in _without(cylinder, groove)]
            model.cp.add(cylinder.low >= total([(ring.reach_low, y) for ring, y in rings]))
            reach = [(ring.reach_high, y) for ring, y in rings]
            model.cp.add(cylinder.high <= total(reach + without))
            widest = [(ring.widest_spread, y) for ring, y in rings]
            if any(spread < NO_BOUND for spread, _ in widest):
                model.cp.add(cylinder.spread <= total(widest + without))
            start = min(option.floor_low for option, _ in cylinder.options)
            most = max((_most_filed(ring, start) for ring, _ in rings), default=0)
            if most:
                _define_filing(model, cylinder, groove, start, most)


def _most_filed(ring: RingOption, smallest: int) -> int:
    return min(ring.candidate.part.file_most, ring.filing(smallest))


def _define_filing(
    model: Model, cylinder: CylinderVars, groove: int, start: int, most: int
) -> None:
    """Post the filing inequality, written with L less its lowest value to keep numbers small."""
    filing = model.cp.new_int_var(0, most, "")
    needed = [
        (
            _Q * (ring.bottom - ring.candidate.gap.low)
            + _P * (ring.candidate.gauge_diameter - start),
            y,
        )
        for ring, y in cylinder.rings[groove]
        if ring.bottom is not None
    ]
    # A ring without a lower edge, or a piston without this groove, asks for no filing.
    idle = [y for ring, y in cylinder.rings[groove] if ring.bottom is None]
    idle += _without(cylinder, groove)
    least = min(weight for weight, _ in needed)
    # Each weight may be negative; one y is chosen, so idle ones take the least of all.
    terms = needed + [(min(least, 0), y) for y in idle]
    model.cp.add(_Q * filing + _P * (cylinder.low - start) >= total(terms))
    cylinder.filing[groove] = filing


def _without(cylinder: CylinderVars, groove: int) -> list[cp_model.IntVar]:
    return [
        x
        for option, x in cylinder.options
        if groove not in {g.number for g in option.piston.candidate.part.grooves}
    ]
