"""A table of bores, one row a cylinder, as jobs that follow one template."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_row import Row
from fitsolver.reading.tables import Kind, read_table
from fitsolver.reading.toml_file import fingerprint
from fitsolver.records.job import Cylinder, Job, MassMatch, SameSize
from fitsolver.records.readings import PIN, THRUST, Reading

_COLUMNS: Final[dict[str, Kind]] = {
    "job": "text",
    "cylinder": "text",
    "smallest": "length",
    "largest": "length",
    "scratch": "length",
    "material": "text",
    "priority": "number",
    "needed_in_days": "number",
}
_REQUIRED: Final = ("job", "cylinder", "smallest", "largest")


def read_bores(
    path: Path, template: Job, *, same_size: bool, mass_match: int | None
) -> list[tuple[Job, int | None]]:
    """Return the jobs of a table with their priorities, in the order they begin in.

    Windows, routes, engine and all else are the template's; a row gives the smallest and the
    largest local size of one cylinder. `mass_match` in mg, across the cylinders of each job.
    Raises InputError with row and column.
    """
    if len(template.cylinders) != 1:
        raise InputError(
            "a template has one cylinder, which all rows follow",
            file=str(path),
            field="template",
            found=f"{len(template.cylinders)} cylinders",
        )
    table = read_table(path, _COLUMNS.get, _COLUMNS, _REQUIRED)
    rows: dict[str, list[Row]] = {}
    for number, cells in table.rows:
        row = Row(table, number, cells, template.unit)
        rows.setdefault(row.word("job"), []).append(row)
    return [_job(template, name, mine, same_size, mass_match) for name, mine in rows.items()]


def _job(
    template: Job, name: str, rows: list[Row], same_size: bool, mass_match: int | None
) -> tuple[Job, int | None]:
    cylinders = tuple(_cylinder(template.cylinders[0], row) for row in rows)
    names = tuple(cylinder.name for cylinder in cylinders)
    for index, row in enumerate(rows):
        if names[index] in names[:index]:
            raise row.error("cylinder", "this cylinder is there twice", "each cylinder once")
    days = _one(rows, "needed_in_days")
    terms = template.terms
    if days is not None:
        terms = terms.model_copy(update={"needed_in_days": days, "needed_by": None})
    several = len(names) > 1
    job = template.model_copy(
        update={
            "name": name,
            "cylinders": cylinders,
            "terms": terms,
            "same_size": (SameSize(cylinders=names),) if same_size and several else (),
            "mass_match": (MassMatch(cylinders=names, limit=mass_match),)
            if mass_match is not None and several
            else (),
            "fingerprint": fingerprint(
                [template.fingerprint, name, [list(map(row.text, _COLUMNS)) for row in rows]]
            ),
        }
    )
    return job, _one(rows, "priority")


def _cylinder(template: Cylinder, row: Row) -> Cylinder:
    bore = row.span("smallest", "largest")
    depth = template.readings[0].depth if template.readings else 0
    update = {
        "name": row.word("cylinder"),
        "readings": (
            Reading(depth=depth, angle=THRUST, size=bore.high),
            Reading(depth=depth, angle=PIN, size=bore.low),
        ),
        "finished_size": None,
        "zone": None,
        "ports": (),
        "scratch": row.length("scratch") or 0,
    }
    if row.text("material"):
        update["material"] = row.word("material")
    return template.model_copy(update=update)


def _one(rows: list[Row], field: str) -> int | None:
    """Return a column's value for a job: from one of its rows, or equal in several."""
    found: int | None = None
    for row in rows:
        value = row.count(field)
        if value is None:
            continue
        if value == 0 and field == "priority":
            raise row.error(field, "a priority is a whole number from 1", "1 is served first")
        if found not in (None, value):
            raise row.error(field, "the rows of one job say different things", str(found))
        found = value
    return found
