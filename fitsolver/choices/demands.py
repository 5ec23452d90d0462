"""What each rule demands of a piston, a route or a ring (docs/decision.md, 'rule by rule').

A demand is a bound on `L` or `H`, the smallest and largest local size after the work, or a refusal
in words. The solver, the counter, screening, the ladder and the refusals all use these demands:
none of them lists the rules again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, NamedTuple

from fitsolver.choices.parts import PistonCandidate, RingCandidate, RingClass
from fitsolver.choices.types import CylinderChoices
from fitsolver.choices.words import asked_words, range_words, say
from fitsolver.fits import clean_up, compatibility, end_gap, form, ring_seat, route_cut
from fitsolver.fits import side_clearance as side
from fitsolver.records.base import FitName, RuleId
from fitsolver.records.catalogue import Groove, Route
from fitsolver.records.floors import in_force
from fitsolver.records.rules import LOCAL
from fitsolver.records.windows import OPEN


class AtLeast(NamedTuple):
    """A lower bound (ticks) on L."""

    value: int


class AtMost(NamedTuple):
    """An upper bound (ticks) on H."""

    value: int


class Refused(NamedTuple):
    """A choice refused at any size, with the reason in words.

    The required figure comes first and the refused part last, so that equal refusals can share one
    sentence.
    """

    sentence: str


Demand = AtLeast | AtMost | Refused
OfPiston = Callable[[CylinderChoices, PistonCandidate], Sequence[Demand]]
OfRoute = Callable[[CylinderChoices, Route], Sequence[Demand]]
OfRing = Callable[[CylinderChoices, RingClass, Groove, RingCandidate], Sequence[Demand]]


class Demands(NamedTuple):
    """What a rule asks of each kind of choice in a cylinder; None: nothing.

    A demand on a ring depends only on the windows, the engine, the nominal bore, the groove and the
    ring's `figures`: it is computed once for rings equal in these. `pair`: it bounds a piston with
    a route (`make_option`); `stack`: it asks something of the gaskets (`StackBounds`).
    """

    piston: OfPiston | None = None
    route: OfRoute | None = None
    ring: OfRing | None = None
    pair: bool = False
    stack: bool = False


def _bore_limit(state: CylinderChoices, route: Route) -> Sequence[Demand]:
    limit = state.job.bore_limit_for(state.cylinder)
    return () if limit is None else (AtMost(limit),)


def _route_cut(state: CylinderChoices, route: Route) -> Sequence[Demand]:
    found: list[Demand] = []
    if not route_cut.takes_material(route, state.cylinder.material):
        made_for = ", ".join(route.materials)
        found.append(
            Refused(f"the bore is {state.cylinder.material}; for {made_for} only: {route.name}")
        )
    finish = route_cut.largest_finish(route, state.smallest) if route.machined else None
    if finish is not None:
        found.append(AtMost(finish + route.half_width))
    return found


def _clean_up(state: CylinderChoices, route: Route) -> Sequence[Demand]:
    if route.machined:
        return (AtLeast(clean_up.least_local_size(route, state.largest, state.cylinder.scratch)),)
    if clean_up.clean_as_is(state.cylinder.scratch):
        return ()
    scratch = say(state.cylinder.scratch, state.job.unit)
    return (Refused(f"{scratch} deep is the scratch that stays in a bore left as it is"),)


def _form(state: CylinderChoices, route: Route) -> Sequence[Demand]:
    if route.machined or state.form is None:
        return ()
    unit, found = state.job.unit, []
    measured: tuple[tuple[FitName, int], ...] = (
        ("out_of_round", state.form.out_of_round),
        ("taper", abs(state.form.taper)),
    )
    for fit, value in measured:
        limits = state.limits(fit, state.largest, None, kept=False)
        if not form.holds(value, limits):
            too_small = limits.low is not None and value < limits.low
            asked = f"{asked_words(limits.low, limits.high, unit)} asked of {fit.replace('_', '-')}"
            shown = say(value, unit, "down" if too_small else "up")
            found.append(Refused(f"{asked}; {shown} found"))
    return found


def _end_gap(
    state: CylinderChoices, ring_class: RingClass, groove: Groove, candidate: RingCandidate
) -> Sequence[Demand]:
    limits = state.limits(
        "end_gap",
        ring_class.nominal_bore,
        groove.number,
        kept=candidate.kept,
        stated=candidate.part.stated,
    )
    gap, gauge = candidate.gap, candidate.gauge_diameter
    least = AtLeast(end_gap.least_bore(limits, gap.low, gauge, candidate.part.file_most))
    if limits.high is None:
        return (least,)
    return least, AtMost(end_gap.largest_bore(limits.high, gap.high, gauge))


def _ring_seat(
    state: CylinderChoices, ring_class: RingClass, groove: Groove, candidate: RingCandidate
) -> Sequence[Demand]:
    limits = state.limits("ring_seat", ring_class.nominal_bore, groove.number, kept=candidate.kept)
    part = candidate.part
    low, high = ring_seat.bore_bounds(part.gauge_diameter, limits, part.seat_over)
    found: list[Demand] = [] if low is None else [AtLeast(low)]
    return found if high is None else [*found, AtMost(high)]


def _side_clearance(
    state: CylinderChoices, ring_class: RingClass, groove: Groove, candidate: RingCandidate
) -> Sequence[Demand]:
    worn = candidate.kept or ring_class.kept
    limits = state.limits("side_clearance", ring_class.nominal_bore, groove.number, kept=worn)
    if side.holds(groove.width, candidate.part.width, limits):
        return ()
    unit, number = state.job.unit, candidate.part.number
    in_words = asked_words(*in_force("side_clearance", limits), unit)
    asked = "at least 0" if limits == OPEN else in_words
    found = range_words(side.side_clearance(groove.width, candidate.part.width), unit)
    return (Refused(f"groove {groove.number}: {asked} asked; {found} with {number}"),)


def _takes_pin(state: CylinderChoices, candidate: PistonCandidate) -> Sequence[Demand]:
    part, asked = candidate.part, state.job.engine.pin_diameter
    if compatibility.pin_fits(part, asked) or asked is None or part.pin_diameter is None:
        return ()
    unit = state.job.unit
    found = say(part.pin_diameter, unit)
    return (Refused(f"gudgeon pin: {say(asked, unit)} asked; {found} in {part.number}"),)


def _goes_in(
    state: CylinderChoices, ring_class: RingClass, groove: Groove, candidate: RingCandidate
) -> Sequence[Demand]:
    part, most = candidate.part, groove.depth
    if compatibility.ring_fits_groove(part, groove):
        return ()
    if groove.number not in part.grooves or part.radial_depth is None or most is None:
        return (Refused(f"not made for groove {groove.number}: {part.number}"),)
    unit, deep = state.job.unit, say(part.radial_depth, state.job.unit, "up")
    asked = f"groove {groove.number} is {say(most, unit, 'down')} deep"
    return (Refused(f"{asked}; {deep} is the ring {part.number}"),)


def _mass_known(state: CylinderChoices, candidate: PistonCandidate) -> Sequence[Demand]:
    if candidate.mass is not None or not state.matched:
        return ()
    return (Refused(f"mass not known: {candidate.part.number}"),)


def _squish(state: CylinderChoices, candidate: PistonCandidate) -> Sequence[Demand]:
    part = candidate.part
    if part.compression_height is not None or state.cylinder.squish is None:
        return ()
    limits = state.limits("squish", part.nominal_bore, None, kept=False)
    return () if limits == OPEN else _height_unknown(candidate)


def _port_timing(state: CylinderChoices, candidate: PistonCandidate) -> Sequence[Demand]:
    if candidate.part.compression_height is not None or not state.timed:
        return ()
    return _height_unknown(candidate)


def _compression(state: CylinderChoices, candidate: PistonCandidate) -> Sequence[Demand]:
    if candidate.part.compression_height is not None or state.ratio is None:
        return ()
    return _height_unknown(candidate)


def _height_unknown(candidate: PistonCandidate) -> Sequence[Demand]:
    return (Refused(f"compression height not known: {candidate.part.number}"),)


#: The demands of each rule on choices, in the report order of refusals. A coupling rule without
#: demands on single choices has no entry.
DEMANDS: Final[dict[RuleId, Demands]] = {
    "bore_limit": Demands(route=_bore_limit),
    "route_cut": Demands(route=_route_cut),
    "clean_up": Demands(route=_clean_up),
    "form": Demands(route=_form),
    "end_gap": Demands(ring=_end_gap),
    "ring_seat": Demands(ring=_ring_seat),
    "side_clearance": Demands(ring=_side_clearance),
    "compatibility": Demands(piston=_takes_pin, ring=_goes_in),
    "mass_match": Demands(piston=_mass_known),
    "squish": Demands(piston=_squish, stack=True),
    "port_timing": Demands(piston=_port_timing, stack=True),
    "compression": Demands(piston=_compression, stack=True),
    "clearance": Demands(pair=True),
}
#: Rules with demands on a ring; the subset without demands on a piston; the subset that options of
#: piston and route leave out.
OF_RINGS: Final = frozenset(rule for rule, of in DEMANDS.items() if of.ring)
OF_RINGS_ALONE: Final = frozenset(rule for rule in OF_RINGS if not DEMANDS[rule].piston)
OF_RINGS_AND_STACK: Final = OF_RINGS | {rule for rule, of in DEMANDS.items() if of.stack}
OF_PAIRS: Final = frozenset(rule for rule, of in DEMANDS.items() if of.pair)
#: Rules that refuse a piston for one reason: its compression height is not known.
OF_HEIGHTS: Final[frozenset[RuleId]] = frozenset({"squish", "port_timing", "compression"})
#: Rules whose bounds on L and H the readings of the bore set.
OF_THE_BORE: Final[frozenset[RuleId]] = frozenset({"clean_up", "route_cut"})
#: Rules on the finish size of later rebuilds, beside clean-up and cut.
BESIDE_THE_BORE: Final = LOCAL - OF_THE_BORE
