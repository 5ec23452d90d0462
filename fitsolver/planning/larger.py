"""The larger sizes of the catalogue after a plan, and those that a later rebuild can use.

The rule is on docs/decision.md, 'Larger sizes left'.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fitsolver.choices.rebuild_steps import Span, Step, after_one, cuts, merged
from fitsolver.choices.rebuilds import states
from fitsolver.choices.selection import CylinderSelection
from fitsolver.choices.types import CylinderChoices, PistonChoice
from fitsolver.records.catalogue import Catalogue, Piston, Route
from fitsolver.records.job import Job
from fitsolver.records.plan import LargerSize

Reached = Mapping[Span, Sequence[Span]]


def larger_sizes(
    job: Job, catalogue: Catalogue, chosen: Sequence[CylinderSelection]
) -> tuple[tuple[LargerSize, ...], ...]:
    """Return the larger sizes of the catalogue for every cylinder of a plan, smallest first."""
    smallest = min(item.option.piston.candidate.part.nominal_bore for item in chosen)
    larger = (part for part in catalogue.pistons if part.nominal_bore > smallest)
    alike = {_figures(part): part for part in larger}  # one piston for each set of figures
    pistons = tuple(alike.values())
    later = states(job, catalogue.model_copy(update={"pistons": pistons}), "later")
    return tuple(tuple(_sizes(*pair)) for pair in zip(later, chosen, strict=True))


def _figures(part: Piston) -> tuple[object, ...]:
    """Return the figures of a piston that decide its bore, clearance window and refusals."""
    known = part.compression_height is None, part.mass is None
    return (
        part.nominal_bore,
        part.oversize,
        part.skirt.low,
        part.skirt.high,
        part.pin_diameter,
        *known,
    )


def _sizes(later: CylinderChoices, chosen: CylinderSelection) -> Iterator[LargerSize]:
    here = chosen.option.piston.candidate.part.nominal_bore
    limit = later.job.bore_limit_for(later.cylinder)
    wear = later.job.wear_for(later.cylinder) or 0
    finish = chosen.high - (chosen.option.route.route.half_width if chosen.option.machined else 0)
    reached: Reached = {(chosen.high - chosen.low, 0): [(chosen.high, chosen.high)]}
    parts = [piston.candidate.part for piston in later.pistons]
    for nominal, oversize in sorted({(p.nominal_bore, p.oversize) for p in parts}):
        if nominal <= here:
            continue
        within = limit is None or nominal <= limit
        found = after_one(_steps(later, nominal, limit), reached, wear) if within else {}
        yield LargerSize(
            oversize=oversize,
            nominal_bore=nominal,
            metal_to_it=nominal - finish,
            within_limit=within,
            usable=bool(found),
        )
        reached = _together(reached, found)


def _steps(later: CylinderChoices, nominal: int, limit: int | None) -> list[Step]:
    """Return the routes that cut, with the finishes (ticks) that suit a piston of one size."""
    pistons = [
        piston
        for piston in later.pistons
        if piston.candidate.part.nominal_bore == nominal and not piston.refusals
    ]
    routes = [item.route for item in later.routes if cuts(item.route) and not item.refusals]
    return [
        Step(route, tuple(merged(_finishes(pistons, route, nominal, limit)))) for route in routes
    ]


def _finishes(
    pistons: Sequence[PistonChoice], route: Route, nominal: int, limit: int | None
) -> Iterator[Span]:
    half = route.half_width
    for piston in pistons:
        skirt, window = piston.candidate.skirt, piston.clearance
        first = skirt.high + (window.low or 0) + half
        last = max(nominal, first) if window.high is None else skirt.low + window.high - half
        if limit is not None:
            last = min(last, limit - half)
        if first <= last:
            yield first, last


def _together(one: Reached, other: Reached) -> Reached:
    return {
        key: merged([*one.get(key, ()), *other.get(key, ())]) for key in one.keys() | other.keys()
    }
