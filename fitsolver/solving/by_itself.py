"""Whether one cylinder has a choice by itself, by arithmetic alone: no search is needed.

Raising the smallest local size L only ever helps against lower bounds and hurts against upper
ones. So the sizes worth a look are the lower bounds themselves, of the option and of its rings.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from functools import lru_cache
from itertools import product
from typing import Final, TypeVar

from ortools.sat.python import cp_model

from fitsolver.base.running import run_through
from fitsolver.choices.options import CylinderChoices, Option, options
from fitsolver.choices.ring_options import RingOption, ring_options
from fitsolver.fits.port_timing import UNDER_THE_CYLINDER
from fitsolver.records.base import RULES, RuleId
from fitsolver.records.catalogue import Catalogue, Sold
from fitsolver.records.job import Job
from fitsolver.solving.possible import OWN_RULES, minimal, possible
from fitsolver.solving.problem import Problem

Part = TypeVar("Part", bound=Sold)
Edges = tuple[int | None, int | None]
#: Of a part: what has no say in whether it fits one cylinder.
_NO_SAY = {
    *("number", "price", "stock", "lead_days", "alloy", "grade", "gauge_height"),
    *("oversize", "mass", "mass_tolerance"),
}

#: What options of a piston and a route do not tell: it takes their rings and gaskets.
_OF_RINGS_AND_STACK: Final[frozenset[RuleId]] = frozenset(
    {
        *("end_gap", "ring_seat", "side_clearance", "compatibility"),
        *("squish", "port_timing", "compression"),
    }
)


def without_doubles(job: Job, catalogue: Catalogue) -> Catalogue:
    """Return the catalogue with one part of those that fit alike; parts the job names all stay."""
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


def fits_alone(task: Problem, active: frozenset[RuleId]) -> bool:
    """Tell whether the only cylinder of a problem has a choice that keeps the active rules.

    Of the rules only those that one cylinder keeps or breaks by itself are looked at. A window
    on the compression ratio ties the stack to the bore: then it is the solver that is asked.
    """
    [state] = task.cylinders
    if state.ratio is not None and "compression" in active:
        return possible(task, active & OWN_RULES)
    return any(True for _ in _removals(task, active))


def own_conflict(task: Problem) -> tuple[RuleId, ...]:
    """Return rules of the only cylinder that cannot be kept together, none of which can be spared.

    Those that `conflict` finds, without a solver. Empty when the cylinder has a choice, or has none
    even without any rule.
    """
    if fits_alone(task, OWN_RULES) or not fits_alone(task, frozenset()):
        return ()
    return tuple(sorted(minimal(OWN_RULES, lambda kept: not fits_alone(task, kept))))


def least_removal(task: Problem) -> int | None:
    """Return the least removal (ticks) that the only cylinder of a problem can come to.

    By the rules that one cylinder keeps or breaks by itself, looking away from a window on the
    compression ratio; None where it has no choice.
    """
    return min(_removals(task, OWN_RULES), default=None)


def _removals(task: Problem, active: frozenset[RuleId]) -> Iterator[int]:
    """Yield the least removal (ticks) of every option that has rings and a stack."""
    [state] = task.cylinders
    by_class: dict[int, list[Option]] = defaultdict(list)
    for option in options(state, active):
        if _has_stack(task, option, active):
            by_class[id(option.piston.ring_class)].append(option)
    for offered in by_class.values():
        yield from _of_class(task, offered, active)


def serving(
    task: Problem, enough: AbstractSet[tuple[str, str]] = frozenset()
) -> frozenset[tuple[str, str]]:
    """Return the pistons, by number and piece, with which the only cylinder has a choice by itself.

    Where one of those that are `enough` serves, it alone is returned. A window on the compression
    ratio is not looked at: with one, some of them may not serve.
    """
    [state] = task.cylinders
    by_class: dict[int, list[Option]] = defaultdict(list)
    for option in options(state, OWN_RULES):
        if _has_stack(task, option, OWN_RULES):
            by_class[id(option.piston.ring_class)].append(option)
    found = set()
    for offered in by_class.values():
        for option, _ in _fitting(task, offered, OWN_RULES):
            key = option.piston.candidate.key
            if key in enough:
                return frozenset({key})
            found.add(key)
    return frozenset(found)


def minimal_own(task: Problem) -> tuple[RuleId, ...]:
    """Return rules of a cylinder without a choice that conflict, none of which can be spared.

    A minimal unsatisfiable set (see `minimal`). Empty where not even without any rule there is a
    choice.
    """
    [state] = task.cylinders
    kept = set(_asking(state))
    if not options(state, frozenset(kept - _OF_RINGS_AND_STACK)):
        kept -= _OF_RINGS_AND_STACK  # bores and skirts alone are in conflict
    least = minimal(kept, lambda rules: not fits_alone(task, rules))
    return tuple(rule for rule in RULES if rule in least)


def _asking(state: CylinderChoices) -> frozenset[RuleId]:
    """Return the rules that ask anything of the cylinder; without the others nothing is won."""
    found = {bound.rule for choice in state.routes for bound in (*choice.least, *choice.most)}
    found |= {refusal.rule for choice in state.routes for refusal in choice.refusals}
    found |= {refusal.rule for choice in state.pistons for refusal in choice.refusals}
    return OWN_RULES & (found | {"clearance"} | _OF_RINGS_AND_STACK)


def _of_class(task: Problem, offered: Sequence[Option], active: frozenset[RuleId]) -> Iterator[int]:
    """Yield the least removal (ticks) of those options of pistons of one class that have rings."""
    for option, high in _fitting(task, offered, active):
        yield high - option.removal_offset


def _fitting(
    task: Problem, offered: Sequence[Option], active: frozenset[RuleId]
) -> Iterator[tuple[Option, int]]:
    """Yield the options of pistons of one class that rings go with, and the least H of each."""
    [state] = task.cylinders
    rings: dict[int, list[RingOption]] = defaultdict(list)
    for ring in ring_options(state, offered, task.shelf.rings, active):
        rings[ring.groove].append(ring)
    grooves = [rings[groove.number] for groove in offered[0].piston.ring_class.grooves]
    # Pistons of one size have the same option but for their names.
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
        # A bore that waits for its piston gets the least size that is asked for, no larger one.
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


def _has_stack(task: Problem, option: Option, active: frozenset[RuleId]) -> bool:
    """Tell whether gaskets of every place make a stack that the piston takes."""
    stack = option.piston.stack
    all_of = _asked(stack.low, stack.high) if "squish" in active else (None, None)
    under = _asked(stack.base_low, stack.base_high) if "port_timing" in active else (None, None)
    places = tuple((p.place, p.least, p.most) for p in task.job.gaskets)
    offered = tuple(
        dict.fromkeys(
            (g.place, g.compressed.low, g.compressed.high) for g in task.catalogue.gaskets
        )
    )
    return _search_stack(offered, places, all_of, under)


def _asked(low: int | None, high: int | None) -> Edges:
    """Return what is asked of a stack: no stack is thinner than nothing."""
    return (low if low is not None and low > 0 else None), high


@lru_cache(maxsize=4096)
def _search_stack(
    offered: tuple[tuple[str, int, int], ...],
    places: tuple[tuple[str, int, int], ...],
    all_of: Edges,
    under: Edges,
) -> bool:
    if all_of == under == (None, None):
        return all(not least or any(g[0] == place for g in offered) for place, least, _ in places)
    model = cp_model.CpModel()
    taken = []
    for place, least, most in places:
        counts = [(g, model.new_int_var(0, most, "")) for g in offered if g[0] == place]
        model.add_linear_constraint(
            cp_model.LinearExpr.sum([count for _, count in counts]), least, most
        )
        taken += counts
    for (low, high), some in (
        (all_of, taken),
        (under, [each for each in taken if each[0][0] == UNDER_THE_CYLINDER]),
    ):
        if low is not None:
            model.add(cp_model.LinearExpr.sum([g[1] * count for g, count in some]) >= low)
        if high is not None:
            model.add(cp_model.LinearExpr.sum([g[2] * count for g, count in some]) <= high)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    return run_through(solver, model) in (cp_model.OPTIMAL, cp_model.FEASIBLE)
