"""Part numbers, routes and gasket places that a job names and its catalogue must have."""

from __future__ import annotations

from collections.abc import Iterable

from fitsolver.base.errors import InputError
from fitsolver.reading.hints import shown, unknown
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import InHand, Job

_FEW = 12  # more names than these would hide the message


def check_parts(job: Job, catalogue: Catalogue) -> None:
    """Refuse a job that names a part, route or gasket place which its catalogue does not have.

    Raises InputError naming the section, the key, what was found and what is allowed.
    """
    pistons = {piston.number for piston in catalogue.pistons}
    rings = {ring.number: ring.grooves for ring in catalogue.rings}
    routes = [route.name for route in catalogue.routes]
    for route in job.routes:
        _known(job, "[finish]", "routes", route, routes, "route")
    for cylinder in job.cylinders:
        row = f"cylinder '{cylinder.name}'"
        for route in cylinder.routes:
            _known(job, row, "routes", route, routes, "route")
        if cylinder.route is not None:
            _known(job, row, "route", cylinder.route, routes, "route")
        if cylinder.piston is not None:
            _known(job, row, "piston", cylinder.piston, pistons, "piston")
        for pin in cylinder.rings:
            _known(job, row, "rings", pin.number, rings, "ring")
            if pin.groove not in rings[pin.number]:
                raise _error(
                    job,
                    row,
                    "rings",
                    f"ring '{pin.number}' is not for this groove",
                    pin.groove,
                    " ".join(map(str, rings[pin.number])),
                )
    places = sorted({gasket.place for gasket in catalogue.gaskets})
    for place in job.gaskets:
        _known(job, "[[gasket_place]]", "place", place.place, places, "gasket place")
    singles = [*pistons, *rings, *(gasket.number for gasket in catalogue.gaskets)]
    for number, held in enumerate(job.in_hand, start=1):
        row = f"[[in_hand]] {number}"
        _known(job, row, "number", held.number, singles, "part")
        _measured(job, row, held, held.number in pistons, held.number in rings)


def _measured(job: Job, row: str, held: InHand, is_piston: bool, is_ring: bool) -> None:
    """Refuse a measure that this kind of part does not have."""
    if not is_piston and (held.size is not None or held.mass is not None):
        field = "size" if held.size is not None else "mass"
        raise _error(
            job,
            row,
            field,
            f"'{held.number}' is not a piston",
            held.number,
            "size and mass with pistons only",
        )
    if not is_ring and held.gap is not None:
        raise _error(
            job, row, "gap", f"'{held.number}' is not a ring", held.number, "gap with rings only"
        )


def _known(job: Job, row: str, field: str, name: str, names: Iterable[str], what: str) -> None:
    allowed = sorted(names)
    if name not in allowed:
        error = unknown(what, name, allowed, file=_place(job), row=row, field=field)
        if len(allowed) > _FEW:
            error = InputError(
                error.message,
                file=_place(job),
                row=row,
                field=field,
                found=shown(name),
                allowed=f"a {what} of the catalogue",
            )
        raise error


def _error(job: Job, row: str, field: str, message: str, found: object, allowed: str) -> InputError:
    return InputError(message, file=_place(job), row=row, field=field, found=found, allowed=allowed)


def _place(job: Job) -> str:
    return f"job '{job.name}'"
