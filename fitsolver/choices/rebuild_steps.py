"""The most rebuilds in a row of a bore, without the solver (docs/ladder.md).

A rebuild finds the bore worn, its largest local size `w` above that of the last finish and its
smallest local size where it was, and machines it to a finish size that fits some piston of the
catalogue whatever its tolerance came to. With `F` the finish and `h` the half-width of the
route, `H`, `L` the local sizes before:

    F - h >= H + w + min_cut        F - L <= max_cut        F + h <= bore limit
    F - h - P_hi >= c_lo            F + h - P_lo <= c_hi

The finishes reachable after k rebuilds form whole intervals of ticks. The most rebuilds is the
largest k with at least one interval.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Final, NamedTuple

from fitsolver.base.lengths import LONGEST
from fitsolver.fits import clean_up, route_cut
from fitsolver.records.catalogue import Route

#: Counting stops here: no owner needs a larger number.
MOST_COUNTED: Final = 1_000


Span = tuple[int, int]


class Step(NamedTuple):
    """A route, and the finish sizes (ticks, both ends included) that fit some piston on it."""

    route: Route
    fitting: tuple[Span, ...]


class Ahead(NamedTuple):
    """The future of a cylinder: the steps of later rebuilds, and the wear before each (ticks).

    `most` is an upper bound on its rebuilds. It starts from the present largest local size (or that
    of a restored bore, if smaller) and ignores the routes' limits on the cut.
    """

    steps: tuple[Step, ...]
    wear: int
    most: int


def endless(steps: Iterable[Step]) -> bool:
    """Tell whether rebuilds have no end: no bore limit and no upper clearance edge exist."""
    return any(fitting and fitting[-1][1] + route.half_width >= LONGEST for route, fitting in steps)


def fewest_left(cylinders: Sequence[Ahead], bores: Sequence[Span]) -> int:
    """Return the fewest rebuilds left; bores are given as lowest and highest local size."""
    return min(
        rebuilds(cylinder.steps, *bore, cylinder.wear)
        for cylinder, bore in zip(cylinders, bores, strict=True)
    )


def most_left(cylinders: Sequence[Ahead]) -> int:
    """Return the reference for rebuilds lost: no plan leaves more rebuilds."""
    return min(cylinder.most for cylinder in cylinders)


def rebuilds(steps: Sequence[Step], low: int, high: int, wear: int) -> int:
    """Return the most rebuilds of a bore with local sizes `low` to `high` (ticks).

    No more than `MOST_COUNTED` are counted. `wear` (ticks, above 0) is how far the largest
    local size grows before each.
    """
    # Reachable finishes, keyed by the spread of local sizes below and above the finish.
    reached: dict[Span, list[Span]] = {(high - low, 0): [(high, high)]}
    count = 0
    while count < MOST_COUNTED and (reached := after_one(steps, reached, wear)):
        count += 1
    return count


def after_one(
    steps: Sequence[Step], reached: Mapping[Span, Sequence[Span]], wear: int
) -> dict[Span, list[Span]]:
    """Return the finishes (ticks) that one more rebuild can reach.

    `reached` and the result hold spans of finishes, keyed by the spread of local sizes below and
    above the finish.
    """
    found: defaultdict[Span, list[Span]] = defaultdict(list)
    for route, fitting in steps:
        half = route.half_width
        for (below, above), spans in reached.items():
            # The route's bounds on the next finish, relative to the last one.
            least = clean_up.least_local_size(route, above + wear, 0) + half
            most = route_cut.largest_finish(route, -below)
            if most is not None and least > most:
                continue
            # Without a largest cut, all that can be reached is reached from the smallest finish.
            for first, last in spans if most is not None else spans[:1]:
                for low, high in fitting:
                    if most is not None and low > last + most:
                        break  # so are all that follow: they are in order
                    # The last finishes from which one in low..high can be reached. Both ends of
                    # what each reaches grow by at most a tick from one to the next, so together
                    # they are an interval without gaps.
                    start = first if most is None else max(first, low - most)
                    end = min(last, high - least)
                    if start <= end:
                        top = high if most is None else min(high, end + most)
                        found[half, half].append((max(low, start + least), top))
    return {key: merged(spans) for key, spans in found.items()}


def merged(spans: Iterable[Span]) -> list[Span]:
    """Return the same whole numbers as few spans, smallest first."""
    merged: list[Span] = []
    for low, high in sorted(spans):
        if merged and low <= merged[-1][1] + 1:
            merged[-1] = merged[-1][0], max(merged[-1][1], high)
        else:
            merged.append((low, high))
    return merged


def cuts(route: Route) -> bool:
    """Tell whether a route removes metal; a restored bore starts a new ladder."""
    return route.machined and route.restored_bore is None
