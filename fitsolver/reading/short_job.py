"""The text of a new job of a known family, without the entries of its sheet and shop."""

from __future__ import annotations

from typing import Any, Final

from fitsolver.reading.job_template import (
    NewJob,
    check,
    example,
    names_of,
    readings_of,
    written_length,
)
from fitsolver.reading.owners import WITH_SHEETS
from fitsolver.reading.toml_text import Number, plain_toml, value_text

_HEAD: Final = """\
# A job of a known family: what is not stated here stands in the family's sheet in the catalogue and
# in the shop's file; what is stated here outranks them. All sizes are on diameter, bare numbers in
# `units`. Fill in the readings, then run
#   fitsolver bore THIS_FILE      the form of each bore
#   fitsolver pick THIS_FILE      parts, finish size, what is left
"""
#: More cylinders than this have their readings in a sheet.
_WRITTEN_OUT: Final = 2
_SHEET: Final = "readings.csv"


def short_job(new: NewJob) -> str:
    """Return a job file (TOML) of a family that has a sheet; readings are to be filled in.

    Raises InputError as `job_template` does.
    """
    check(new)
    return _HEAD + plain_toml(_stated(new)) + _cylinders(new)


def _stated(new: NewJob) -> dict[str, Any]:
    """Return the job's own entries: the given ones, without default values."""
    usual = NewJob(name=new.name)
    stated: dict[str, Any] = {
        "format": WITH_SHEETS,
        "name": new.name,
        "units": new.units,
        "catalogue": new.catalogue,
        "family": new.family.strip(),
    }
    if new.finishing != usual.finishing or "finishing" in new.given:
        stated["finish"] = {"how": new.finishing}
    if new.stroke:
        stated["engine"] = {"stroke": _length(new, "stroke", new.stroke)}
    each = {}
    if new.material != usual.material or "material" in new.given or not new.has_material:
        each["material"] = new.material
    if new.read is not None and new.read.file:
        each["readings_file"] = new.read.file
    elif new.read is None and new.cylinders > _WRITTEN_OUT:
        each["readings_file"] = _SHEET
    if each:
        stated["each_cylinder"] = each
    windows = [
        {"fit": fit, "low": _length(new, fit, edges[0]), "high": _length(new, fit, edges[1])}
        for fit, edges in (("clearance", new.clearance), ("end_gap", new.end_gap))
        if edges is not None
    ]
    return {**stated, "window": windows} if windows else stated


def _length(new: NewJob, field: str, text: str) -> str:
    value = written_length(new, field, text)
    return value.strip('"') if value.startswith('"') else Number(value)


def _cylinders(new: NewJob) -> str:
    names = names_of(new)
    if new.read is not None:
        return "".join(_of_read(new, name) for name in names)
    if new.cylinders > _WRITTEN_OUT:
        zero = readings_of(new, names[0])
        return (
            f"\n# {_SHEET}, beside this file: columns cylinder, depth, axis, diameter (or dial)\n"
            + "".join(f"[[cylinder]]\nname = {value_text(name)}\n{zero}" for name in names)
        )
    first, *others = names
    rest = "".join(f"{_named(name)}{readings_of(new, name)}readings = [\n]\n" for name in others)
    return _cylinder(new, first) + rest


def _named(name: str) -> str:
    return f"\n[[cylinder]]\nname = {value_text(name)}\n"


def _of_read(new: NewJob, name: str) -> str:
    """Return a cylinder of a sheet that all share, or with readings of its own."""
    own = readings_of(new, name)
    if new.read is not None and new.read.file:
        lines = own.splitlines(keepends=True)
        own = "".join(line for line in lines if not line.startswith("readings_file"))
    return _named(name) + own


def _cylinder(new: NewJob, name: str) -> str:
    rows = "".join(
        f'#  [{example(depth, new.units)}, "{axis}", {example(size, new.units)}],\n'
        for depth, axis, size in (("8", "thrust", "62.07"), ("8", "pin", "62.05"))
    )
    return (
        f"{_named(name)}{readings_of(new, name)}"
        f"readings = [   # depth from the top face, axis, size; for example:\n{rows}]\n"
    )
