"""The text of a new job of a known family: what its sheet and shop state is left out."""

from __future__ import annotations

from typing import Any, Final

from fitsolver.base.lengths import Unit
from fitsolver.reading.job_template import NewJob, check, example, written_length
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
    """Return what the job states itself: what was asked for, and no usual value."""
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
    if new.material != usual.material or "material" in new.given:
        each["material"] = new.material
    if new.cylinders > _WRITTEN_OUT:
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
    names = [str(number + 1) for number in range(new.cylinders)]
    if new.cylinders > _WRITTEN_OUT:
        return (
            f"\n# {_SHEET}, beside this file: columns cylinder, depth, axis, diameter (or dial)\n"
            + "".join(f"[[cylinder]]\nname = {value_text(name)}\n" for name in names)
        )
    return "".join(_cylinder(name, new.units) for name in names)


def _cylinder(name: str, units: Unit) -> str:
    rows = "".join(
        f'#  [{example(depth, units)}, "{axis}", {example(size, units)}],\n'
        for depth, axis, size in (("8", "thrust", "62.07"), ("8", "pin", "62.05"))
    )
    return (
        f"\n[[cylinder]]\nname = {value_text(name)}\n"
        f"readings = [   # depth from the top face, axis, size; for example:\n{rows}]\n"
    )
