"""The piston size to order where no piston of the catalogue serves.

The nearest piston is enlarged until it serves. Without the rules that ask for a smaller piston,
feasibility on one route is monotone in the piston size. So the smallest size feasible then is the
smallest on that route, if it also keeps those rules.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from fitsolver.base.lengths import format_length
from fitsolver.choices.demands import OF_RINGS_ALONE
from fitsolver.choices.options import make_option
from fitsolver.choices.ring_options import offered
from fitsolver.choices.types import (
    NO_BOUND,
    CylinderChoices,
    PistonChoice,
    RouteChoice,
    StackBounds,
)
from fitsolver.explain.edges import ASK_SMALLER_RING, exact, order_steps
from fitsolver.explain.nearest import Near
from fitsolver.explain.openings import Change, least, never_too_tight, pinned_parts, with_cylinder
from fitsolver.records.base import Range, RuleId
from fitsolver.records.catalogue import Catalogue, Piston, Ring
from fitsolver.records.job import Job
from fitsolver.records.windows import Window, find_window
from fitsolver.solving.by_itself import fits_alone
from fitsolver.solving.possible import OWN_RULES
from fitsolver.solving.problem import Problem, problem

#: A piston is looked for up to so much (ticks: 5 mm) from the one that comes nearest.
_MOST_LARGER: Final = 500_000
_NO_RING_RULES: Final = OWN_RULES - OF_RINGS_ALONE


def larger_piston(single: Problem, near: Near) -> Iterator[Change]:
    """Yield the smallest piston like the nearest one that serves the cylinder of a problem.

    With rings of the catalogue, or where none serves with the rings of the nearest piston made
    for the larger bore.
    """
    [state] = single.cylinders
    if state.cylinder.piston is not None:
        return
    like = near.option.piston.candidate.part
    found = []
    for choice in state.routes:
        on_route = _on_route(single, near, choice)
        if on_route is not None:
            by, own = on_route
            found.append((by, choice.route.name, own))
    if not found:
        return
    by, route, own = min(found, key=lambda item: item[:2])
    if like.oversize + by < 0:
        return  # nobody makes a piston smaller than standard
    piston, made = _grown(like, by, state.name), _made(own, by)
    if _serves(single, single.job, _grown(like, by - 1, state.name), _made(own, by - 1)):
        return  # on another route, by its rings: then no smallest size is known
    yield Change(
        "piston",
        piston.skirt.low,
        "ticks",
        _sentence(single, like, piston, route, own),
        lambda job, parts: (job, _with(parts, piston, made)),
        "piston",
    )


def _on_route(
    single: Problem, near: Near, choice: RouteChoice
) -> tuple[int, tuple[Ring, ...]] | None:
    """Return how much larger (ticks) the piston must at least be on a route, and its own rings.

    No rings are returned where those of the catalogue serve; None where no piston does.
    """
    [state] = single.cylinders
    like, name = near.option.piston.candidate.part, state.name
    by = _for_the_bore(state, near, choice)
    if by is None:
        return None
    job = with_cylinder(single.job, name, route=choice.route.name)
    if _serves(single, job, _grown(like, by, name)):
        return by, ()
    rings = _own_rings(single, state, near)
    unringed = with_cylinder(job, name, rings=())
    if not rings or not _serves(single, unringed, _grown(like, by, name), active=_NO_RING_RULES):
        return None
    eased = _never_too_large(unringed, state, like)
    seated = tuple(map(never_too_tight, rings))

    def ringed(step: int) -> bool:
        piston, made = _grown(like, by + step, name), _made(seated, by + step)
        return _serves(single, eased, piston, made, only=True)

    step = 0 if ringed(0) else least(ringed, _MOST_LARGER)
    if step is None:
        return None
    by += step
    return (by, rings) if _serves(single, job, _grown(like, by, name), _made(rings, by)) else None


def _for_the_bore(state: CylinderChoices, near: Near, choice: RouteChoice) -> int | None:
    """Return the least growth (ticks) by the sizes of bore and skirt; None: unknown."""
    like = near.option.piston.candidate

    def serves(step: int) -> bool:
        part = _grown(like.part, step - _MOST_LARGER, state.name)
        stated = part.stated
        limits = state.limits("clearance", part.nominal_bore, None, kept=False, stated=stated)
        piston = PistonChoice(
            replace(like, part=part, skirt=part.skirt),
            limits._replace(low=None),
            StackBounds(),
            (),
        )
        return make_option(state, piston, choice, OWN_RULES).has_size

    if choice.refusals or serves(0):
        return None
    step = least(serves, 2 * _MOST_LARGER)
    return None if step is None else step - _MOST_LARGER


def _serves(
    single: Problem,
    job: Job,
    piston: Piston,
    rings: tuple[Ring, ...] = (),
    *,
    active: frozenset[RuleId] = OWN_RULES,
    only: bool = False,
) -> bool:
    """Tell whether a piston serves; the catalogue's own do not, so they are left out.

    With `only`, the rings named here and no others.
    """
    named = pinned_parts(job)
    parts = single.catalogue
    kept = {
        "pistons": tuple(part for part in parts.pistons if part.number in named),
        "rings": tuple(part for part in parts.rings if part.number in named or not only),
    }
    return fits_alone(problem(job, _with(parts.model_copy(update=kept), piston, rings)), active)


def _never_too_large(job: Job, state: CylinderChoices, like: Piston) -> Job:
    """Return the job without what asks for a smaller piston, and the edges that ask so of a ring.

    A skirt may be larger than its bore there: the lowest clearance is one that nothing goes below.
    """
    windows = []
    for window in state.windows:
        edge = ASK_SMALLER_RING.get(window.fit)
        update: dict[str, int | None] = {}
        if edge is not None:
            update = {edge: None, f"service_{edge}": None}
        if window.fit == "clearance":
            update = {"low": -NO_BOUND, "service_low": -NO_BOUND}
        windows.append(window.model_copy(update=update))
    if find_window(windows, "clearance", stated=like.stated) is None:
        windows.append(Window(fit="clearance", low=-NO_BOUND))
    return with_cylinder(job, state.name, windows=tuple(windows))


def _sentence(
    single: Problem, like: Piston, smallest: Piston, route: str, own: tuple[Ring, ...]
) -> str:
    """Return what to ask for: the next size in steps of oversizes, else the smallest."""
    unit = single.job.unit
    piston = _to_order(single, like, smallest, own)
    say = exact if piston is None else _shown
    asked = piston or smallest
    skirt = say(asked.skirt.low, single)
    if not asked.skirt.known:
        skirt += f" to {say(asked.skirt.high, single)}"
    rings = "rings made for that bore" if own else "rings of the catalogue"
    least_of_all = "none smaller does"
    if piston is not None:
        over = format_length(smallest.oversize, unit, "up", symbol=True)
        least_of_all = f"the smallest that does is {over} over"
    return (
        f"a piston of size {skirt}, not in the catalogue, would serve: like {like.number}, for an "
        f"oversize of {say(asked.oversize, single)}, on route '{route}', with {rings}; "
        f"{least_of_all}"
    )


def _to_order(
    single: Problem, like: Piston, smallest: Piston, own: tuple[Ring, ...]
) -> Piston | None:
    """Return the next larger size in whole steps of oversizes; None where none serves."""
    [state] = single.cylinders
    for step in order_steps(single):
        by = -(-smallest.oversize // step) * step - like.oversize
        piston = _grown(like, by, state.name)
        if _serves(single, single.job, piston, _made(own, by)):
            return piston
    return None


def _shown(ticks: int, single: Problem) -> str:
    return format_length(ticks, single.job.unit, symbol=True)


def _grown(like: Piston, by: int, cylinder: str) -> Piston:
    """Return a piston like another, larger by `by`, that anybody may have."""
    return like.model_copy(
        update={
            "number": f"{like.number} (asked for, cylinder {cylinder})",
            "oversize": like.oversize + by,
            "nominal_bore": max(1, like.nominal_bore + by),
            "skirt": Range(low=like.skirt.low + by, high=like.skirt.high + by),
            "price": 0,
            "lead_days": 0,
        }
    )


def _with(catalogue: Catalogue, piston: Piston, rings: tuple[Ring, ...]) -> Catalogue:
    return catalogue.model_copy(
        update={"pistons": (*catalogue.pistons, piston), "rings": (*catalogue.rings, *rings)}
    )


def _own_rings(single: Problem, state: CylinderChoices, near: Near) -> tuple[Ring, ...]:
    """Return the rings for the nearest piston's own bore, to be had by anybody."""
    ring_class = near.option.piston.ring_class
    found = {}
    for groove in ring_class.grooves:
        for ring in offered(state, single.shelf.rings, groove.number):
            if not ring.piece and ring.part.gauge_diameter == ring_class.nominal_bore:
                number = f"{ring.part.number} (asked for, cylinder {state.name})"
                update = {"number": number, "price": 0, "lead_days": 0}
                found[number] = ring.part.model_copy(update=update)
    return tuple(found.values())


def _made(rings: tuple[Ring, ...], by: int) -> tuple[Ring, ...]:
    """Return the rings made for a bore larger by `by`."""
    return tuple(
        ring.model_copy(update={"gauge_diameter": max(1, ring.gauge_diameter + by)})
        for ring in rings
    )
