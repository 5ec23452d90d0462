"""Gaskets with a crush or tolerance implausible for their thickness.

All bounds are common practice, no source (docs/doubts.md lists them).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from typing import Final

from fitsolver.doubts.finding import Finding, Show, shower
from fitsolver.doubts.sisters import FEWEST
from fitsolver.records.catalogue import Catalogue, Gasket

#: Crush up to 40 %, tolerance up to 12 % of the thickness (percent).
CRUSH_MOST: Final = 40
TOLERANCE_MOST: Final = 12
#: A crush below 2 % of the thickness, but above none.
CRUSH_LEAST: Final = 2
#: The largest ratio between a gasket's share of its thickness and that of its sisters, either way.
CRUSH_TIMES: Final = 2
TOLERANCE_TIMES: Final = 3


def gaskets(catalogue: Catalogue) -> Iterator[Finding]:
    """Yield what is out of line in the rows of the gaskets' table."""
    show = shower(catalogue.unit)
    places: dict[str, list[Gasket]] = defaultdict(list)
    for part in catalogue.gaskets:
        places[part.place].append(part)
        yield from _by_itself(part, show)
    for sisters in places.values():
        crushes = _off(sisters, lambda part: part.crush, CRUSH_TIMES)
        tolerances = _off(sisters, tolerance, TOLERANCE_TIMES)
        for part in sisters:
            if part.number in crushes and part.number in tolerances:
                if crushes[part.number] == tolerances[part.number]:  # both: the thickness
                    text = f"{show(part.thickness)}, too {crushes[part.number]} for its crush "
                    text += f"{show(part.crush)} and its tolerance, beside its sister rows"
                    yield _found(part, "thickness", text)
            elif part.number in crushes:
                yield _found(part, "crush", _share(part, part.crush, show))
            elif part.number in tolerances:
                yield _found(part, "tolerance", _share(part, tolerance(part), show))


def tolerance(part: Gasket) -> int:
    """Return how far a gasket's thickness may lie from the one stated (ticks)."""
    return (part.compressed.high - part.compressed.low) // 2


def _found(part: Gasket, field: str, sentence: str) -> Finding:
    return Finding("gaskets", part.number, field, sentence)


def _by_itself(part: Gasket, show: Show) -> Iterator[Finding]:
    said = f"of a thickness of {show(part.thickness)}; "
    if part.compressed.low <= 0:
        text = f"{show(part.crush)} {said}with the tolerance it leaves nothing"
        yield Finding("gaskets", part.number, "crush", text, serious=True)
    elif part.crush * 100 > CRUSH_MOST * part.thickness:
        text = f"{show(part.crush)} {said}at most {CRUSH_MOST} % is expected"
        yield _found(part, "crush", text)
    elif 0 < part.crush * 100 < CRUSH_LEAST * part.thickness:
        text = f"{show(part.crush)} {said}at least {CRUSH_LEAST} %, or none, is expected"
        yield _found(part, "crush", text)
    if tolerance(part) * 100 > TOLERANCE_MOST * part.thickness:
        text = f"{show(tolerance(part))} {said}at most {TOLERANCE_MOST} % is expected"
        yield _found(part, "tolerance", text)


def _off(sisters: Sequence[Gasket], figure: Callable[[Gasket], int], times: int) -> dict[str, str]:
    """Return how gaskets stand to one of their figures: too "thick" or too "thin" for it.

    The figure's share of the thickness is off where it is more than `times` times that of every
    sister, or the reverse. Needs two sisters that have the figure.
    """
    having = [part for part in sisters if figure(part) > 0]
    if len(having) <= FEWEST:
        return {}
    shares = sorted(figure(part) / part.thickness for part in having)
    found = {}
    for part in having:
        own = figure(part) / part.thickness
        lowest, highest = _others(shares, own)
        if own * times < lowest:
            found[part.number] = "thick"
        elif own > times * highest:
            found[part.number] = "thin"
    return found


def _others(values: Sequence[float], own: float) -> tuple[float, float]:
    """Return least and most of the sorted values, without one's own."""
    return (
        values[1] if own == values[0] else values[0],
        values[-2] if own == values[-1] else values[-1],
    )


def _share(part: Gasket, amount: int, show: Show) -> str:
    percent = f"{100 * amount / part.thickness:.1f} %"
    text = f"{show(amount)}, {percent} of a thickness of {show(part.thickness)}: unlike its sister "
    return text + "rows of the same place"
