"""Ordered parts have arrived: the job with them in hand, and the changes to its plan."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from pydantic import ValidationError

from fitsolver.base.errors import InputError
from fitsolver.choices.candidates import is_piece
from fitsolver.reading.files import read_text
from fitsolver.records.arrived import ArrivedCylinder, ArrivedRing, LeftOver
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, InHand, Job, PinnedRing, Terms
from fitsolver.records.plan import Answer, ChosenPart, ChosenRing, CylinderPlan, Plan

_WRITTEN_BY = "a document that `pick --json` wrote"


def read_answer(path: Path) -> Answer:
    """Read the document of a pick; InputError where it is another document, or has no plan."""
    text = read_text(path)
    try:
        answer = Answer.model_validate_json(text)
    except ValidationError as error:
        first = error.errors()[0]
        raise InputError(
            "this is no answer of a pick",
            file=str(path),
            field=".".join(map(str, first["loc"])) or "document",
            found=first["msg"],
            allowed=_WRITTEN_BY,
        ) from error
    ordered_plan(answer, str(path))
    return answer


def ordered_plan(answer: Answer, file: str = "") -> Plan:
    """Return the plan that parts were ordered by; InputError where an answer has none."""
    if answer.plan is None:
        raise InputError(
            "nothing was ordered by it",
            file=file,
            field="status",
            found=answer.status,
            allowed=f"{_WRITTEN_BY}, with a plan",
        )
    return answer.plan


def check_same(job: Job, plan: Plan) -> None:
    """Refuse a job of other cylinders, or one that pins another piston than was ordered."""
    ordered = {item.cylinder: item for item in plan.cylinders}
    names = [cylinder.name for cylinder in job.cylinders]
    if sorted(names) != sorted(ordered):
        raise InputError(
            "the order is for other cylinders",
            file=job.name,
            field="cylinder",
            found=", ".join(names),
            allowed=", ".join(ordered),
        )
    for cylinder in job.cylinders:
        number = ordered[cylinder.name].piston.number
        if cylinder.piston not in (None, number):
            raise InputError(
                "another piston was ordered for this cylinder",
                file=job.name,
                row=f"cylinder '{cylinder.name}'",
                field="piston",
                found=cylinder.piston,
                allowed=number,
            )


def bought(plan: Plan, catalogue: Catalogue) -> Counter[str]:
    """Return how many of each part a plan buys, those in kits among them."""
    kits = {kit.number: kit.contents for kit in catalogue.kits}
    found: Counter[str] = Counter()
    for line in plan.order:
        if line.source == "in hand":
            continue
        if line.what == "kit" and line.number not in kits:
            raise InputError(
                "a kit was ordered that the catalogue does not have",
                file=catalogue.name,
                field="kits",
                found=line.number,
            )
        if line.what == "kit":
            for item in kits[line.number]:
                found[item.number] += item.count * line.count
        else:
            found[line.number] += line.count
    return found


def on_the_bench(job: Job, plan: Plan, catalogue: Catalogue) -> Job:
    """Return the job with what was bought in hand, free of budget and date.

    A measured piece of a bought number counts as one of those bought, not as an extra one.
    """
    loose = bought(plan, catalogue)
    before = Counter(part.number for item in plan.cylinders for part in _parts(item) if part.piece)
    measured = Counter({n: c for n, c in _measured_pieces(job).items() if n in loose}) - before
    loose -= measured
    arrived = tuple(InHand(number=number, count=count) for number, count in sorted(loose.items()))
    return job.model_copy(update={"in_hand": (*job.in_hand, *arrived), "terms": Terms()})


def _measured_pieces(job: Job) -> Counter[str]:
    found: Counter[str] = Counter()
    for held in job.in_hand:
        if held.kept or any(value is not None for value in (held.size, held.mass, held.gap)):
            found[held.number] += held.count
    for cylinder in job.cylinders:
        if cylinder.piston is not None and is_piece(cylinder):
            found[cylinder.piston] += 1
    return found


def as_ordered(job: Job, plan: Plan) -> Job:
    """Return the job with every piston and ring pinned to its place as it was ordered.

    Gaskets are not pinned: with nothing for sale, only those in hand exist.
    """
    ordered = {item.cylinder: item for item in plan.cylinders}
    cylinders = tuple(_pinned(cylinder, ordered[cylinder.name]) for cylinder in job.cylinders)
    return job.model_copy(update={"cylinders": cylinders})


def _pinned(cylinder: Cylinder, item: CylinderPlan) -> Cylinder:
    own = {ring.groove for ring in cylinder.rings}
    rings = [
        PinnedRing(groove=ring.groove, number=ring.number)
        for ring in item.rings
        if ring.groove not in own
    ]
    return cylinder.model_copy(
        update={"piston": item.piston.number, "rings": (*cylinder.rings, *rings)}
    )


def nothing_for_sale(catalogue: Catalogue, job: Job) -> Catalogue:
    """Return the catalogue with nothing for sale, and only the rings and gaskets in hand.

    All pistons stay: they tell which larger sizes are left.
    """
    none = {"price": None, "stock": 0, "lead_days": None}
    here = {held.number for held in job.in_hand}
    return catalogue.model_copy(
        update={
            "pistons": tuple(part.model_copy(update=none) for part in catalogue.pistons),
            "rings": tuple(
                part.model_copy(update=none) for part in catalogue.rings if part.number in here
            ),
            "gaskets": tuple(
                part.model_copy(update=none) for part in catalogue.gaskets if part.number in here
            ),
            "kits": (),
        }
    )


def unpinned(job: Job, plan: Plan) -> Job:
    """Return the job with measured pistons that were ordered free to serve any cylinder."""
    ordered = {item.cylinder: item.piston for item in plan.cylinders}
    cylinders, pieces = [], []
    for cylinder in job.cylinders:
        if cylinder.piston is None or not is_piece(cylinder) or ordered[cylinder.name].kept:
            cylinders.append(cylinder)
            continue
        pieces.append(
            InHand(
                number=cylinder.piston,
                size=cylinder.piston_size,
                mass=cylinder.piston_mass,
                kept=cylinder.piston_kept,
            )
        )
        cylinders.append(cylinder.without_piston())
    return job.model_copy(
        update={"cylinders": tuple(cylinders), "in_hand": (*job.in_hand, *pieces)}
    )


def compared(ordered: Plan, now: Plan | None) -> tuple[ArrivedCylinder, ...]:
    """Return every cylinder as ordered, and as it is now where there is a plan."""
    then = {} if now is None else {item.cylinder: item for item in now.cylinders}
    found = []
    for item in ordered.cylinders:
        line = ArrivedCylinder(
            cylinder=item.cylinder,
            ordered_piston=item.piston.named,
            ordered_skirt=item.skirt,
            ordered_finish=Range(low=item.finish_small, high=item.finish_large),
            ordered_route=item.route,
            rings=tuple(_ring(ring, then.get(item.cylinder)) for ring in item.rings),
        )
        if item.cylinder in then:
            new = then[item.cylinder]
            line = line.model_copy(
                update={
                    "piston": new.piston.named,
                    "skirt": new.skirt,
                    "finish": Range(low=new.finish_small, high=new.finish_large),
                    "route": new.route,
                }
            )
        found.append(line)
    return tuple(found)


def _ring(ordered: ChosenRing, now: CylinderPlan | None) -> ArrivedRing:
    found = ArrivedRing(groove=ordered.groove, number=ordered.number)
    fitted = now is not None and any(
        (ring.groove, ring.number) == (ordered.groove, ordered.number) for ring in now.rings
    )
    if now is None or not fitted:
        return found
    gap = next((f for f in now.fits if (f.fit, f.groove) == ("end_gap", ordered.groove)), None)
    end_gap = None if gap is None else Range(low=gap.least, high=gap.most)
    return found.model_copy(update={"used": True, "end_gap": end_gap})


def left_over(job: Job, ordered: Plan, now: Plan, catalogue: Catalogue) -> tuple[LeftOver, ...]:
    """Return the parts bought for the ordered plan and unused in the new one, by number."""
    need, more = _used(job, ordered), bought(ordered, catalogue)
    at_hand = Counter({line.number: line.count for line in now.order if line.source == "in hand"})
    idle = need - at_hand
    return tuple(
        LeftOver(number=number, count=min(count, more[number]))
        for number, count in sorted(idle.items())
        if more[number]
    )


def _used(job: Job, plan: Plan) -> Counter[str]:
    shared = {place.place for place in job.gaskets if place.shared}
    found: Counter[str] = Counter()
    for index, item in enumerate(plan.cylinders):
        found.update(part.number for part in _parts(item))
        for gasket in item.gaskets:
            if not index or gasket.place not in shared:
                found[gasket.number] += gasket.count
    return found


def _parts(item: CylinderPlan) -> tuple[ChosenPart, ...]:
    return (item.piston, *item.rings)
