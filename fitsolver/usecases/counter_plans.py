"""Plans for the counter: of a job with part of the catalogue, each checked by itself."""

from __future__ import annotations

from collections.abc import Iterable

from fitsolver.choices.candidates import shelf
from fitsolver.choices.options import choices, options
from fitsolver.picking.checked_plan import checked_plan
from fitsolver.records.catalogue import Catalogue, Piston
from fitsolver.records.counter import CounterCylinder, CounterPlan
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import CylinderPlan, Plan


def for_sale(catalogue: Catalogue, *, kits_only: bool, in_stock: bool) -> Catalogue:
    """Return the catalogue as sold: parts of kits in kits only, or stocked parts only.

    Parts that no kit holds are sold by themselves.
    """
    held = {item.number for kit in catalogue.kits for item in kit.contents} if kits_only else set()

    def sold(number: str) -> dict[str, object]:
        update: dict[str, object] = {"price": None} if number in held else {}
        return {**update, "lead_days": None} if in_stock else update

    tables = {
        name: tuple(part.model_copy(update=sold(part.number)) for part in getattr(catalogue, name))
        for name in ("pistons", "rings", "gaskets", "kits")
    }
    return catalogue.model_copy(update=tables)


def of_size(catalogue: Catalogue, nominal_bore: int) -> Catalogue:
    """Return the catalogue with the pistons of one size, and no kit that holds another one."""
    others = {p.number for p in catalogue.pistons if p.nominal_bore != nominal_bore}
    pistons = tuple(p for p in catalogue.pistons if p.number not in others)
    kits = tuple(
        kit for kit in catalogue.kits if others.isdisjoint(item.number for item in kit.contents)
    )
    return catalogue.model_copy(update={"pistons": pistons, "kits": kits})


def best_plan(job: Job, catalogue: Catalogue) -> Plan | None:
    """Return the proven plan of a job made ready, checked without the solver; None without one.

    The search starts only where arithmetic leaves every cylinder an option; without one no plan
    exists. The plan equals that of `pick`.
    """
    parts = shelf(job, catalogue)
    states = choices(job, catalogue, parts)
    if not all(options(state) for state in states):
        return None
    from fitsolver.solving.problem import Problem
    from fitsolver.solving.solve import best

    task = Problem(job, catalogue, parts, states)
    solution = best(task)
    return None if solution.selection is None else checked_plan(task, solution)


def summed_up(job: Job, catalogue: Catalogue, plan: Plan) -> CounterPlan:
    """Return what of a plan the counter tells."""
    least_cut = {route.name: route.min_cut for route in catalogue.shop_routes}
    scratch = {cylinder.name: cylinder.scratch for cylinder in job.cylinders}
    margin = {
        item.cylinder: max(least_cut[item.route], 2 * scratch[item.cylinder])
        for item in plan.cylinders
    }
    limits = [c.left_to_limit for c in plan.cylinders if c.left_to_limit is not None]
    return CounterPlan(
        cylinders=tuple(_cylinder(item, margin[item.cylinder]) for item in plan.cylinders),
        order=plan.order,
        removal=max(item.removal for item in plan.cylinders),
        price=plan.price,
        parts_price=plan.parts_price,
        days=plan.days,
        in_stock=all(line.source != "order" for line in plan.order),
        left_to_limit=min(limits, default=None),
        larger_sizes=min(_larger_sizes(job, catalogue, item) for item in plan.cylinders),
    )


def _larger_sizes(job: Job, catalogue: Catalogue, item: CylinderPlan) -> int:
    """Return how many sizes are made above a finished bore and within its limit."""
    cylinder = next(one for one in job.cylinders if one.name == item.cylinder)
    limit = job.bore_limit_for(cylinder)
    made = {piston.nominal_bore for piston in catalogue.pistons}
    return sum(item.finish_large < one and (limit is None or one <= limit) for one in made)


def _cylinder(item: CylinderPlan, margin: int) -> CounterCylinder:
    serves_to = None
    if item.machined and not item.restored and item.highest is not None:
        highest = item.highest if item.highest_small is None else min(
            item.highest, item.highest_small
        )  # fmt: skip
        serves_to = highest - item.half_width - margin
    return CounterCylinder(
        cylinder=item.cylinder,
        oversize=item.oversize,
        piston=item.piston.number,
        rings=tuple(r.number for r in sorted(item.rings, key=lambda ring: ring.groove)),
        route=item.route,
        machined=item.machined,
        finish=item.finish_large,
        removal=item.removal,
        serves_to=serves_to,
    )


def sizes_of(pistons: Iterable[Piston]) -> list[tuple[int, int]]:
    """Return every size that is made, smallest first: nominal bore and oversize (ticks)."""
    return sorted({(piston.nominal_bore, piston.oversize) for piston in pistons})


def larger(job: Job, by: int) -> Job:
    """Return the job with every bore larger by so much (ticks)."""
    cylinders = tuple(_larger(cylinder, by) for cylinder in job.cylinders)
    return job.model_copy(update={"cylinders": cylinders})


def _larger(cylinder: Cylinder, by: int) -> Cylinder:
    size = cylinder.finished_size
    readings = tuple(
        reading.model_copy(update={"size": reading.size + by}) for reading in cylinder.readings
    )
    finished = None if size is None else size + by
    return cylinder.model_copy(update={"readings": readings, "finished_size": finished})


def same_plan(one: CounterPlan | None, other: CounterPlan | None) -> bool:
    """Tell whether two plans take the same parts and work."""
    return _taken(one) == _taken(other)


def _taken(plan: CounterPlan | None) -> object:
    if plan is None:
        return None
    return [(c.piston, c.rings, c.route) for c in plan.cylinders], plan.order
