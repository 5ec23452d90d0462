"""How near the nearest choice of a cylinder comes, and what leaves it no room."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.base.lengths import Unit, typed
from fitsolver.choices.types import CylinderChoices, RouteChoice
from fitsolver.choices.words import asked_words, say
from fitsolver.explain.nearest import Near
from fitsolver.matching.words import listed
from fitsolver.records.base import RuleId
from fitsolver.records.rules import REGISTRY
from fitsolver.records.windows import find_window
from fitsolver.solving.problem import Problem


def miss_sentence(unit: Unit, near: Near, rules: list[RuleId]) -> str:
    """Return by how much the nearest choice misses, the figure first."""
    route = near.option.route.route
    choice = f"{near.option.piston.candidate.part.number}, {route.name}"
    if near.empty:
        grooves = ", ".join(map(str, near.empty))
        return f"no ring for groove {grooves} with {choice}"
    if near.short_by:
        short = say(near.short_by, unit, "up")
        if not near.option.machined:
            return _as_is_miss(unit, near, short, choice)
        said = f"{short} short with {choice}"
        if too_narrow(near):
            half = say(route.half_width, unit)
            return (
                f"{said}: {rule_words(near.floor.rule)} is asked too closely for what parts and "
                f"bore vary by (size held ±{half})"
            )
        return (
            f"{said}: {_asking(near, unit)} asks for a bore of {say(near.floor.value, unit, 'up')} "
            f"at least where it is smallest, {rule_words(near.ceiling.rule)} allows "
            f"{say(near.ceiling.value, unit, 'down')}"
        )
    against = [rule_words(rule) for rule in (near.refused or rules)]
    stands = "stands" if len(against) == 1 else "stand"
    scratch = [r.sentence for r in near.option.route.refusals if r.rule == "clean_up"]
    why = f" ({'; '.join(scratch)})" if scratch else ""
    return f"sizes fit with {choice}; {', '.join(against)} {stands} against it{why}"


def _as_is_miss(unit: Unit, near: Near, short: str, choice: str) -> str:
    route = near.option.route
    if near.ceiling.value == route.smallest and near.floor.rule != "route_cut":
        return (
            f"{short} too small with {choice}: the bore measures {say(route.smallest, unit)} where "
            f"it is smallest, {rule_words(near.floor.rule)} asks for "
            f"{say(near.floor.value, unit, 'up')} at least"
        )
    return (
        f"{short} too large with {choice}: the bore measures {say(route.largest, unit)} where it "
        f"is largest, {rule_words(near.ceiling.rule)} allows "
        f"{say(near.ceiling.value, unit, 'down')} at most"
    )


def too_narrow(near: Near, rule: RuleId | None = None) -> bool:
    """Tell whether one rule leaves a machined bore no size by itself: its window is too narrow."""
    alone = near.short_by > 0 and near.option.machined and near.floor.rule == near.ceiling.rule
    return alone and rule in (None, near.floor.rule)


def no_room(task: Problem, state: CylinderChoices, near: Near) -> str:
    """Return what takes up the clearance window of the nearest choice, each with its figure."""
    unit, part = task.job.unit, near.option.piston.candidate.part
    kept = near.option.piston.candidate.kept
    window = find_window(state.windows, "clearance", stated=part.stated)
    edges = (None, None) if window is None else window.stated(part.nominal_bore, kept=kept)
    told = list(_taking(task, state, near))
    takes = "leaves" if len(told) == 1 else "leave"
    return (
        f"{asked_words(*edges, unit)} asked; {listed(told)} {takes} no room: "
        f"{say(near.short_by, unit, 'up')} too little"
    )


def nothing_left(state: CylinderChoices, near: Near, unit: Unit) -> str:
    """Return how the measuring allowance uses up the clearance window; empty: it leaves some."""
    part, kept = near.option.piston.candidate.part, near.option.piston.candidate.kept
    window = find_window(state.windows, "clearance", stated=part.stated)
    if window is None:
        return ""
    low, high = window.stated(part.nominal_bore, kept=kept)
    guard = window.guard_for(as_is=not near.option.machined)
    if low is None or high is None or low + guard <= high - guard:
        return ""
    return (
        f"{asked_words(low, high, unit)} asked; the measuring allowance, {say(guard, unit)} on "
        "each side, leaves nothing of it"
    )


def _taking(task: Problem, state: CylinderChoices, near: Near) -> Iterator[str]:
    """Yield what a clearance varies by."""
    unit, option = task.job.unit, near.option
    candidate, route = option.piston.candidate, option.route
    yield f"size held ±{say((route.spread + 1) // 2, unit)} with {route.route.name}"
    skirt = candidate.skirt
    if not option.follows and not skirt.known:
        yield f"skirt of {candidate.part.number} ±{say((skirt.high - skirt.low + 1) // 2, unit)}"
    window = find_window(state.windows, "clearance", stated=candidate.part.stated)
    if window is not None and window.aim > window.guard:
        yield f"aim {say(window.aim, unit)} above the lowest"
    if window is not None and window.guard:
        yield f"measuring allowance {say(window.guard, unit)} on each side"


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
    return f"{rule_words(rule)} ({scratch})" if scratch else rule_words(rule)


def rule_words(rule: RuleId) -> str:
    """Return the words of a rule, as reports name it."""
    return REGISTRY[rule].words
