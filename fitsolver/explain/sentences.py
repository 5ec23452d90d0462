"""One sentence a rule on the nearest choice: required figure, actual figure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Final

from fitsolver.base.lengths import Unit
from fitsolver.choices.demands import OF_RINGS_ALONE
from fitsolver.choices.types import CylinderChoices, PistonChoice, RingOption, RouteChoice
from fitsolver.choices.words import asked_words, range_words, say, told_alike
from fitsolver.explain.misses import no_room, rule_words, scratch_words, too_narrow
from fitsolver.explain.nearest import Near
from fitsolver.explain.ring_sentences import (
    TOLD,
    by_maker,
    end_gap_sentence,
    no_ring,
    ring_seat_sentence,
    side_clearance_sentence,
    sizes_of,
)
from fitsolver.explain.stack_sentences import (
    NO_STACK,
    compression_sentence,
    port_timing_sentence,
    squish_sentence,
)
from fitsolver.planning.floors import forbidden_words
from fitsolver.records.base import Range, RuleId
from fitsolver.records.plan import Reason
from fitsolver.records.rules import REGISTRY
from fitsolver.records.windows import OPEN, find_window
from fitsolver.solving.problem import Problem

Describe = Callable[[Problem, CylinderChoices, Near], str]


def describe(
    rule: RuleId, task: Problem, state: CylinderChoices, near: Near, rules: Iterable[RuleId] = ()
) -> str:
    """Return what a rule in conflict asks of a cylinder's nearest choice.

    `rules` are all rules in conflict: a gasket stack may keep one of them, but not all.
    """
    if any(refusal.rule == rule for refusal in near.option.refusals):
        return "; ".join(_refused(rule, state.pistons, state.routes, ()))
    others = [rule_words(other) for other in rules if other != rule]
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
            some = f"{len(grooves)} needed, in grooves {' and '.join(grooves)}"
            yield f"{some}; one there of {piece} of {number}"


def nothing_to_choose(state: CylinderChoices) -> Reason:
    """Return the reason of a cylinder that has no piston or no route to choose from."""
    if not state.routes:
        return Reason(rule="route_cut", cylinder=state.name, sentence=_no_route(state))
    sentence = (
        "0 pistons to choose from: none of the catalogue or in hand may go into this cylinder"
    )
    return Reason(rule="compatibility", cylinder=state.name, sentence=sentence)


def _no_route(state: CylinderChoices) -> str:
    """Return why a cylinder has no route: the one it asks for is not among those listed."""
    cylinder = state.cylinder
    listed = cylinder.routes or state.job.routes
    if cylinder.route is None or cylinder.route in listed:
        return "the shop does none of the work that the job permits"
    whose = "cylinder" if cylinder.routes else "job"
    names = ", ".join(f"'{name}'" for name in listed)
    return (
        f"the cylinder is to be done by '{cylinder.route}', which is not among the work that the "
        f"{whose} lists ({names})"
    )


def _clean_up(task: Problem, state: CylinderChoices, near: Near) -> str:
    """`62.61 at least asked of the finish size; 62.48 with the largest piston: 0.13 short`."""
    unit = task.job.unit
    machined = [c for c in state.routes if c.route.machined and not c.refusals]
    if not machined:
        return (
            f"{say(state.smallest, unit)} to {say(state.largest, unit)} is what the bore keeps, "
            "left as it is"
        )
    # Restoring starts from another bore, so it counts only where nothing else is permitted.
    route = min(machined, key=lambda c: (c.route.kind == "restore", _needed(c), c.route.name))
    needed, half = _needed(route), route.route.half_width
    scratch = scratch_words(route, unit)
    text = (
        f"{say(needed, unit, 'up')} at least asked of the finish size, to clean up by "
        f"{route.route.name} (largest reading {say(state.largest, unit)}"
        f"{'; ' if scratch else ''}{scratch})"
    )
    largest, room = _largest_piston(task, state, half)
    if room is None or room >= needed:
        return text
    return (
        f"{text}; {say(room, unit, 'down')} at most with the largest piston, "
        f"{largest.candidate.part.number}: {say(needed - room, unit, 'up')} short"
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
        return "0 to be cut: the bore is taken as it is"
    cuts = ", ".join(
        ("any depth" if (most := choice.route.max_cut) is None else f"{say(most, unit)} at most")
        + f" with {choice.route.name}"
        for choice in limited
        if not any(refusal.rule == "route_cut" for refusal in choice.refusals)
        and choice.base == near.option.route.base  # a restored bore counts from its own size
    )
    if not cuts:
        return f"no work that takes metal is for {state.cylinder.material}"
    start = say(near.option.route.base, unit)
    others = _refused("route_cut", (), state.routes, ())  # for other materials
    said = f"{_to_cut(near, unit)}{cuts} may be cut, counted from {start}"
    return "; ".join([said, *others])


def _to_cut(near: Near, unit: Unit) -> str:
    """Return the cut that the nearest choice needs, where the cut is in conflict."""
    option = near.option
    deep = near.floor.value + option.route.spread - option.route.base
    if not option.machined or near.ceiling.rule != "route_cut" or deep <= 0:
        return ""
    return f"{say(deep, unit, 'up')} to cut for {_number(near)}; "


def _number(near: Near) -> str:
    return near.option.piston.candidate.part.number


def _clearance(task: Problem, state: CylinderChoices, near: Near) -> str:
    unit, piston = task.job.unit, near.option.piston
    skirt, window = piston.candidate.skirt, piston.window(machined=near.option.machined)
    number = piston.candidate.part.number
    _, room = _largest_piston(task, state, 0)
    if near.option.machined and room is not None and room < state.smallest:
        # It fails even at its smallest reading: only the piston sizes are to blame then.
        return (
            f"{_clean_up(task, state, near)}; the bore reads at least {say(state.smallest, unit)}"
        )
    if too_narrow(near, "clearance"):
        return no_room(task, state, near)
    asked = f"{asked_words(window.low, window.high, unit)} asked"
    nominal, kept = piston.candidate.part.nominal_bore, piston.candidate.kept
    stated = piston.candidate.part.stated
    stands = find_window(state.windows, "clearance", stated=stated)
    if stands and stands.guard_for(as_is=not near.option.machined):
        asked += ", measuring allowance taken off"
    asked += by_maker(state, "clearance", None, stated)
    if state.limits("clearance", nominal, None, kept=kept, stated=stated) == OPEN:
        asked = "at least 0, whatever is asked"
    return (
        f"{asked}; {range_words(skirt, unit)} is the skirt of the nearest piston, {number}"
        f"{_too_tight(near, unit)}"
    )


def _too_tight(near: Near, unit: Unit) -> str:
    """Return the refusal of a skirt that would be larger than its bore; empty: it is not."""
    low = near.option.piston.window(machined=near.option.machined).low
    if low is None or low < 0 or near.floor.rule != "clearance" or near.short_by <= low:
        return ""
    return f": {forbidden_words('clearance', low - near.short_by, unit)}"


def _squish(task: Problem, state: CylinderChoices, near: Near) -> str:
    nominal = near.option.piston.candidate.part.nominal_bore
    limits = state.limits("squish", nominal, None, kept=False)
    window = None if limits == OPEN else find_window(state.windows, "squish")
    squish = state.cylinder.squish
    base = None if squish is None else Range(low=squish.base_low, high=squish.base_high)
    return squish_sentence(task, near, window, base)


def _compression(task: Problem, state: CylinderChoices, near: Near) -> str:
    return compression_sentence(task, state, near, sizes_of(near))


def _form(task: Problem, state: CylinderChoices, near: Near) -> str:
    found = [
        refusal.sentence
        for choice in state.routes
        for refusal in choice.refusals
        if refusal.rule == "form"
    ]
    return f"{'; '.join(found)}, left as it is" if found else "its form is outside its window"


def _bore_limit(task: Problem, state: CylinderChoices, near: Near) -> str:
    limit = task.job.bore_limit_for(state.cylinder) or 0
    unit = task.job.unit
    most = f"{say(limit, unit, 'down')} is the largest bore permitted"
    option = near.option
    needs = near.floor.value + option.route.spread if option.machined else option.route.largest
    if near.ceiling.rule != "bore_limit" or needs <= limit:
        return most
    comes = "the bore measures"
    if option.machined:
        comes = f"{_number(near)} with {option.route.route.name} comes to"
    over = say(needs - limit, unit, "up")
    return f"{most}; {say(needs, unit, 'up')} is what {comes}: {over} too large"


def _compatibility(task: Problem, state: CylinderChoices, near: Near) -> str:
    return "; ".join(_refused("compatibility", state.pistons, (), near.rings)) or no_ring(near)


def _refused(
    rule: RuleId,
    pistons: Iterable[PistonChoice],
    routes: Iterable[RouteChoice],
    rings: Iterable[RingOption],
) -> list[str]:
    """Return a rule's refusals; parts refused for the same reason share one sentence."""
    made = [(choice.candidate.part.number, choice.refusals) for choice in pistons]
    made += [(choice.route.name, choice.refusals) for choice in routes]
    made += [(ring.candidate.part.number, ring.refusals) for ring in rings]
    told = ((name, one.sentence) for name, every in made for one in every if one.rule == rule)
    return told_alike(told)[:TOLD]


def _demanded(rule: RuleId, unit: Unit, state: CylinderChoices, near: Near) -> str:
    """Return the demands of a rule on the choices: refusals, then bounds."""
    found = _refused(rule, state.pistons, state.routes, near.rings)
    least = (*near.option.least_low, *(bound for ring in near.rings for bound in ring.least))
    most = (*near.option.most_high, *(bound for ring in near.rings for bound in ring.most))
    found += [
        f"{say(b.value, unit, 'up')} at least asked of every local size"
        for b in least
        if b.rule == rule
    ]
    found += [f"{say(b.value, unit, 'down')} at most" for b in most if b.rule == rule]
    return "; ".join(found) or REGISTRY[rule].refuses


#: Of a rule that is not among them, its demands are told as they stand.
_DESCRIBE: Final[dict[RuleId, Describe]] = {
    "clean_up": _clean_up,
    "route_cut": _route_cut,
    "clearance": _clearance,
    "end_gap": end_gap_sentence,
    "ring_seat": ring_seat_sentence,
    "side_clearance": side_clearance_sentence,
    "squish": _squish,
    "port_timing": port_timing_sentence,
    "compression": _compression,
    "form": _form,
    "bore_limit": _bore_limit,
    "compatibility": _compatibility,
}
