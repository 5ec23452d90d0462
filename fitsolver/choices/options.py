"""Every choice of every cylinder, as integers: what the solver sees.

A choice is bounded through two numbers: `L`, the smallest, and `H`, the largest local size
after the work (see docs/decision.md). Each rule is either a bound on L or H, carried here
with its name, or a refusal in words. Failing choices are kept apart, not thrown away, so
that they can be explained.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.choices.asked import routes_for
from fitsolver.choices.candidates import PistonCandidate, RingClass, Shelf, is_piece, piece_name
from fitsolver.choices.demands import DEMANDS, AtLeast, AtMost, Demand, Refused
from fitsolver.choices.stack_windows import RatioWindow, TimedPort, ratio_window, timed_ports
from fitsolver.fits import port_timing, route_cut, squish
from fitsolver.metrology.form import bore_form, extremes
from fitsolver.records.base import FitName, Range, RuleId
from fitsolver.records.catalogue import Catalogue, Piston, Route
from fitsolver.records.floors import in_force
from fitsolver.records.form import BoreForm
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.rules import RULES
from fitsolver.records.windows import OPEN, Limits, Window, find_window

ALL_RULES: frozenset[RuleId] = frozenset(RULES)
NO_BOUND = (
    10**9
)  # ten metres in ticks, the longest length: stands for "no bound" where an integer is needed


class Bound(NamedTuple):
    """A rule's bound (ticks) on L or H."""

    rule: RuleId
    value: int


class Refusal(NamedTuple):
    """A rule that refuses a choice whatever its size."""

    rule: RuleId
    sentence: str


class StackBounds(NamedTuple):
    """What a piston asks of the gaskets' compressed thickness (ticks); None = nothing.

    `low`, `high` of all of them, for the squish; `base_low`, `base_high` of those under the
    cylinder, for the port timing. `growth` is what the piston-to-head distance grows by without
    any gasket, where the compression ratio has a window.
    """

    low: int | None = None
    high: int | None = None
    base_low: int | None = None
    base_high: int | None = None
    growth: Range | None = None


class PistonChoice(NamedTuple):
    """A piston in one cylinder: clearance window and stack bounds at its nominal bore.

    The window's lowest value is nowhere below what physics permits. `as_is` is the window in a
    bore that is left as it is, where its guard is another. `least` and `most` are what rules
    besides the clearance ask of L and H.
    """

    candidate: PistonCandidate
    clearance: Limits
    stack: StackBounds
    refusals: tuple[Refusal, ...]
    as_is: Limits | None = None
    least: tuple[Bound, ...] = ()
    most: tuple[Bound, ...] = ()

    def window(self, *, machined: bool) -> Limits:
        """Return the clearance window in a bore that is machined, or left as it is."""
        return self.clearance if machined or self.as_is is None else self.as_is

    @property
    def ring_class(self) -> RingClass:
        return self.candidate.ring_class


class RouteChoice(NamedTuple):
    """A route in one cylinder. `spread` is H - L when one finish size serves (ticks).

    `least` are lower bounds on L, `most` upper bounds on H. Left as it is, L and H are
    `smallest` and `largest`. `size_offset` is how far below H the size lies that counts for
    displacement.
    """

    route: Route
    smallest: int
    largest: int
    base: int
    spread: int
    size_offset: int
    least: tuple[Bound, ...]
    most: tuple[Bound, ...]
    refusals: tuple[Refusal, ...]


class Option(NamedTuple):
    """A piston with a route, what each rule asks of L and H, and what is left of them.

    `floor_low <= L <= ceiling_low` and `floor_high <= H <= ceiling_high` sum up the bounds.
    `follows`: L and H are the least that all lower bounds permit (the bore waits for the
    piston); otherwise `H = L + spread`. Left as it is, L and H are what was measured.
    """

    piston: PistonChoice
    route: RouteChoice
    follows: bool
    least_low: tuple[Bound, ...]
    most_low: tuple[Bound, ...]
    least_high: tuple[Bound, ...]
    most_high: tuple[Bound, ...]
    floor_low: int
    ceiling_low: int
    floor_high: int
    ceiling_high: int

    @property
    def key(self) -> tuple[str, str, str]:
        return *self.piston.candidate.key, self.route.route.name

    @property
    def machined(self) -> bool:
        return self.route.route.machined

    @property
    def refusals(self) -> tuple[Refusal, ...]:
        return (*self.piston.refusals, *self.route.refusals)

    @property
    def has_size(self) -> bool:
        return self.floor_low <= self.ceiling_low and self.floor_high <= self.ceiling_high

    @property
    def removal_offset(self) -> int:
        """Removal is H minus this (ticks): half-width and base when machined, else H itself."""
        if not self.machined:
            return self.route.largest
        return self.route.route.half_width + self.route.base

    @property
    def least_removal(self) -> int:
        """The least removal (ticks) this option can come to."""
        return self.floor_high - self.removal_offset

    @property
    def size_offset(self) -> int:
        """The size that counts for displacement is H minus this (ticks)."""
        return self.route.size_offset


