"""Write out a selection as a plan."""

from __future__ import annotations

from collections.abc import Sequence

from fitsolver.choices.parts import Shelf
from fitsolver.choices.rebuild_steps import fewest_left, most_left
from fitsolver.choices.rebuilds import ahead
from fitsolver.choices.selection import CylinderSelection, Selection
from fitsolver.choices.types import CylinderChoices
from fitsolver.fits import availability, bore_limit, displacement, mass_match
from fitsolver.planning.fit_lines import fit_lines
from fitsolver.planning.hot import hot_fits
from fitsolver.planning.larger import larger_sizes
from fitsolver.planning.objective import settled
from fitsolver.planning.order_list import order_lines
from fitsolver.planning.permitted import Permitted, largest_for_displacement, permitted
from fitsolver.planning.stack import bore_bounds, stack_effect
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import (
    ChosenGasket,
    ChosenPart,
    ChosenRing,
    CylinderPlan,
    LargerSize,
    ObjectiveValue,
    Plan,
    WarmDial,
)


def make_plan(
    job: Job,
    catalogue: Catalogue,
    shelf: Shelf,
    states: Sequence[CylinderChoices],
    selection: Selection,
    levels: Sequence[ObjectiveValue],
) -> Plan:
    """Return the plan of a selection; every figure follows from what was chosen."""
    order = order_lines(job, catalogue, shelf, selection)
    routes = [chosen.option.route.route for chosen in selection.cylinders]
    parts_price = sum(line.price for line in order)
    route_price = sum(route.cost for route in routes)
    price = parts_price + route_price
    days = availability.ready_in(
        job.finishing,
        (line.days for line in order if line.source == "order"),
        (route.days for route in routes),
    )
    larger = larger_sizes(job, catalogue, selection.cylinders)
    cylinders = tuple(
        _cylinder(
            catalogue,
            state,
            chosen,
            _permitted(job, catalogue, state, selection, index),
            larger[index],
        )
        for index, (state, chosen) in enumerate(zip(states, selection.cylinders, strict=True))
    )
    left, lost = _rebuilds(job, catalogue, cylinders)
    return Plan(
        cylinders=cylinders,
        order=order,
        objective=settled(levels, cylinders, price, days, lost),
        price=price,
        parts_price=parts_price,
        route_price=route_price,
        days=days,
        displacement=_displacement(job, selection),
        mass_spreads=tuple(
            mass_match.spread(
                chosen.option.piston.candidate.mass or (0, 0)
                for state, chosen in zip(states, selection.cylinders, strict=True)
                if state.name in rule.cylinders
            )
            for rule in job.mass_match
        ),
        rebuilds_left=left,
    )


def _rebuilds(
    job: Job, catalogue: Catalogue, cylinders: Sequence[CylinderPlan]
) -> tuple[int | None, int]:
    """Return the rebuilds left and lost; None and 0 where the job does not count them."""
    if "rebuilds_left" not in job.best:
        return None, 0
    to_come = ahead(job, catalogue)
    left = fewest_left(to_come, [(plan.bore_low, plan.bore_high) for plan in cylinders])
    return left, most_left(to_come) - left


def _displacement(job: Job, selection: Selection) -> int | None:
    if job.engine.stroke is None:
        return None
    bores = [chosen.high - chosen.option.size_offset for chosen in selection.cylinders]
    return displacement.displacement([*bores, *job.engine.other_bores], job.engine.stroke)


def _permitted(
    job: Job, catalogue: Catalogue, state: CylinderChoices, selection: Selection, index: int
) -> Permitted | None:
    chosen = selection.cylinders[index]
    if not chosen.option.machined:
        return None
    gaskets = {gasket.number: gasket for gasket in catalogue.gaskets}
    return permitted(
        chosen,
        largest_for_displacement(job.engine, selection, index),
        bore_bounds(state, chosen, gaskets),
    )


def _cylinder(
    catalogue: Catalogue,
    state: CylinderChoices,
    chosen: CylinderSelection,
    sizes: Permitted | None,
    larger: tuple[LargerSize, ...],
) -> CylinderPlan:
    option, cylinder = chosen.option, state.cylinder
    candidate, route = option.piston.candidate, option.route.route
    half = route.half_width
    small, large = chosen.low, chosen.high
    if option.machined:
        small, large = small + half, large - half
    limit = state.job.bore_limit_for(cylinder)
    start = Range(low=state.smallest, high=state.largest)
    if route.restored_bore is not None:
        start = Range(low=route.restored_bore, high=route.restored_bore)
    zero = cylinder.zero
    gaskets = {gasket.number: gasket for gasket in catalogue.gaskets}
    fits = fit_lines(state, chosen, gaskets)
    return CylinderPlan(
        cylinder=state.name,
        piston=ChosenPart(number=candidate.part.number, piece=candidate.piece, kept=candidate.kept),
        skirt=candidate.skirt,
        gauge_height=candidate.part.gauge_height,
        oversize=candidate.part.oversize,
        nominal_bore=candidate.part.nominal_bore,
        rings=tuple(
            ChosenRing(
                number=ring.candidate.part.number,
                piece=ring.candidate.piece,
                kept=ring.candidate.kept,
                groove=groove,
                filing=ring.filing(chosen.low),
            )
            for groove, ring in sorted(chosen.rings.items())
        ),
        gaskets=tuple(
            ChosenGasket(number=number, place=place, count=count)
            for place, stack in chosen.stacks.items()
            for number, count in sorted(stack.items())
        ),
        route=route.name,
        machined=option.machined,
        restored=route.kind == "restore",
        half_width=half,
        finish_small=small,
        finish_large=large,
        lowest=None if sizes is None else sizes.lowest,
        highest=None if sizes is None else sizes.highest,
        highest_small=None if sizes is None else sizes.highest_small,
        bore_low=chosen.low,
        bore_high=chosen.high,
        removal=chosen.high - option.removal_offset,
        stock_worst=large - start.high if option.machined else None,
        stock_tightest=large - start.low if option.machined else None,
        dial_zero=None if zero is None else zero.size,
        dial_zero_on_piston=zero is not None and zero.on_piston,
        dial_stop=None if zero is None else Range(low=small - zero.size, high=large - zero.size),
        warm_dial=_warm_dial(state, small, large) if option.machined else None,
        dial_on_piston=_dial_on_piston(chosen, small, large),
        fits=fits,
        hot=hot_fits(state, chosen, fits),
        stack=stack_effect(state, chosen, gaskets),
        left_to_limit=None if limit is None else bore_limit.left_to_limit(limit, chosen.high),
        larger_sizes=larger,
    )


def _warm_dial(state: CylinderChoices, small: int, large: int) -> WarmDial | None:
    """Return the stop on the warm bore; the metrology is loaded only where it is needed."""
    if state.job.measuring is None and state.cylinder.temperatures is None:
        return None
    from fitsolver.metrology.correct import warm_dial

    return warm_dial(state.job, state.cylinder, small, large)


def _dial_on_piston(chosen: CylinderSelection, small: int, large: int) -> Range:
    """Return the reading of a gauge zeroed on the new piston at the finish size."""
    skirt = chosen.option.piston.candidate.skirt
    if chosen.option.follows:
        ends = small - skirt.low, large - skirt.high
        return Range(low=min(ends), high=max(ends))
    return Range(low=small - skirt.high, high=large - skirt.low)
