"""The next best plans and the front, as one checked answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice

from fitsolver.base.deadline import Clock
from fitsolver.choices.rebuild_steps import Ahead, fewest_left
from fitsolver.choices.rebuilds import ahead, counted
from fitsolver.explain.gauge_reasons import with_gauge
from fitsolver.explain.reasons import no_fit
from fitsolver.metrology.measured import Measured
from fitsolver.picking.checked_plan import checked_plan
from fitsolver.planning.cautions import cautions
from fitsolver.records.alternatives import (
    Alternative,
    AlternativesAnswer,
    Change,
    CylinderChoice,
    Totals,
)
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.heading import parts_head
from fitsolver.records.plan import CylinderPlan, Plan, Status
from fitsolver.solving.alternatives import ranked
from fitsolver.solving.front import front
from fitsolver.solving.problem import problem
from fitsolver.solving.solve import Solution


def next_best(
    ready: Measured, catalogue: Catalogue, count: int, clock: Clock, *, with_front: bool
) -> AlternativesAnswer:
    """Return the best `count` plans that differ in parts or routes, and the front if asked for.

    Raises CheckError when the solver-free check disagrees with any plan.
    """
    task = problem(ready.job, catalogue)
    solutions = list(islice(ranked(task, clock), count))
    found = [solution for solution in solutions if solution.selection is not None]
    ended = len(found) < len(solutions)
    plans = [checked_plan(task, solution) for solution in found]
    status = _status(solutions)
    edge = front(task, clock) if with_front and plans else None
    front_plans = [] if edge is None else [checked_plan(task, item) for item in edge.solutions]
    job = task.job
    best = plans[0] if plans else None
    to_come = ahead(job, catalogue) if counted(job, catalogue) else ()
    return AlternativesAnswer(
        **parts_head(job, catalogue),
        currency=catalogue.currency,
        finishing=job.finishing,
        status=status,
        asked=count,
        complete=ended and solutions[-1].settled,
        plans=_compared(plans, [item.proven for item in found], best, to_come),
        front=None
        if edge is None
        else _compared(front_plans, [True] * len(front_plans), best, to_come),
        front_complete=edge is not None and edge.complete,
        front_open_from=None if edge is None else edge.open_from,
        no_fit=with_gauge(no_fit(task), ready, catalogue) if status == "nothing fits" else None,
        cautions=cautions(job, catalogue, best, tuple(c.form for c in task.cylinders if c.form)),
    )


def _status(solutions: Sequence[Solution]) -> Status:
    last = solutions[-1]
    if len(solutions) == 1 and last.selection is None:
        return "nothing fits" if last.settled else "undecided"
    proven = last.proven if last.selection is not None else last.settled
    return "proven best" if proven else "best found"


def _compared(
    plans: Sequence[Plan], proven: Sequence[bool], best: Plan | None, to_come: Sequence[Ahead]
) -> tuple[Alternative, ...]:
    if best is None:
        return ()
    against = _totals(best, to_come)
    found = []
    for rank, (plan, sure) in enumerate(zip(plans, proven, strict=True), start=1):
        totals = _totals(plan, to_come)
        found.append(
            Alternative(
                rank=rank,
                proven=sure,
                totals=totals,
                against_best=_difference(totals, against),
                changes=tuple(_changes(plan, best)),
                cylinders=tuple(map(_choice, plan.cylinders)),
                order=plan.order,
            )
        )
    return tuple(found)


def _difference(totals: Totals, against: Totals) -> Totals:
    other, here = against.model_dump(), totals.model_dump()
    less = {name: value - other[name] for name, value in here.items() if value is not None}
    return Totals(**less)


def _totals(plan: Plan, to_come: Sequence[Ahead]) -> Totals:
    """Return a plan's totals; `to_come` None: rebuilds cannot be counted."""
    bores = [(cylinder.bore_low, cylinder.bore_high) for cylinder in plan.cylinders]
    removals = [cylinder.removal for cylinder in plan.cylinders]
    return Totals(
        restored=sum(cylinder.restored for cylinder in plan.cylinders),
        largest_removal=max(removals),
        total_removal=sum(removals),
        filing=sum(ring.filing for cylinder in plan.cylinders for ring in cylinder.rings),
        price=plan.price,
        days=plan.days,
        sizes_left=min(
            sum(size.usable for size in cylinder.larger_sizes) for cylinder in plan.cylinders
        ),
        rebuilds_left=fewest_left(to_come, bores) if to_come else None,
    )


def _choice(plan: CylinderPlan) -> CylinderChoice:
    return CylinderChoice(
        cylinder=plan.cylinder,
        piston=plan.piston,
        rings=plan.rings,
        gaskets=plan.gaskets,
        route=plan.route,
        finish_small=plan.finish_small,
        finish_large=plan.finish_large,
        removal=plan.removal,
    )


def _changes(plan: Plan, best: Plan) -> Iterator[Change]:
    for here, there in zip(plan.cylinders, best.cylinders, strict=True):
        taken, before = _taken(here), _taken(there)
        for what in dict.fromkeys([*before, *taken]):
            old, new = before.get(what, ""), taken.get(what, "")
            if old != new:
                yield Change(cylinder=here.cylinder, what=what, best=old, here=new)


def _taken(plan: CylinderPlan) -> dict[str, str]:
    """Return part numbers by place, and the route."""
    taken = {"piston": plan.piston.number, "route": plan.route}
    taken |= {f"ring of groove {ring.groove}": ring.number for ring in plan.rings}
    stacks: dict[str, list[str]] = {}
    for gasket in plan.gaskets:
        stacks.setdefault(gasket.place, []).append(
            gasket.number if gasket.count == 1 else f"{gasket.count} x {gasket.number}"
        )
    return taken | {f"gasket {place}": ", ".join(stack) for place, stack in stacks.items()}
