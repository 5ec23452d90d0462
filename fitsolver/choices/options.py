"""Every choice of every cylinder, as integers for the solver.

A choice is bounded through two numbers: `L`, the smallest, and `H`, the largest local size after
the work (see docs/decision.md). Each rule is either a bound on L or H, carried here with its name,
or a refusal in words. Failing choices are kept apart, so that refusals can explain them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from fitsolver.base.errors import InputError
from fitsolver.base.running import looking
from fitsolver.choices.asked import routes_for
from fitsolver.choices.candidates import is_piece, piece_name
from fitsolver.choices.demands import DEMANDS, AtLeast, AtMost, Demand, Refused
from fitsolver.choices.parts import PistonCandidate, Shelf
from fitsolver.choices.stack_windows import ratio_window, timed_ports
from fitsolver.choices.types import (
    ALL_RULES,
    NO_BOUND,
    Bound,
    CylinderChoices,
    Option,
    PistonChoice,
    Refusal,
    RouteChoice,
    StackBounds,
)
from fitsolver.fits import port_timing, route_cut, squish
from fitsolver.metrology.form import bore_form, extremes
from fitsolver.records.base import Range, RuleId
from fitsolver.records.catalogue import Catalogue, Piston, Route
from fitsolver.records.floors import in_force
from fitsolver.records.job import Cylinder, Job


def choices(job: Job, catalogue: Catalogue, parts: Shelf) -> tuple[CylinderChoices, ...]:
    """Return the choices of every cylinder; raise InputError for an unknown route."""
    return tuple(
        _cylinder_choices(job, catalogue, parts, cylinder) for cylinder in looking(job.cylinders)
    )


def _cylinder_choices(
    job: Job, catalogue: Catalogue, parts: Shelf, cylinder: Cylinder
) -> CylinderChoices:
    smallest, largest = extremes(cylinder)
    measured = bore_form(cylinder, job.convention) if cylinder.readings else None
    windows = job.windows_for(cylinder)
    timed, ratio = timed_ports(job, cylinder, windows), ratio_window(job, cylinder, windows)
    bare = CylinderChoices(job, cylinder, measured, smallest, largest, (), (), timed, ratio)
    # Pieces of one number differ in size and mass only: their windows are worked out once.
    known: dict[tuple[object, ...], PistonChoice] = {}
    pistons = []
    for candidate in _offered(parts.pistons, cylinder):
        key = candidate.part.number, candidate.kept
        if key not in known:
            known[key] = _piston_choice(bare, candidate)
        pistons.append(_asked_of(bare, known[key]._replace(candidate=candidate)))
    routes = tuple(_route_choice(bare, route) for route in _routes(job, catalogue, cylinder))
    return replace(bare, pistons=tuple(pistons), routes=routes)


def _offered(
    candidates: Iterable[PistonCandidate], cylinder: Cylinder
) -> Iterator[PistonCandidate]:
    for candidate in candidates:
        if candidate.only_in not in (None, cylinder.name):
            continue
        if cylinder.piston is not None and candidate.part.number != cylinder.piston:
            continue
        if is_piece(cylinder) and candidate.piece != piece_name(cylinder):
            continue
        yield candidate


def _piston_choice(state: CylinderChoices, candidate: PistonCandidate) -> PistonChoice:
    """Return a piston with its windows, before any demand of a rule."""
    part = candidate.part
    machined, as_is = (
        in_force(
            "clearance",
            state.limits(
                "clearance",
                part.nominal_bore,
                None,
                kept=candidate.kept,
                as_is=left,
                stated=part.stated,
            ),
        )
        for left in (False, True)
    )
    return PistonChoice(candidate, machined, _stack_bounds(state, part), (), as_is)


def _asked_of(state: CylinderChoices, choice: PistonChoice) -> PistonChoice:
    """Return the piston with what the rules ask of it."""
    found = [
        (rule, demand)
        for rule, of in DEMANDS.items()
        if of.piston
        for demand in of.piston(state, choice.candidate)
    ]
    if not found:
        return choice
    least, most, refusals = sorted_out(found)
    return choice._replace(least=least, most=most, refusals=refusals)


def sorted_out(
    demands: Iterable[tuple[RuleId, Demand]],
) -> tuple[tuple[Bound, ...], tuple[Bound, ...], tuple[Refusal, ...]]:
    """Return the demands of rules: lower bounds on L, upper bounds on H, refusals."""
    least, most, refusals = [], [], []
    for rule, demand in demands:
        match demand:
            case AtLeast(value):
                least.append(Bound(rule, value))
            case AtMost(value):
                most.append(Bound(rule, value))
            case Refused(sentence):
                refusals.append(Refusal(rule, sentence))
    return tuple(least), tuple(most), tuple(refusals)


def _stack_bounds(state: CylinderChoices, part: Piston) -> StackBounds:
    base, height = state.cylinder.squish, part.compression_height
    if base is None or height is None:
        return StackBounds()
    limits = state.limits("squish", part.nominal_bore, None, kept=False)
    bare = squish.squish(base, height, Range(low=0, high=0))
    return StackBounds(
        *squish.stack_bounds(base, height, limits),
        *port_timing.base_bounds(base, height, [port.travel for port in state.timed]),
        growth=None if state.ratio is None else state.ratio.growth(bare),
    )


def _routes(job: Job, catalogue: Catalogue, cylinder: Cylinder) -> tuple[Route, ...]:
    routes = catalogue.shop_routes
    known = {route.name for route in routes}
    listed = cylinder.routes or job.routes
    for name in (*listed, *([cylinder.route] if cylinder.route else [])):
        if name not in known:
            raise InputError(
                "a route that the shop does not have",
                file=job.name,
                field=f"cylinder {cylinder.name}, route",
                found=name,
                allowed=", ".join(sorted(known)),
            )
    if job.finishing == "already finished":
        _refuse_machining(job, cylinder, routes)
        return tuple(route for route in routes if not route.machined)
    return routes_for(job, catalogue, cylinder)


def _refuse_machining(job: Job, cylinder: Cylinder, routes: Iterable[Route]) -> None:
    machined = {route.name for route in routes if route.machined}
    if cylinder.route in machined:
        raise InputError(
            "a bore that is already finished is not machined",
            file=job.name,
            field=f"cylinder {cylinder.name}, route",
            found=cylinder.route,
            allowed="no route",
        )


def _route_choice(state: CylinderChoices, route: Route) -> RouteChoice:
    least, most, refusals = sorted_out(
        (rule, demand)
        for rule, of in DEMANDS.items()
        if of.route
        for demand in of.route(state, route)
    )
    spread, offset = state.largest - state.smallest, state.cylinder.finished_half_width
    if route.machined:
        spread, offset = 2 * route.half_width, route.half_width
    return RouteChoice(
        route=route,
        smallest=state.smallest,
        largest=state.largest,
        base=route_cut.base_size(route, state.smallest),
        spread=spread,
        size_offset=offset,
        least=least,
        most=most,
        refusals=refusals,
    )


def as_bore(state: CylinderChoices, smallest: int, largest: int) -> CylinderChoices:
    """Return the same choices for a clean bore with other local sizes (ticks)."""
    clean = state.cylinder.model_copy(update={"scratch": 0})
    bore = replace(state, cylinder=clean, form=None, smallest=smallest, largest=largest)
    routes = tuple(_route_choice(bore, choice.route) for choice in state.routes)
    return replace(bore, routes=routes)


def every_option(state: CylinderChoices) -> Iterator[Option]:
    """Yield every pair of piston and route of a cylinder in key order, failing ones included."""
    routes = sorted(state.routes, key=lambda choice: choice.route.name)
    for piston in state.pistons:
        for route in routes:
            yield make_option(state, piston, route)


def options(state: CylinderChoices, active: frozenset[RuleId] = ALL_RULES) -> tuple[Option, ...]:
    """Return the options of a cylinder that the active rules leave possible, in key order."""
    routes = sorted(
        (route for route in state.routes if not _refused(route.refusals, active)),
        key=lambda choice: choice.route.name,
    )
    # Pistons of one size and window bound a bore equally: computed once.
    known: dict[tuple[object, ...], list[Option]] = {}
    found: list[Option] = []
    for piston in state.pistons:
        if _refused(piston.refusals, active):
            continue
        skirt = piston.candidate.skirt
        sizes = skirt.low, skirt.high, piston.clearance, piston.as_is, piston.least, piston.most
        if sizes not in known:
            tried = (make_option(state, piston, route, active) for route in routes)
            known[sizes] = [option for option in tried if option.has_size]
        found += [option._replace(piston=piston) for option in known[sizes]]
    return tuple(found)


def _refused(refusals: Iterable[Refusal], active: frozenset[RuleId]) -> bool:
    return any(refusal.rule in active for refusal in refusals)


def make_option(
    state: CylinderChoices,
    piston: PistonChoice,
    route: RouteChoice,
    active: frozenset[RuleId] = ALL_RULES,
) -> Option:
    """Return a piston with a route, with the bounds of the active rules on L and H."""
    follows = state.job.finishing == "piston in hand" and route.route.machined
    least_low = [bound for bound in (*route.least, *piston.least) if bound.rule in active]
    most_high = [bound for bound in (*route.most, *piston.most) if bound.rule in active]
    spread = route.spread
    # When the bore follows its piston, the smallest and the largest piston each have a finish size.
    least_high = [Bound(rule, value + spread) for rule, value in least_low] if follows else []
    most_low: list[Bound] = []
    limits, skirt = piston.window(machined=route.route.machined), piston.candidate.skirt
    if "clearance" in active and limits.low is not None:
        size = skirt.low if follows else skirt.high
        least_low.append(Bound("clearance", size + limits.low))
        if follows:
            least_high.append(Bound("clearance", skirt.high + limits.low + spread))
    if "clearance" in active and limits.high is not None:
        size = skirt.high if follows else skirt.low
        most_high.append(Bound("clearance", size + limits.high))
        if follows:
            most_low.append(Bound("clearance", skirt.low + limits.high - spread))
    bounds = tuple(least_low), tuple(most_low), tuple(least_high), tuple(most_high)
    return Option(piston, route, follows, *bounds, *_spans(route, *bounds))


def _spans(
    route: RouteChoice,
    least_low: tuple[Bound, ...],
    most_low: tuple[Bound, ...],
    least_high: tuple[Bound, ...],
    most_high: tuple[Bound, ...],
) -> tuple[int, int, int, int]:
    """Return the floor and ceiling of L and of H that the bounds leave."""
    floor_low = max((value for _, value in least_low), default=0)
    ceiling_high = min((value for _, value in most_high), default=NO_BOUND)
    if not route.route.machined:
        return (
            max(floor_low, route.smallest),
            route.smallest,
            route.largest,
            min(ceiling_high, route.largest),
        )
    floor_low = max(floor_low, route.base)  # a cut only takes metal away
    ceiling_low = min((value for _, value in most_low), default=NO_BOUND)
    floor_high = max((value for _, value in least_high), default=0)
    return (
        floor_low,
        min(ceiling_low, ceiling_high - route.spread),
        max(floor_high, floor_low + route.spread),
        ceiling_high,
    )
