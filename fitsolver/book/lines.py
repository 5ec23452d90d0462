"""The lines of the book for each cylinder of a job, a plan and a final check."""

from __future__ import annotations

from itertools import groupby
from typing import Final

from pydantic import TypeAdapter, ValidationError

from fitsolver.base.errors import InputError
from fitsolver.reading.hints import shown
from fitsolver.records.book import BookLine, FittedParts, Marking
from fitsolver.records.final import FinalAnswer, FinalCylinder
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import CylinderPlan

_MARKING: Final[TypeAdapter[str]] = TypeAdapter(Marking)


def checked_marking(text: str) -> str:
    """Return a marking; InputError where it is invalid."""
    try:
        return _MARKING.validate_python(text)
    except ValidationError as error:
        raise InputError(
            "this is no marking of a cylinder",
            field="marking",
            found=shown(text),
            allowed="1 to 80 letters and signs, no blank at its ends",
        ) from error


def bore_lines(job: Job) -> tuple[BookLine, ...]:
    """Return a line for each cylinder of a job: its marking, and its sizes at 20 °C.

    Raises InputError for a cylinder without a marking, and for one marking given twice.
    """
    from fitsolver.metrology.measuring import measured

    loose = tuple(
        item.model_copy(update={"piston_size": None, "form_allowance": 0}) for item in job.cylinders
    )
    stated = measured(job.model_copy(update={"cylinders": loose, "in_hand": ()})).stated
    lines = tuple(_line(stated, cylinder) for cylinder in stated.cylinders)
    for marking, same in groupby(sorted(line.marking for line in lines)):
        if len(list(same)) > 1:
            raise InputError(
                "two cylinders have this marking", file=job.name, field="marking", found=marking
            )
    return lines


def markings(job: Job) -> dict[str, str]:
    """Return the marking of every cylinder of a job, by the name it has there."""
    return {cylinder.name: _marking_of(job, cylinder) for cylinder in job.cylinders}


def _marking_of(job: Job, cylinder: Cylinder) -> str:
    if not cylinder.marking:
        raise InputError(
            "the book knows cylinders by the owner's own marking, and this one has none",
            file=job.name,
            row=f"cylinder '{cylinder.name}'",
            field="marking",
            allowed='what tells it from all others, as marking = "pump 7, left"',
        )
    return checked_marking(cylinder.marking)


def _line(job: Job, cylinder: Cylinder) -> BookLine:
    from fitsolver.metrology.form import extremes

    # The job's allowance for the bore between readings is not part of a reading.
    smallest, largest = extremes(cylinder.model_copy(update={"form_allowance": 0}))
    return BookLine(
        marking=_marking_of(job, cylinder),
        name=cylinder.name,
        family=job.family,
        material=cylinder.material,
        smallest=smallest,
        largest=largest,
        uncertainty=_uncertainty(job, cylinder),
    )


def _uncertainty(job: Job, cylinder: Cylinder) -> float | None:
    """Return the standard uncertainty of a local size (ticks): that of ring over bore is its.

    None where no instrument is stated.
    """
    if job.measuring is None or not job.measuring.instruments:
        return None
    from fitsolver.metrology.measuring import cylinder_errors
    from fitsolver.metrology.sources import Sources, standard

    found = standard(cylinder_errors(job, cylinder, Sources())["ring_seat", 0])
    return found or None


def planned(plan: CylinderPlan) -> dict[str, object]:
    """Return what a plan adds to the line of its cylinder."""
    gaskets = [item.number for item in plan.gaskets for _ in range(item.count)]
    rings = sorted(plan.rings, key=lambda ring: ring.groove)
    return {
        "parts": FittedParts(
            piston=plan.piston.number,
            skirt=plan.skirt.low if plan.skirt.known else None,
            rings=tuple(ring.number for ring in rings),
            gaskets=tuple(gaskets),
        ),
        "route": plan.route,
        "machined": plan.machined,
        "bore_low": plan.bore_low,
        "bore_high": plan.bore_high,
    }


def checked(found: FinalCylinder, answer: FinalAnswer) -> dict[str, object]:
    """Return what a final check adds to the line of its cylinder."""
    return {
        "parts": FittedParts(
            piston=found.piston,
            skirt=found.skirt.low if found.skirt.known else None,
            rings=found.rings,
            gaskets=found.gaskets,
        ),
        "passes": _passes(found, answer),
    }


def _passes(found: FinalCylinder, answer: FinalAnswer) -> bool | None:
    """Tell whether a cylinder passes; None where no fit fails but some were not judged."""
    if found.verdict == "fail" or not all(item.holds for item in answer.together):
        return False
    return True if found.judged else None
