"""An earlier answer as a start: unchanged components are taken over."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from pydantic import ValidationError

from fitsolver.allotment.component import Component
from fitsolver.allotment.prepared import Prepared
from fitsolver.allotment.result import Result
from fitsolver.base.errors import InputError
from fitsolver.choices.selection import Bought, CylinderSelection, Selection
from fitsolver.reading.files import read_text
from fitsolver.records.allotment import AllotmentAnswer, ComponentResult, StockLine
from fitsolver.records.plan import Plan


def to_keep(part: Component, result: Result) -> ComponentResult:
    """Return a proven result in the form that the answer stores."""
    return ComponentResult(
        fingerprint=part.fingerprint,
        jobs=tuple(job.name for job in part.jobs),
        served=tuple(result.chosen),
        shares=tuple(
            tuple(StockLine(number=n, count=c) for n, c in sorted(share.items()))
            for share in result.shares.values()
        ),
        values=result.values,
        bounds=result.bounds,
    )


def taken_over(kept: ComponentResult, before: Mapping[str, Selection]) -> Result | None:
    """Return the stored result; None if its plans cannot be taken over."""
    if any(name not in before for name in kept.served):
        return None
    return Result({name: before[name] for name in kept.served}, kept.values, kept.bounds)


def taken_before(last: AllotmentAnswer | None, jobs: Iterable[Prepared]) -> dict[str, Selection]:
    """Return the selections in an earlier answer that its jobs can still choose."""
    if last is None:
        return {}
    plans = {item.job: item.answer.plan for item in last.jobs if item.answer is not None}
    found = {}
    for job in jobs:
        plan = plans.get(job.name)
        if plan is not None:
            chosen = _selection(job, plan)
            if chosen is not None:
                found[job.name] = chosen
    return found


def _selection(job: Prepared, plan: Plan) -> Selection | None:
    if len(plan.cylinders) != len(job.options):
        return None
    cylinders = []
    for at, item in enumerate(plan.cylinders):
        key = item.piston.number, item.piston.piece, item.route
        option = next((each for each in job.options[at] if each.key == key), None)
        if option is None:
            return None
        rings = {}
        for told in item.rings:
            rings[told.groove] = next(
                (
                    ring
                    for ring in job.rings[at]
                    if ring.groove == told.groove
                    and ring.candidate.key == (told.number, told.piece)
                    and ring.ring_class is option.piston.ring_class
                ),
                None,
            )
        whole = {groove: ring for groove, ring in rings.items() if ring is not None}
        if len(whole) < len(rings):
            return None
        stacks: dict[str, dict[str, int]] = {place.place: {} for place in job.task.job.gaskets}
        for gasket in item.gaskets:
            stacks.setdefault(gasket.place, {})[gasket.number] = gasket.count
        cylinders.append(CylinderSelection(option, item.bore_low, item.bore_high, whole, stacks))
    return Selection(tuple(cylinders), _bought(plan, kits=True), _bought(plan, kits=False))


def _bought(plan: Plan, *, kits: bool) -> dict[str, Bought]:
    found: dict[str, Bought] = {}
    for line in plan.order:
        if (line.what == "kit") is kits and line.source != "in hand":
            held = found.get(line.number, Bought())
            more = Bought(line.count, 0) if line.source == "stock" else Bought(0, line.count)
            found[line.number] = Bought(held.stock + more.stock, held.ordered + more.ordered)
    return found


def read_allotment(path: Path) -> AllotmentAnswer:
    """Return the answer that an earlier run wrote; raises InputError for any other file."""
    try:
        return AllotmentAnswer.model_validate_json(read_text(path))
    except ValidationError as error:
        raise InputError(
            "this is not the JSON document of an allotment",
            file=str(path),
            allowed="what `fitsolver allot SHOP --json` wrote, with this version of the program",
        ) from error
