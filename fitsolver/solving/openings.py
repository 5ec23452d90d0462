"""The smallest changes that open a cylinder that has no choice by itself, each tested.

A wider window, a higher limit and a larger piston only ever help here, so the smallest step is
found by bisection on whether the changed job has a choice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Final, Literal

from fitsolver.lengths import RATIO, format_length
from fitsolver.options import CylinderChoices
from fitsolver.records.base import FitName, Range, RuleId
from fitsolver.records.catalogue import AS_IS, Catalogue, Piston
from fitsolver.records.job import Job
from fitsolver.records.why import ChangeKind, Measure, Opening
from fitsolver.records.windows import Window
from fitsolver.ring_options import offered
from fitsolver.solving.by_itself import fits_alone
from fitsolver.solving.nearest import Near
from fitsolver.solving.possible import OWN_RULES
from fitsolver.solving.problem import Problem, problem

#: A window or limit moved by more than this (ticks: 1 mm) is not looked for.
MOST_MOVED: Final = 100_000
#: A piston is looked for up to so much (ticks: 5 mm) from the one that comes nearest.
_MOST_LARGER: Final = 500_000
_RING_RULES: Final[frozenset[RuleId]] = frozenset({"end_gap", "ring_seat", "side_clearance"})
_FITS_OF: Final[dict[RuleId, tuple[FitName, ...]]] = {
    "clearance": ("clearance",),
    "end_gap": ("end_gap",),
    "ring_seat": ("ring_seat",),
    "side_clearance": ("side_clearance",),
    "squish": ("squish",),
    "form": ("out_of_round", "taper"),
}
Edge = Literal["low", "high"]


@dataclass(frozen=True, slots=True)
class Change:
    """A change that opens a cylinder, and how to make it in a job and a catalogue."""

    kind: ChangeKind
    by: int
    measure: Measure
    sentence: str
    make: Callable[[Job, Catalogue], tuple[Job, Catalogue]]

    def opening(self, cylinder: str, *, opens_job: bool) -> Opening:
        """Return the change as it is told."""
        return Opening(
            kind=self.kind,
            cylinder=cylinder,
            by=self.by,
            measure=self.measure,
            opens_job=opens_job,
            sentence=self.sentence,
        )


def changes(single: Problem, rules: tuple[RuleId, ...], near: Near | None) -> Iterator[Change]:
    """Yield the smallest changes that open the only cylinder of a problem.

    `rules` are in conflict: what leaves all of them as they are cannot open the cylinder.
    """
    yield from _windows(single, rules)
    if "bore_limit" in rules:
        yield from _bore_limit(single)
    yield from _routes(single)
    if near is not None:
        yield from _larger_piston(single, near)


def least(opens: Callable[[int], bool], most: int) -> int | None:
    """Return the smallest step from 1 to `most` that opens; None when `most` does not.

    A step that opens must open with every larger one too.
    """
    if not opens(most):
        return None
    bad, good = 0, most
    while good - bad > 1:
        middle = (bad + good) // 2
        if opens(middle):
            good = middle
        else:
            bad = middle
    return good


def with_cylinder(job: Job, name: str, **update: Any) -> Job:
    """Return the job with some fields of one cylinder changed."""
    cylinders = tuple(
        item.model_copy(update=update) if item.name == name else item for item in job.cylinders
    )
    return job.model_copy(update={"cylinders": cylinders})


def widened(job: Job, name: str, index: int, edge: Edge, by: int) -> Job:
    """Return the job with one edge of one of a cylinder's windows moved outwards.

    `index` counts in the windows that hold for the cylinder; the service limit moves too.
    """
    cylinder = next(item for item in job.cylinders if item.name == name)
    windows = list(job.windows_for(cylinder))
    step = -by if edge == "low" else by
    fields = (edge, f"service_{edge}")
    values = {field: getattr(windows[index], field) for field in fields}
    moved = {field: value + step for field, value in values.items() if value is not None}
    windows[index] = windows[index].model_copy(update=moved)
    return with_cylinder(job, name, windows=tuple(windows))


def _opens(single: Problem, job: Job, catalogue: Catalogue | None = None) -> bool:
    return fits_alone(problem(job, catalogue or single.catalogue), OWN_RULES)


def _windows(single: Problem, rules: tuple[RuleId, ...]) -> Iterator[Change]:
    [state] = single.cylinders
    fits = {fit for rule in rules for fit in _FITS_OF.get(rule, ())}
    edges: tuple[Edge, Edge] = ("low", "high")
    for index, window in enumerate(state.windows):
        for edge in edges:
            if window.fit in fits and getattr(window, edge) is not None:
                yield from _wider(single, state, index, window, edge)


def _wider(
    single: Problem, state: CylinderChoices, index: int, window: Window, edge: Edge
) -> Iterator[Change]:
    name = state.name
    most = MOST_MOVED * RATIO // state.largest if window.per_bore else MOST_MOVED
    by = least(lambda step: _opens(single, widened(single.job, name, index, edge, step)), most)
    if by is None:
        return
    stated = getattr(window, edge)
    moved = stated - by if edge == "low" else stated + by
    yield Change(
        "window",
        by,
        "parts in 10^9" if window.per_bore else "ticks",
        f"the {'lowest' if edge == 'low' else 'highest'} {_fit_words(window)} "
        f"{_edge(moved, window, single)} instead of {_edge(stated, window, single)}",
        lambda job, parts, by=by: (widened(job, name, index, edge, by), parts),  # type: ignore[misc]
    )


def _edge(value: int, window: Window, single: Problem) -> str:
    if window.per_bore:
        return f"{value / RATIO:.9f}".rstrip("0").rstrip(".") + " of the bore"
    return _exact(value, single)


def _exact(ticks: int, single: Problem) -> str:
    """A figure that is found to the tick is shown to the tick."""
    places = {"mm": 5, "um": 2, "in": 7, "thou": 4}[single.job.unit]
    return format_length(ticks, single.job.unit, symbol=True, places=places)


def _fit_words(window: Window) -> str:
    words = window.fit.replace("_", " ")
    return f"{words} of groove {window.groove}" if window.groove else words


def _bore_limit(single: Problem) -> Iterator[Change]:
    [state] = single.cylinders
    name, limit = state.name, single.job.bore_limit_for(state.cylinder)
    if limit is None:
        return

    def raised(job: Job, by: int) -> Job:
        return with_cylinder(job, name, bore_limit=limit + by)

    by = least(lambda step: _opens(single, raised(single.job, step)), MOST_MOVED)
    if by is not None:
        yield Change(
            "bore limit",
            by,
            "ticks",
            f"a bore limit of {_exact(limit + by, single)} instead of {_exact(limit, single)}: "
            f"{_exact(by, single)} more",
            lambda job, parts: (raised(job, by), parts),
        )


def allowed(job: Job, catalogue: Catalogue, name: str, route: str) -> Job:
    """Return the job with one more route allowed for a cylinder."""
    cylinder = next(item for item in job.cylinders if item.name == name)
    listed = cylinder.routes or job.routes or shop_routes(catalogue)
    kept = (cylinder.route,) if cylinder.route else listed
    return with_cylinder(job, name, routes=(*kept, route), route=None)


def shop_routes(catalogue: Catalogue) -> tuple[str, ...]:
    """Return the names of the shop's routes; leaving the bore as it is always is one."""
    routes = list(catalogue.routes)
    if all(route.kind != "as is" for route in routes):
        routes.insert(0, AS_IS)
    return tuple(route.name for route in routes)


