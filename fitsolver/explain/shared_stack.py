"""The smallest changes that open a job where only a shared gasket stack is in conflict."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fitsolver.base.lengths import format_length, shop_step, typed
from fitsolver.choices.options import options
from fitsolver.choices.types import CylinderChoices
from fitsolver.explain.edges import Edge, edge_words, fit_words, moved_edge, reach, room
from fitsolver.explain.job_openings import opening, route_openings
from fitsolver.explain.openings import least, widened
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Gasket
from fitsolver.records.job import Job
from fitsolver.records.why import Opening
from fitsolver.records.windows import Window
from fitsolver.solving.few import fits
from fitsolver.solving.possible import OWN_RULES
from fitsolver.solving.problem import Problem, problem

_STACK_FITS: Final = ("squish", "port_timing", "compression")
#: The most thicknesses tried for a gasket to order.
_MOST_TRIED: Final = 12


def shared_stack(task: Problem) -> Iterator[Opening]:
    """Yield what opens the job: a wider window, a gasket to ask for, one more gasket, a route."""
    yield from _windows(task)
    yield from _thickness(task)
    yield from _one_more(task)
    yield from route_openings(task)


def _windows(task: Problem) -> Iterator[Opening]:
    """Move one edge of a window of the job for all cylinders alike."""
    state = max(task.cylinders, key=lambda each: each.largest)
    edges: tuple[Edge, Edge] = ("low", "high")
    for window in dict.fromkeys(w for each in task.cylinders for w in each.windows):
        if window.fit not in _STACK_FITS:
            continue
        measure, farthest = reach(window, state.largest)
        for edge in edges:
            stated = getattr(window, edge)
            if stated is None:
                continue
            most = room(window.fit, stated, farthest) if edge == "low" else farthest
            by = least(
                lambda step, window=window, edge=edge: fits(  # type: ignore[misc]
                    problem(_wider(task.job, window, edge, step), task.catalogue), OWN_RULES
                ),
                most,
            )
            if by is None:
                continue
            whole = fits(problem(_wider(task.job, window, edge, by), task.catalogue))
            yield opening(
                "window",
                by,
                measure,
                f"the {'lowest' if edge == 'low' else 'highest'} {fit_words(window)} "
                f"{moved_edge(stated, window, edge, by, task)} instead of "
                f"{edge_words(stated, window, task)}, for every cylinder under that window",
                opens_job=whole,
            )


def _wider(job: Job, window: Window, edge: Edge, by: int) -> Job:
    changed = job
    for cylinder in job.cylinders:
        windows = job.windows_for(cylinder)
        if window in windows:
            changed = widened(changed, cylinder.name, windows.index(window), edge, by)
    return changed


def _thickness(task: Problem) -> Iterator[Opening]:
    """The thinnest single gasket of exact thickness that serves at the shared place."""
    for place in task.job.gaskets:
        if not place.shared:
            continue
        for thick in _worth_a_try(task, place.place):
            if not _serves(task, place.place, thick) or _serves(task, place.place, thick - 1):
                continue
            whole = fits(problem(task.job, _with_gasket(task.catalogue, place.place, thick)))
            yield opening(
                "gasket",
                thick,
                "ticks",
                f"a {place.place} gasket of {_to_order(task, place.place, thick)}",
                opens_job=whole,
            )
            break


def _to_order(task: Problem, place: str, thick: int) -> str:
    """Return the thinnest gasket that serves, in an orderable step, else to the tick."""
    unit = task.job.unit
    step = shop_step(unit)
    ordered = -(-thick // step) * step
    words = "once clamped, not in the catalogue, would serve; none thinner by"
    if ordered == thick or not _serves(task, place, ordered):
        return f"{typed(thick, unit)} {words} 10 nm does"
    by = format_length(step, unit, symbol=True)
    return f"{format_length(ordered, unit, symbol=True)} {words} {by} does"


def _worth_a_try(task: Problem, place: str) -> list[int]:
    """Return each piston's least stack, less other places, where every cylinder accepts it."""
    asked = [_asked(state) for state in task.cylinders]
    others = sum(
        min((g.compressed.low for g in task.catalogue.gaskets if g.place == each.place), default=0)
        * each.least
        for each in task.job.gaskets
        if each.place != place
    )
    begins = sorted({low for each in asked for low, _ in each})
    agreed = [
        low - others
        for low in begins
        if low > others and all(any(a <= low <= b for a, b in each) for each in asked)
    ]
    return agreed[:_MOST_TRIED]


def _asked(state: CylinderChoices) -> set[tuple[int, int]]:
    """Return the least and most thickness (ticks) that each piston of a cylinder asks for."""
    stacks = {option.piston.stack for option in options(state, OWN_RULES)}
    return {
        (
            max(stack.low or 0, stack.base_low or 0),
            min(10**9 if top is None else top for top in (stack.high, stack.base_high)),
        )
        for stack in stacks
    }


def _serves(task: Problem, place: str, thick: int) -> bool:
    return fits(problem(task.job, _with_gasket(task.catalogue, place, thick)), OWN_RULES)


def _with_gasket(catalogue: Catalogue, place: str, thick: int) -> Catalogue:
    asked = Gasket(
        number=f"{place} gasket (asked for)",
        place=place,
        thickness=thick,
        crush=0,
        compressed=Range(low=thick, high=thick),
        price=0,
        stock=0,
        lead_days=0,
    )
    return catalogue.model_copy(update={"gaskets": (*catalogue.gaskets, asked)})


def _one_more(task: Problem) -> Iterator[Opening]:
    """One gasket more at one place."""
    for index, place in enumerate(task.job.gaskets):
        places = list(task.job.gaskets)
        places[index] = place.model_copy(update={"most": place.most + 1})
        job = task.job.model_copy(update={"gaskets": tuple(places)})
        if fits(problem(job, task.catalogue), OWN_RULES):
            yield opening(
                "stack",
                1,
                "none",
                f"{place.most + 1} gaskets at {place.place} instead of at most {place.most}",
                opens_job=fits(problem(job, task.catalogue)),
            )