@dataclass(frozen=True)
class CylinderChoices:
    """All choices of one cylinder, before any two are put together."""

    job: Job
    cylinder: Cylinder
    form: BoreForm | None
    smallest: int
    largest: int
    pistons: tuple[PistonChoice, ...] = field(repr=False)
    routes: tuple[RouteChoice, ...] = field(repr=False)

    @property
    def name(self) -> str:
        return self.cylinder.name

    @cached_property
    def windows(self) -> tuple[Window, ...]:
        return self.job.windows_for(self.cylinder)

    @cached_property
    def windows_key(self) -> str:
        """The same for cylinders under the same windows and engine, and quick to compare."""
        return repr((self.windows, self.job.engine))

    @cached_property
    def matched(self) -> bool:
        """Whether the mass of its piston is matched with others."""
        return any(self.name in match.cylinders for match in self.job.mass_match)

    @cached_property
    def timed(self) -> tuple[TimedPort, ...]:
        """The ports whose timing has a window."""
        return timed_ports(self.job, self.cylinder, self.windows)

    @cached_property
    def ratio(self) -> RatioWindow | None:
        """The window on the compression ratio."""
        return ratio_window(self.job, self.cylinder, self.windows)

    def limits(
        self,
        fit: FitName,
        nominal: int,
        groove: int | None,
        *,
        kept: bool,
        as_is: bool = False,
        stated: tuple[str, ...] = (),
    ) -> Limits:
        """Return the guarded window of a fit at a nominal bore (open when there is none).

        `stated` are the windows that the maker of the part states, by name.
        """
        window = find_window(self.windows, fit, groove, stated=stated)
        return OPEN if window is None else window.limits(nominal, kept=kept, as_is=as_is)


def choices(job: Job, catalogue: Catalogue, parts: Shelf) -> tuple[CylinderChoices, ...]:
    """Return the choices of every cylinder; raise InputError for a route nobody knows."""
    return tuple(_cylinder_choices(job, catalogue, parts, cylinder) for cylinder in job.cylinders)


def _cylinder_choices(
    job: Job, catalogue: Catalogue, parts: Shelf, cylinder: Cylinder
) -> CylinderChoices:
    smallest, largest = extremes(cylinder)
    measured = bore_form(cylinder, job.convention) if cylinder.readings else None
    bare = CylinderChoices(job, cylinder, measured, smallest, largest, (), ())
    # Pieces of one number differ in size and mass only: their windows are worked out once.
    known: dict[tuple[object, ...], PistonChoice] = {}
    pistons = []
    for candidate in _offered(parts.pistons, cylinder):
        key = candidate.part.number, candidate.kept
        if key not in known:
            known[key] = _piston_choice(bare, candidate)
        pistons.append(_asked_of(bare, known[key]._replace(candidate=candidate)))
    routes = tuple(_route_choice(bare, route) for route in _routes(job, catalogue, cylinder))
    return CylinderChoices(job, cylinder, measured, smallest, largest, tuple(pistons), routes)


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
    """Return a piston with its windows, before the rules are asked."""
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
    """Return what rules demand: lower bounds on L, upper bounds on H, refusals."""
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
    """Yield all pistons with all routes of a cylinder, those that fail too, in key order."""
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
    # Pistons of one size and window differ in nothing that bounds a bore: work it out once.
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
    """Return a piston with a route, with what the active rules ask of L and H."""
    follows = state.job.finishing == "piston in hand" and route.route.machined
    least_low = [bound for bound in (*route.least, *piston.least) if bound.rule in active]
    most_high = [bound for bound in (*route.most, *piston.most) if bound.rule in active]
    spread = route.spread
    # Each of the smallest and the largest piston has a finish size of its own when it follows.
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
    return Option(piston, route, follows, *bounds, *_spans(route, follows, *bounds))


def _spans(
    route: RouteChoice,
    follows: bool,
    least_low: tuple[Bound, ...],
    most_low: tuple[Bound, ...],
    least_high: tuple[Bound, ...],
    most_high: tuple[Bound, ...],
) -> tuple[int, int, int, int]:
    """Return what the bounds leave: floor and ceiling of L, floor and ceiling of H."""
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
