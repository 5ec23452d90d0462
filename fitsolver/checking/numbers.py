"""Check of part numbers: no old number is pinned, taken or ordered; each leads to a part."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.view import PlanView


def violations(view: PlanView) -> Iterator[str]:
    """Yield every old number in a plan, and requested numbers that match none of its parts."""
    catalogue = view.catalogue
    old = {one.number: one.now for one in catalogue.old_numbers}
    for number in old:
        passed = [number]
        while passed[-1] in old and len(passed) <= len(old):
            passed.append(old[passed[-1]])
        if passed[-1] in old:
            yield f"{number} is replaced in a circle"
    ordered = {line.number for line in view.plan.order}
    taken = {candidate.part.number for item in view.cylinders for candidate in item.candidates}
    taken |= {gasket.number for item in view.cylinders for gasket, _ in item.gaskets}
    pinned = {item.cylinder.piston for item in view.cylinders}
    pinned |= {ring.number for item in view.cylinders for ring in item.cylinder.rings}
    for what, numbers in (("ordered", ordered), ("taken", taken), ("pinned", pinned)):
        yield from (f"{number} is an old number, and is {what}" for number in numbers & old.keys())
    yield from (
        f"{n} was asked for and is no old number" for n in view.job.asked_for if n not in old
    )
