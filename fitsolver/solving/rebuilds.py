"""Rebuilds left, in the model: from the last rebuild back to the bore that is left today.

A finish allows k more rebuilds when, worn, it can be machined to one that allows k - 1. All
finishes that do so are whole intervals of ticks. For each interval, a route with half-width `h`
asks of the bore before it, with local sizes from `L` to `H` and `w` the wear:

    H + w + min_cut + h <= hi        lo <= L + max_cut        H + w + min_cut + h <= L + max_cut

that there is a finish size in it (lo..hi) which cleans up and is not cut too far.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from ortools.sat.python import cp_model

from fitsolver.choices.rebuild_steps import Ahead, Span, Step, merged, most_left
from fitsolver.choices.types import NO_BOUND
from fitsolver.fits import clean_up, route_cut
from fitsolver.solving.terms import Expr, total
from fitsolver.solving.variables import CylinderVars, Model


class Way(NamedTuple):
    """Bounds of one way to the next rebuild on the bore before it: on H, L and H - L (ticks)."""

    most_high: int
    least_low: int
    most_spread: int


def rebuilds_lost(model: Model) -> tuple[Expr, int, int]:
    """Return the rebuilds lost against the maximum, with the range of that number.

    The cylinder with the fewest rebuilds left decides. Raises InputError as `ahead` does.
    """
    cylinders = model.ahead()
    most = most_left(cylinders)
    each = [tuple(ways(cylinder, most)) for cylinder in cylinders]
    counts: list[cp_model.IntVar] = []
    for of_all in zip(*each, strict=False):  # no further than the cylinder with the fewest
        possible = model.cp.new_bool_var("")
        if counts:
            model.cp.add_implication(possible, counts[-1])
        for cylinder, found in zip(model.cylinders, of_all, strict=True):
            _post(model.cp, cylinder, possible, found)
        counts.append(possible)
    # Its own variable, because limits on an expression must not shift by its constant.
    lost = model.cp.new_int_var(most - len(counts), most, "")
    model.cp.add(lost + total([(1, possible) for possible in counts]) == most)
    return lost, most - len(counts), most


def ways(cylinder: Ahead, most: int) -> Iterator[tuple[Way, ...]]:
    """Yield the ways to the first rebuild of a chain of one, of two, and so on up to `most`."""
    reach = cylinder.steps
    for _ in range(most):
        found = tuple(_best(_ways_into(reach, cylinder.wear)))
        if not found:
            return
        yield found
        reach = tuple(_before(step, found) for step in cylinder.steps)


def _ways_into(steps: Iterable[Step], wear: int) -> Iterator[Way]:
    for route, spans in steps:
        least = clean_up.least_local_size(route, wear, 0) + route.half_width
        cut = route_cut.largest_finish(route, 0)
        for low, high in spans:
            if cut is None:
                yield Way(high - least, -NO_BOUND, NO_BOUND)
            else:
                yield Way(high - least, low - cut, cut - least)


def _best(found: Iterable[Way]) -> Iterator[Way]:
    """Yield the ways that no other dominates: a dominating way is no stricter in any bound."""
    best: list[Way] = []
    for way in sorted(set(found), key=lambda way: (-way.most_high, way.least_low)):
        easier = (
            other.least_low <= way.least_low and other.most_spread >= way.most_spread
            for other in best
        )
        if way.most_spread >= 0 and not any(easier):
            best.append(way)
            yield way


def _before(step: Step, found: Sequence[Way]) -> Step:
    """Return the finishes of a step that permit one of the ways."""
    half = step.route.half_width
    asked: list[Span] = [
        (way.least_low + half, way.most_high - half) for way in found if 2 * half <= way.most_spread
    ]
    common = (
        (max(low, least), min(high, most)) for low, high in step.fitting for least, most in asked
    )
    return Step(step.route, tuple(merged(span for span in common if span[0] <= span[1])))


def _post(
    cp: cp_model.CpModel, cylinder: CylinderVars, possible: cp_model.IntVar, found: Sequence[Way]
) -> None:
    """Permit another rebuild only where a way leads to it from the bore."""
    taken = [possible] if len(found) == 1 else [cp.new_bool_var("") for _ in found]
    if len(found) > 1:
        cp.add_bool_or(taken).only_enforce_if(possible)
    for way, here in zip(found, taken, strict=True):
        cp.add(cylinder.high <= way.most_high).only_enforce_if(here)
        if way.least_low > -NO_BOUND:
            cp.add(cylinder.low >= way.least_low).only_enforce_if(here)
            cp.add(cylinder.high - cylinder.low <= way.most_spread).only_enforce_if(here)