def _routes(single: Problem) -> Iterator[Change]:
    [state] = single.cylinders
    name = state.name
    if single.job.finishing == "already finished":
        return
    present = {choice.route.name for choice in state.routes}
    for route in shop_routes(single.catalogue):
        if route not in present and _opens(
            single, allowed(single.job, single.catalogue, name, route)
        ):
            yield Change(
                "route",
                1,
                "none",
                f"the route '{route}' allowed",
                lambda job, parts, route=route: (allowed(job, parts, name, route), parts),  # type: ignore[misc]
            )


def _larger_piston(single: Problem, near: Near) -> Iterator[Change]:
    """A piston like the nearest, of the smallest skirt size that serves on one of the routes.

    On one route, looking away from the lowest clearance and from rings, a larger piston only
    ever helps: so the smallest that serves then is the smallest at all, if it serves with them too.
    """
    [state] = single.cylinders
    like = near.option.piston.candidate.part
    if state.cylinder.piston is not None:
        return
    found = []
    for choice in state.routes:
        growth = _least_growth(single, state, like, choice.route.name)
        if growth is None:
            continue
        for with_rings in (False, True):
            rings = _rings_for(single, state, near, growth) if with_rings else ()
            asked = _with(single.catalogue, _grown(like, growth), rings)
            if _opens(single, single.job, asked):
                found.append((growth, choice.route.name, rings))
                break
    if not found:
        return
    by, route, rings = min(found, key=lambda item: item[:2])
    piston = _grown(like, by)
    if _opens(single, single.job, _with(single.catalogue, _grown(like, by - 1), rings)):
        return  # with another route, by the rings: then no smallest size is known
    yield Change(
        "piston",
        piston.skirt.low,
        "ticks",
        _piston_sentence(single, like, piston, route, with_rings=bool(rings)),
        lambda job, parts: (job, _with(parts, piston, rings)),
    )


