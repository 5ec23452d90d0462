"""Check of `compatibility`: pin, groove depth, grooves a ring is made for, and pins of the job."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.view import CylinderView, PlanView
from fitsolver.records.catalogue import Piston


def violations(view: PlanView) -> Iterator[str]:
    """Yield every part that does not go where it is."""
    pin = view.job.engine.pin_diameter
    for item in view.cylinders:
        place = f"cylinder {item.name}"
        part = item.piston.part
        if pin is not None and part.pin_diameter not in (None, pin):
            yield f"{place}: the piston is made for another pin"
        for groove, ring in item.fitted():
            deep = ring.part.radial_depth
            if groove.number not in ring.part.grooves:
                yield f"{place}: the ring is not made for groove {groove.number}"
            if deep is not None and groove.depth is not None and deep > groove.depth:
                yield f"{place}: the ring is too deep for groove {groove.number}"
        if len(item.plan.rings) != len(part.grooves):
            yield f"{place}: the piston has another number of grooves than there are rings"
        said = [ring.kept for ring in item.plan.rings]
        if [item.plan.piston.kept, *said] != [there.kept for there in item.candidates]:
            yield f"{place}: a part is kept and not said to be, or the other way round"
        yield from (f"{place}: {sentence}" for sentence in _pins(item))


def refuses(item: CylinderView, piston: Piston) -> bool:
    """Tell whether a piston is made for another pin."""
    pin = item.job.engine.pin_diameter
    return pin is not None and piston.pin_diameter not in (None, pin)


def _pins(item: CylinderView) -> Iterator[str]:
    """Yield every part that differs from the job's pin for the cylinder."""
    if item.cylinder.piston not in (None, item.piston.part.number):
        yield "the piston is not the one the job names"
    for pinned in item.cylinder.rings:
        ring = item.rings.get(pinned.groove)
        if ring is not None and ring.part.number not in {
            other.number for other in item.cylinder.rings if other.groove == pinned.groove
        }:
            yield f"the ring in groove {pinned.groove} is not the one the job names"
    for candidate in item.candidates:
        if candidate.only_in not in (None, item.name):
            yield f"{candidate.part.number} is reserved for another cylinder"
