"""The effect of doubted rows left out: the job solved with them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from fitsolver.base.deadline import Clock
from fitsolver.base.lengths import Unit, format_length
from fitsolver.choices.options import options
from fitsolver.choices.ring_options import ring_options
from fitsolver.choices.types import CylinderChoices, Option
from fitsolver.doubts.set_aside import put_back
from fitsolver.picking.checked_plan import checked_plan
from fitsolver.records.catalogue import Catalogue, Kit, SetAside
from fitsolver.records.job import Job
from fitsolver.records.plan import CylinderPlan, Plan, RowLeftOut
from fitsolver.solving.problem import Problem, problem
from fitsolver.solving.solve import best

_SAME = "with it the plan would be the same"
_NONE = "with it nothing would fit either"
_OPEN = "what it would change was not found in the time given"


def left_out(
    job: Job, catalogue: Catalogue, plan: Plan | None, clock: Clock
) -> tuple[RowLeftOut, ...]:
    """Return the rows left out of a catalogue, and the plan with all of them.

    `job` is made ready; `plan` is the one without them (None: nothing fits). The job is solved
    again in the remaining time, unless none of the rows can fit a bore.
    """
    if not catalogue.set_aside:
        return ()
    whole = problem(job, put_back(catalogue))
    if not any(_can_be_chosen(whole, aside) for aside in catalogue.set_aside):
        return _told(catalogue, lambda _: _NONE if plan is None else _SAME)
    found = best(whole, clock)
    if found.selection is None or not found.proven:
        unchanged = _NONE if found.settled and found.selection is None else _OPEN
        return _told(catalogue, lambda _: unchanged)
    with_them = checked_plan(whole, found)
    unit = job.unit
    return _told(catalogue, lambda numbers: _change(numbers, plan, with_them, unit))


def not_known(catalogue: Catalogue) -> tuple[RowLeftOut, ...]:
    """Return the rows left out of a catalogue, where the time was too short to compare."""
    return _told(catalogue, lambda _: _OPEN)


def _told(catalogue: Catalogue, change: Callable[[Sequence[str]], str]) -> tuple[RowLeftOut, ...]:
    """Return a line for each doubt; it names the kits left out with a part."""
    by_doubt: dict[str, list[SetAside]] = {}
    for aside in catalogue.set_aside:
        by_doubt.setdefault(aside.doubt.id, []).append(aside)
    lines = []
    for doubt_id, rows in by_doubt.items():
        number = doubt_id.partition(" ")[2]
        numbers = [aside.number for aside in rows]
        lines.append(
            RowLeftOut(
                number=number,
                kits=tuple(other for other in numbers if other != number),
                sentence=rows[0].doubt.sentence,
                change=change(numbers),
            )
        )
    return tuple(lines)


def _change(numbers: Sequence[str], plan: Plan | None, other: Plan, unit: Unit) -> str:
    uses = [place for number in numbers for place in _uses(number, other, unit)]
    if not uses:
        return _SAME if plan is not None else "it is not this row that would make a plan"
    taken = f"would take {' and '.join(uses)}"
    if plan is None:
        return f"with it there would be a plan, which {taken}"
    less = sum(c.removal for c in plan.cylinders) - sum(c.removal for c in other.cylinders)
    amount = format_length(abs(less), unit, symbol=True)
    metal = f"remove {amount} {'less' if less > 0 else 'more'}" if less else "remove the same"
    return f"the plan with it {taken}, and {metal}"


def _uses(number: str, plan: Plan, unit: Unit) -> Iterator[str]:
    """Yield where a plan uses a part, route or kit."""
    for cylinder in plan.cylinders:
        if number in _parts(cylinder):
            size = format_length(cylinder.finish_large, unit, symbol=True)
            yield f"{number} in cylinder {cylinder.cylinder} at finish {size}"
    if any(line.number == number and line.what == "kit" for line in plan.order):
        yield f"kit {number}"


def _parts(cylinder: CylinderPlan) -> set[str]:
    return {
        cylinder.piston.number,
        cylinder.route,
        *(ring.number for ring in cylinder.rings),
        *(gasket.number for gasket in cylinder.gaskets),
    }


def _can_be_chosen(task: Problem, aside: SetAside) -> bool:
    """Tell whether a row can fit some cylinder's bore; gaskets and kits always can."""
    if aside.kind == "gasket":
        return bool(task.job.gaskets)
    if isinstance(aside.part, Kit):
        return True
    return any(_chooses(task, state, aside) for state in task.cylinders)


def _chooses(task: Problem, state: CylinderChoices, aside: SetAside) -> bool:
    possible = options(state)
    if aside.kind == "ring":
        rings = ring_options(state, possible, task.shelf.rings)
        return any(ring.candidate.part.number == aside.number for ring in rings)
    return any(_holds(option, aside) for option in possible)


def _holds(option: Option, aside: SetAside) -> bool:
    if aside.kind == "route":
        return option.route.route.name == aside.number
    return option.piston.candidate.part.number == aside.number