def _least_growth(single: Problem, state: CylinderChoices, like: Piston, route: str) -> int | None:
    """Return how much larger (ticks) a piston must at least be on a route; None: not to be told."""
    job = with_cylinder(_without_lowest(single.job, state), state.name, route=route, rings=())
    bare = job.model_copy(update={"in_hand": ()})

    def serves(step: int) -> bool:
        alone = (_grown(like, step - _MOST_LARGER),)
        parts = single.catalogue.model_copy(update={"pistons": alone})
        return fits_alone(problem(bare, parts), OWN_RULES - _RING_RULES)

    step = None if serves(0) else least(serves, 2 * _MOST_LARGER)
    return None if step is None else step - _MOST_LARGER


def _piston_sentence(
    single: Problem, like: Piston, piston: Piston, route: str, *, with_rings: bool
) -> str:
    skirt = _exact(piston.skirt.low, single)
    if not piston.skirt.known:
        skirt += f" to {_exact(piston.skirt.high, single)}"
    rings = ", with rings for that bore" if with_rings else ", with rings of the catalogue"
    return (
        f"a piston like {like.number} with a skirt size of {skirt} (oversize "
        f"{_exact(piston.oversize, single)}), the smallest that serves on route '{route}'{rings}"
    )


def _grown(like: Piston, by: int) -> Piston:
    """Return a piston like another, larger by `by`, that anybody may have."""
    return like.model_copy(
        update={
            "number": f"{like.number} (asked for)",
            "oversize": like.oversize + by,
            "nominal_bore": max(1, like.nominal_bore + by),
            "skirt": Range(low=like.skirt.low + by, high=like.skirt.high + by),
            "price": 0,
            "lead_days": 0,
        }
    )


def _with(catalogue: Catalogue, piston: Piston, rings: tuple[Any, ...] = ()) -> Catalogue:
    return catalogue.model_copy(
        update={"pistons": (*catalogue.pistons, piston), "rings": (*catalogue.rings, *rings)}
    )


def _rings_for(single: Problem, state: CylinderChoices, near: Near, by: int) -> tuple[Any, ...]:
    """Return the rings for the nearest piston's own bore, made for one larger by `by`."""
    nominal = near.option.piston.ring_class.nominal_bore
    found = {}
    for groove in near.option.piston.ring_class.grooves:
        for ring in offered(state, single.shelf.rings, groove.number):
            if not ring.piece and ring.part.gauge_diameter == nominal:
                found[ring.part.number] = ring.part.model_copy(
                    update={
                        "number": f"{ring.part.number} (asked for)",
                        "gauge_diameter": nominal + by,
                        "price": 0,
                        "lead_days": 0,
                    }
                )
    return tuple(found.values())


def _without_lowest(job: Job, state: CylinderChoices) -> Job:
    windows = tuple(
        window.model_copy(update={"low": None, "service_low": None})
        if window.fit == "clearance"
        else window
        for window in state.windows
    )
    return with_cylinder(job, state.name, windows=windows)
