"""Whether one cylinder has a choice by itself, by arithmetic alone: no search is needed.

A larger smallest local size L eases lower bounds and tightens upper ones. So only the lower bounds
themselves, of the option and of its rings, need testing as sizes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from itertools import product
from typing import Final, TypeVar

from fitsolver.base.running import look
from fitsolver.choices.demands import OF_PAIRS, OF_RINGS_AND_STACK
from fitsolver.choices.options import options
from fitsolver.choices.ring_options import ring_options
from fitsolver.choices.types import CylinderChoices, Option, RingOption, StackBounds
from fitsolver.records.base import RULES, RuleId
from fitsolver.records.catalogue import Catalogue, Sold
from fitsolver.records.job import Job
from fitsolver.solving.minimal import minimal_rules
from fitsolver.solving.one_stack import Edges, bounds_of, has_stack
from fitsolver.solving.possible import OWN_RULES, alone, possible
from fitsolver.solving.problem import Problem

Part = TypeVar("Part", bound=Sold)
_NOTHING: Final[Edges] = (None, None)
#: Part fields that never affect the fit in one cylinder.
_NO_SAY = {
    *("number", "price", "stock", "lead_days", "alloy", "grade", "gauge_height"),
    *("oversize", "mass", "mass_tolerance"),
}


def without_doubles(job: Job, catalogue: Catalogue) -> Catalogue:
    """Return the catalogue with one of each set of equally fitting parts; named parts stay."""
    named = {item.number for item in job.in_hand}
    for cylinder in job.cylinders:
        named |= {cylinder.piston or "", *(ring.number for ring in cylinder.rings)}
    return catalogue.model_copy(
        update={
            "pistons": _distinct(catalogue.pistons, named),
            "rings": _distinct(catalogue.rings, named),
            "kits": (),
        }
    )


def _distinct(parts: Sequence[Part], named: set[str]) -> tuple[Part, ...]:
    found: dict[tuple[object, ...], Part] = {}
    for part in parts:
        own = part.number if part.number in named else ""
        figures = (getattr(part, name) for name in type(part).model_fields if name not in _NO_SAY)
        found.setdefault((own, *figures), part)
    return tuple(found.values())


def single(task: Problem, state: CylinderChoices) -> Problem:
    """Return the problem of one cylinder, coupled to the others only through the shelf.

    A window on the compression ratio is asked of the solver, which is given a job of its own.
    """
    if state.ratio is not None:
        return alone(task, state.name)
    return replace(task, cylinders=(state,))


def fits_alone(task: Problem, active: frozenset[RuleId], offered: _Offered | None = None) -> bool:
    """Tell whether the only cylinder of a problem has a choice that keeps the active rules.

    Only local rules count. A window on the compression ratio ties the stack to the bore: the solver
    decides then. `offered` caches the cylinder's options between calls.
    """
    [state] = task.cylinders
    if state.ratio is not None and "compression" in active:
        return possible(task, active & OWN_RULES)
    return any(True for _ in _removals(task, active, offered))


class _Offered:
    """The options of a cylinder under some rules; rules without a bound on them are skipped."""

    def __init__(self, state: CylinderChoices) -> None:
        self.state = state
        self.bounding = {"clearance", *_bounding(state)}
        self.known: dict[frozenset[RuleId], tuple[Option, ...]] = {}

    def under(self, active: frozenset[RuleId]) -> tuple[Option, ...]:
        rules = active & self.bounding
        if rules not in self.known:
            self.known[rules] = options(self.state, rules)
        return self.known[rules]


def _bounding(state: CylinderChoices) -> Iterator[RuleId]:
    """Yield the rules that bound or refuse a piston or route of the cylinder."""
    for route in state.routes:
        yield from (bound.rule for bound in (*route.least, *route.most))
        yield from (refusal.rule for refusal in route.refusals)
    for piston in state.pistons:
        yield from (refusal.rule for refusal in piston.refusals)


def own_conflict(task: Problem) -> tuple[RuleId, ...]:
    """Return a minimal set of rules that the only cylinder cannot keep together.

    The result equals that of `conflict`, without a solver. Empty when the cylinder has a choice, or
    has none even without any rule.
    """
    if fits_alone(task, OWN_RULES) or not fits_alone(task, frozenset()):
        return ()
    [state] = task.cylinders
    offered = _Offered(state)
    return tuple(
        sorted(minimal_rules(_asking(state), lambda kept: fits_alone(task, kept, offered)))
    )


def least_removal(task: Problem) -> int | None:
    """Return the least removal (ticks) that the only cylinder of a problem permits.

    Local rules count, except a window on the compression ratio; None where the cylinder has no
    choice.
    """
    return min(_removals(task, OWN_RULES), default=None)


def _removals(
    task: Problem, active: frozenset[RuleId], offered: _Offered | None = None
) -> Iterator[int]:
    """Yield the least removal (ticks) of every option that has rings and a stack."""
    for option, high in _fitting(task, active, offered):
        yield high - option.removal_offset


def serving(
    task: Problem, enough: AbstractSet[tuple[str, str]] = frozenset()
) -> frozenset[tuple[str, str]]:
    """Return the pistons, by number and piece, with which the only cylinder has a choice by itself.

    If a piston of `enough` serves, only that one is returned. A window on the compression ratio is
    ignored, so it may still rule some of them out.
    """
    found = set()
    for option, _ in _fitting(task, OWN_RULES):
        key = option.piston.candidate.key
        if key in enough:
            return frozenset({key})
        found.add(key)
    return frozenset(found)


def minimal_own(task: Problem) -> tuple[RuleId, ...]:
    """Return a minimal set of conflicting rules of a cylinder without a choice.

    A minimal unsatisfiable set (see `minimal`). Empty where the cylinder has no choice even without
    any rule.
    """
    [state] = task.cylinders
    kept = set(_asking(state))
    if not options(state, frozenset(kept - OF_RINGS_AND_STACK)):
        kept -= OF_RINGS_AND_STACK  # bores and skirts alone are in conflict
    offered = _Offered(state)
    least = minimal_rules(kept, lambda rules: fits_alone(task, rules, offered))
    return tuple(rule for rule in RULES if rule in least)


def _asking(state: CylinderChoices) -> frozenset[RuleId]:
    """Return the rules with a demand on the cylinder; dropping any other changes nothing."""
    asking = {*OF_PAIRS, *_bounding(state), *OF_RINGS_AND_STACK}
    stacks = {piston.stack for piston in state.pistons}
    refused = {refusal.rule for piston in state.pistons for refusal in piston.refusals}
    idle: set[RuleId] = set()
    if all(bounds_of(stack.low, stack.high) == _NOTHING for stack in stacks):
        idle.add("squish")
    if all(bounds_of(stack.base_low, stack.base_high) == _NOTHING for stack in stacks):
        idle.add("port_timing")
    if state.ratio is None:
        idle.add("compression")
    return OWN_RULES & (asking - (idle - refused))


def _fitting(
    task: Problem, active: frozenset[RuleId], offered: _Offered | None = None
) -> Iterator[tuple[Option, int]]:
    """Yield the options that rings and a stack go with, and the least H of each.

    Rings are looked up for one class of pistons first, which usually suffices, then for the rest.
    """
    look()
    [state] = task.cylinders
    by_class: dict[int, list[Option]] = defaultdict(list)
    stacks: dict[StackBounds, bool] = {}
    for option in (offered or _Offered(state)).under(active):
        stack = option.piston.stack
        if stack not in stacks:
            stacks[stack] = has_stack(task, stack, active)
        if stacks[stack]:
            by_class[id(option.piston.ring_class)].append(option)
    classes = list(by_class.values())
    for some in (classes[:1], classes[1:]):
        rings: dict[tuple[int, int], list[RingOption]] = defaultdict(list)
        together = [option for each in some for option in each]
        for ring in ring_options(state, together, task.shelf.rings, active):
            rings[id(ring.ring_class), ring.groove].append(ring)
        for each in some:
            grooves = each[0].piston.ring_class.grooves
            found = [rings[id(each[0].piston.ring_class), groove.number] for groove in grooves]
            yield from _of_class(each, found, active)


def _of_class(
    offered: Sequence[Option], grooves: Sequence[Sequence[RingOption]], active: frozenset[RuleId]
) -> Iterator[tuple[Option, int]]:
    """Yield the options of pistons of one class that rings go with, and the least H of each."""
    # Options of pistons of one size differ only in their names.
    known: dict[tuple[object, ...], int | None] = {}
    for option in offered:
        sizes = (*option[2:], option.route.route.name)
        if sizes not in known:
            known[sizes] = _least_high(option, grooves, active)
        high = known[sizes]
        if high is not None:
            yield option, high


def _least_high(
    option: Option, grooves: Sequence[Sequence[RingOption]], active: frozenset[RuleId]
) -> int | None:
    """Return the least H (ticks) that an option with some of the rings can have; None: none."""
    spread = option.route.spread
    floors = {option.floor_low}
    for rings in grooves:
        floors |= {ring.floor_low for ring in rings}
        if not option.follows and "end_gap" in active:
            floors |= {ring.reach_low for ring in rings}
    for low in sorted(floors):
        high = max(option.floor_high, low + spread)
        if not option.floor_low <= low <= option.ceiling_low or high > option.ceiling_high:
            continue
        taken = [
            [ring for ring in rings if _takes(ring, low, high, spread, active)] for rings in grooves
        ]
        # A bore that waits for its piston gets the least permitted size, never a larger one.
        asked = low == option.floor_low or any(r.floor_low == low for each in taken for r in each)
        if (asked or not option.follows) and _each_once(taken):
            return high
    return None


def _each_once(taken: Sequence[Sequence[RingOption]]) -> bool:
    """Tell whether every groove has a ring of its own: a measured piece serves one of them."""
    scarce = [rings for rings in taken if all(ring.candidate.piece for ring in rings)]
    if not all(scarce):
        return False
    if len(scarce) < 2:
        return True
    return any(
        len({ring.candidate.key for ring in chosen}) == len(chosen) for chosen in product(*scarce)
    )


def _takes(ring: RingOption, low: int, high: int, spread: int, active: frozenset[RuleId]) -> bool:
    near = "end_gap" not in active or (ring.reach_low <= low and high <= ring.reach_high)
    return (
        ring.floor_low <= low
        and high <= ring.ceiling_high
        and spread <= ring.widest_spread
        and near
    )
