"""One sentence a rule on the choice that comes nearest: what it asks for, what there is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Final

from fitsolver.base.lengths import Side, Unit, format_length, typed
from fitsolver.choices.demands import OF_RINGS_ALONE
from fitsolver.choices.types import CylinderChoices, PistonChoice, RingOption, RouteChoice
from fitsolver.explain.nearest import Near
from fitsolver.explain.stack_sentences import (
    NO_STACK,
    compression_sentence,
    port_timing_sentence,
    squish_sentence,
)
from fitsolver.fits import end_gap, side_clearance
from fitsolver.planning.floors import forbidden_words
from fitsolver.records.base import FitName, Range, RuleId
from fitsolver.records.plan import Reason
from fitsolver.records.rules import REGISTRY
from fitsolver.records.windows import OPEN, find_window
from fitsolver.solving.problem import Problem

Describe = Callable[[Problem, CylinderChoices, Near], str]


def describe(
    rule: RuleId, task: Problem, state: CylinderChoices, near: Near, rules: Iterable[RuleId] = ()
) -> str:
    """Return what a rule in conflict asks of the nearest choice of a cylinder.

    `rules` are all that are in conflict: a stack of gaskets may keep one of them, but not all.
    """
    refused = [refusal.sentence for refusal in near.option.refusals if refusal.rule == rule]
    if refused:
        return "; ".join(refused)
    others = [_words(other) for other in rules if other != rule]
    asked = _DESCRIBE.get(rule)
    said = asked(task, state, near) if asked else _demanded(rule, task.job.unit, state, near)
    if rule in OF_RINGS_ALONE:
        said = "; ".join([said, *needed_twice(near)])
    if not others:
        return said
    return said.replace(NO_STACK, f"{NO_STACK} and keeps {' and '.join(others)} too")


def needed_twice(near: Near) -> Iterator[str]:
    """Yield the measured rings that the nearest choice needs in more than one groove."""
    places: dict[tuple[str, str], list[str]] = {}
    for ring in near.rings:
        if ring.candidate.piece:
            places.setdefault(ring.candidate.key, []).append(str(ring.groove))
    for (number, piece), grooves in places.items():
        if len(grooves) > 1:
            yield f"{piece} of {number} is needed in grooves {' and '.join(grooves)}; there is one"


def nothing_to_choose(state: CylinderChoices) -> Reason:
    """Return the reason of a cylinder without any piston or any route to choose from."""
    if not state.routes:
        return Reason(rule="route_cut", cylinder=state.name, sentence=_no_route(state))
    sentence = "no piston of the catalogue, and none in hand, may be used here"
    return Reason(rule="compatibility", cylinder=state.name, sentence=sentence)


def _no_route(state: CylinderChoices) -> str:
    """Return why a cylinder has no route: the one it asks for is not among those listed."""
    cylinder = state.cylinder
    listed = cylinder.routes or state.job.routes
    if cylinder.route is None or cylinder.route in listed:
        return "none of the routes that the job permits is offered by the shop"
    whose = "cylinder" if cylinder.routes else "job"
    names = ", ".join(f"'{name}'" for name in listed)
    return (
        f"the cylinder is to be done by '{cylinder.route}', which is not among the routes that the "
        f"{whose} lists ({names})"
    )


def miss_sentence(unit: Unit, near: Near, rules: list[RuleId]) -> str:
    """Return how near the nearest choice comes."""
    piston = near.option.piston.candidate.part.number
    choice = f"{piston}, {near.option.route.route.name}"
    if near.empty:
        grooves = ", ".join(map(str, near.empty))
        return f"{choice}: there is no ring for groove {grooves}"
    if near.short_by and not near.option.machined:
        return f"{choice}: {_as_is_miss(unit, near)}"
    if near.short_by and near.floor.rule == near.ceiling.rule:
        half = near.option.route.route.half_width
        return (
            f"{choice}: the window of {_words(near.floor.rule)} is too narrow for what parts and "
            f"bore vary by (the route: {_say(half, unit)} either side of the finish size): short "
            f"by {_say(near.short_by, unit, 'up')}"
        )
    if near.short_by:
        return (
            f"{choice}: {_asking(near, unit)} asks for a bore of at least "
            f"{_say(near.floor.value, unit, 'up')}, {_words(near.ceiling.rule)} allows at most "
            f"{_say(near.ceiling.value, unit, 'down')} (smallest local size): short by "
            f"{_say(near.short_by, unit, 'up')}"
        )
    against = [_words(rule) for rule in (near.refused or rules)]
    stands = "stands" if len(against) == 1 else "stand"
    scratch = [r.sentence for r in near.option.route.refusals if r.rule == "clean_up"]
    why = f" ({'; '.join(scratch)})" if scratch else ""
    return f"{choice}: the sizes would fit, {', '.join(against)} {stands} against it{why}"


def scratch_words(choice: RouteChoice, unit: Unit) -> str:
    """Return the scratch that a route has to cut out; empty where it cuts as much anyway."""
    route = choice.route
    if not route.machined or route.restored_bore is not None:
        return ""
    asked = next(value for rule, value in choice.least if rule == "clean_up") - choice.largest
    if asked <= route.min_cut:
        return ""
    return f"a scratch {typed(asked // 2, unit)} deep takes twice its depth"


def _asking(near: Near, unit: Unit) -> str:
    """Return the rule that asks for a size at least; the scratch is named where it does."""
    rule = near.floor.rule
    scratch = scratch_words(near.option.route, unit) if rule == "clean_up" else ""
    return f"{_words(rule)} ({scratch})" if scratch else _words(rule)


def _as_is_miss(unit: Unit, near: Near) -> str:
    route, short = near.option.route, _say(near.short_by, unit, "up")
    if near.ceiling.value == route.smallest and near.floor.rule != "route_cut":
        return (
            f"the bore measures {_say(route.smallest, unit)} where it is smallest, "
            f"{_words(near.floor.rule)} asks for at least {_say(near.floor.value, unit, 'up')}: "
            f"short by {short}"
        )
    return (
        f"the bore measures {_say(route.largest, unit)} where it is largest, "
        f"{_words(near.ceiling.rule)} allows at most {_say(near.ceiling.value, unit, 'down')}: "
        f"too large by {short}"
    )


def _say(ticks: int, unit: Unit, side: Side = "nearest") -> str:
    return format_length(ticks, unit, side, symbol=True)


def _words(rule: RuleId) -> str:
    return REGISTRY[rule].words


def _clean_up(task: Problem, state: CylinderChoices, near: Near) -> str:
    """`a finish size of 62.61 asked to clean up; the largest piston takes 62.48: short by 0.13`."""
    unit = task.job.unit
    machined = [c for c in state.routes if c.route.machined and not c.refusals]
    if not machined:
        return (
            f"left as it is, the bore keeps its readings of {_say(state.smallest, unit)} to "
            f"{_say(state.largest, unit)}"
        )
    # Restoring starts from another bore, so it counts only where nothing else is permitted.
    route = min(machined, key=lambda c: (c.route.kind == "restore", _needed(c), c.route.name))
    needed, half = _needed(route), route.route.half_width
    scratch = scratch_words(route, unit)
    text = (
        f"a finish size of at least {_say(needed, unit, 'up')} asked to clean up by "
        f"{route.route.name} (largest reading {_say(state.largest, unit)}"
        f"{'; ' if scratch else ''}{scratch})"
    )
    largest, room = _largest_piston(task, state, half)
    if room is None or room >= needed:
        return text
    return (
        f"{text}; the largest piston, {largest.candidate.part.number}, takes a finish size of at "
        f"most {_say(room, unit, 'down')}: short by {_say(needed - room, unit, 'up')}"
    )


def _largest_piston(
    task: Problem, state: CylinderChoices, half: int
) -> tuple[PistonChoice, int | None]:
    """Return the largest piston and the largest finish size (ticks) it takes; None: any."""
    largest = max(state.pistons, key=lambda piston: piston.candidate.skirt.high)
    if largest.clearance.high is None:
        return largest, None
    skirt = largest.candidate.skirt
    follows = task.job.finishing == "piston in hand"
    return largest, (skirt.high if follows else skirt.low) + largest.clearance.high - half


def _needed(choice: RouteChoice) -> int:
    """Return the finish size (ticks) at which a machined bore is clean."""
    return max(bound.value for bound in choice.least) + choice.route.half_width


def _route_cut(task: Problem, state: CylinderChoices, near: Near) -> str:
    unit = task.job.unit
    limited = [choice for choice in state.routes if choice.route.machined]
    if not limited:
        return "nothing may be cut: the bore is taken as it is"
    cuts = "; ".join(
        f"{choice.route.name} "
        + ("any" if (most := choice.route.max_cut) is None else f"up to {_say(most, unit)}")
        for choice in limited
        if not any(refusal.rule == "route_cut" for refusal in choice.refusals)
        and choice.base == near.option.route.base  # a restored bore counts from its own size
    )
    if not cuts:
        return f"no route that cuts is for {state.cylinder.material}"
    start = _say(near.option.route.base, unit)
    return f"the routes cut no further, counted from {start}: {cuts}"


def _clearance(task: Problem, state: CylinderChoices, near: Near) -> str:
    unit, piston = task.job.unit, near.option.piston
    skirt, window = piston.candidate.skirt, piston.window(machined=near.option.machined)
    number = piston.candidate.part.number
    _, room = _largest_piston(task, state, 0)
    if near.option.machined and room is not None and room < state.smallest:
        # Not even where it reads smallest: then nothing but the pistons' sizes is to blame.
        return (
            f"{_clean_up(task, state, near)}; the bore reads at least {_say(state.smallest, unit)}"
        )
    asked = f"{_between(window.low, window.high, unit)} asked, measuring allowance taken off"
    nominal, kept = piston.candidate.part.nominal_bore, piston.candidate.kept
    stated = piston.candidate.part.stated
    asked += _by_maker(state, "clearance", None, stated)
    if state.limits("clearance", nominal, None, kept=kept, stated=stated) == OPEN:
        asked = "at least 0, whatever is asked"
    return (
        f"{asked}; {number}, the piston that comes nearest, measures {_range(skirt, unit)}"
        f"{_too_tight(near, unit)}"
    )


def _by_maker(
    state: CylinderChoices, fit: FitName, groove: int | None, stated: tuple[str, ...]
) -> str:
    """Return what to say of a window that the maker of the part states."""
    window = find_window(state.windows, fit, groove, stated=stated)
    return f", as its maker states ({window.source})" if window and window.part else ""


def _too_tight(near: Near, unit: Unit) -> str:
    """Return what to say of a skirt that is larger than its bore, however that comes out."""
    low = near.option.piston.window(machined=near.option.machined).low
    if low is None or low < 0 or near.floor.rule != "clearance" or near.short_by <= low:
        return ""
    return f": {forbidden_words('clearance', low - near.short_by, unit)}"


def _end_gap(task: Problem, state: CylinderChoices, near: Near) -> str:
    unit, low, high = task.job.unit, *_sizes(near)
    said = []
    for ring in near.rings:
        candidate = ring.candidate
        nominal = ring.ring_class.nominal_bore
        kept, stated = candidate.kept, candidate.part.stated
        limits = state.limits("end_gap", nominal, ring.groove, kept=kept, stated=stated)
        gap = end_gap.gap_in_bore(candidate.gap, candidate.gauge_diameter, low, high)
        if limits == OPEN and gap.low > 0:
            continue
        permitted = _between(limits.low, limits.high, unit)
        said.append(
            f"groove {ring.groove}: {'above 0' if limits == OPEN else permitted} asked"
            f"{_by_maker(state, 'end_gap', ring.groove, stated)}; {candidate.part.number} has a "
            f"gap of {_range(gap, unit)} in a bore of {_say(low, unit)}"
            f"{_too_uneven(near, ring, unit)}{_filing(ring, gap, unit)}"
        )
    return "; ".join(said) or _no_ring(near)


def _filing(ring: RingOption, gap: Range, unit: Unit) -> str:
    """Return what may be done about a gap (ticks), or what comes of it as supplied."""
    most = ring.candidate.part.file_most
    if ring.bottom is not None:
        return f", may be filed by {_say(most, unit)}" if most else ", may not be filed"
    if gap.low > 0:
        return ""
    return f": no lowest gap says how far to file, and {forbidden_words('end_gap', gap.low, unit)}"


def _too_uneven(near: Near, ring: RingOption, unit: Unit) -> str:
    """Return what to say of a bore whose local sizes alone spread the gap beyond its window."""
    spread = near.option.route.spread
    if spread <= ring.widest_spread:
        return ""
    return f" (local sizes {_say(spread, unit)} apart spread the gap further than that)"


def _ring_seat(task: Problem, state: CylinderChoices, near: Near) -> str:
    unit, low, _ = task.job.unit, *_sizes(near)
    said = []
    for ring in near.rings:
        over = ring.candidate.part.gauge_diameter - low
        most = ring.candidate.part.seat_over
        window = find_window(state.windows, "ring_seat", ring.groove)
        if window is not None:
            limits = window.limits(ring.ring_class.nominal_bore, kept=ring.candidate.kept)
            edges = [edge for edge in (limits.high, most) if edge is not None]
            asked = _between(limits.low, min(edges, default=None), unit)
        else:
            asked = _between(None, most, unit)
        said.append(
            f"groove {ring.groove}: {asked} asked; {ring.candidate.part.number} is "
            f"{_say(over, unit)} over a bore of {_say(low, unit)}"
        )
    return "; ".join(said) or _no_ring(near)


def _side_clearance(task: Problem, state: CylinderChoices, near: Near) -> str:
    unit, said = task.job.unit, []
    widths = {groove.number: groove.width for groove in near.option.piston.ring_class.grooves}
    for ring in near.rings:
        if all(refusal.rule != "side_clearance" for refusal in ring.refusals):
            continue
        value = side_clearance.side_clearance(widths[ring.groove], ring.candidate.part.width)
        window = find_window(state.windows, "side_clearance", ring.groove)
        worn = ring.candidate.kept or ring.ring_class.kept
        limits = None if window is None else window.limits(ring.ring_class.nominal_bore, kept=worn)
        low = 0 if limits is None else max(0, limits.low or 0)
        asked = _between(low, limits.high, unit) if limits else "at least 0"
        said.append(
            f"groove {ring.groove}: {asked} asked; {ring.candidate.part.number} has a side "
            f"clearance of {_range(value, unit)}"
        )
    return "; ".join(said) or _no_ring(near)


def _squish(task: Problem, state: CylinderChoices, near: Near) -> str:
    nominal = near.option.piston.candidate.part.nominal_bore
    limits = state.limits("squish", nominal, None, kept=False)
    window = None if limits == OPEN else find_window(state.windows, "squish")
    squish = state.cylinder.squish
    base = None if squish is None else Range(low=squish.base_low, high=squish.base_high)
    return squish_sentence(task, near, window, base)


def _compression(task: Problem, state: CylinderChoices, near: Near) -> str:
    return compression_sentence(task, state, near, _sizes(near))


def _form(task: Problem, state: CylinderChoices, near: Near) -> str:
    found = [
        refusal.sentence
        for choice in state.routes
        for refusal in choice.refusals
        if refusal.rule == "form"
    ]
    return f"left as it is: {'; '.join(found)}" if found else "its form is outside its window"


def _bore_limit(task: Problem, state: CylinderChoices, near: Near) -> str:
    limit = task.job.bore_limit_for(state.cylinder) or 0
    return f"no local size may exceed {_say(limit, task.job.unit, 'down')}"


def _compatibility(task: Problem, state: CylinderChoices, near: Near) -> str:
    found = {
        refusal.sentence
        for piston in state.pistons
        for refusal in piston.refusals
        if refusal.rule == "compatibility"
    }
    found |= {r.sentence for ring in near.rings for r in ring.refusals if r.rule == "compatibility"}
    return "; ".join(sorted(found)[:_TOLD]) or _no_ring(near)


def _no_ring(near: Near) -> str:
    if near.empty:
        return f"there is no ring for groove {', '.join(map(str, near.empty))}"
    return "no ring goes with a piston that would fit"


def _sizes(near: Near) -> tuple[int, int]:
    """Return the local sizes (ticks) that the nearest choice would have afterwards."""
    low = max(near.option.floor_low, near.option.route.base)
    if not near.option.machined:
        return near.option.route.smallest, near.option.route.largest
    return low, low + near.option.route.spread


def _range(value: Range, unit: Unit) -> str:
    if value.known:
        return _say(value.low, unit)
    return f"{format_length(value.low, unit, 'down')} to {_say(value.high, unit, 'up')}"


def _between(low: int | None, high: int | None, unit: Unit) -> str:
    if low is None:
        return "any" if high is None else f"up to {_say(high, unit, 'down')}"
    if high is None:
        return f"from {_say(low, unit, 'up')}"
    return f"{format_length(low, unit, 'up')} to {_say(high, unit, 'down')}"


def _demanded(rule: RuleId, unit: Unit, state: CylinderChoices, near: Near) -> str:
    """Return what a rule demands of the choices, as it stands: refusals, then bounds."""
    refusals = [refusal for piston in state.pistons for refusal in piston.refusals]
    refusals += [refusal for route in state.routes for refusal in route.refusals]
    refusals += [refusal for ring in near.rings for refusal in ring.refusals]
    found = sorted({refusal.sentence for refusal in refusals if refusal.rule == rule})[:_TOLD]
    least = (*near.option.least_low, *(bound for ring in near.rings for bound in ring.least))
    most = (*near.option.most_high, *(bound for ring in near.rings for bound in ring.most))
    found += [f"no local size below {_say(b.value, unit, 'up')}" for b in least if b.rule == rule]
    found += [f"none above {_say(b.value, unit, 'down')}" for b in most if b.rule == rule]
    return "; ".join(found) or REGISTRY[rule].refuses


#: So many refusals of one rule are told.
_TOLD: Final = 5
#: Of a rule that is not among them, its demands are told as they stand.
_DESCRIBE: Final[dict[RuleId, Describe]] = {
    "clean_up": _clean_up,
    "route_cut": _route_cut,
    "clearance": _clearance,
    "end_gap": _end_gap,
    "ring_seat": _ring_seat,
    "side_clearance": _side_clearance,
    "squish": _squish,
    "port_timing": port_timing_sentence,
    "compression": _compression,
    "form": _form,
    "bore_limit": _bore_limit,
    "compatibility": _compatibility,
}
