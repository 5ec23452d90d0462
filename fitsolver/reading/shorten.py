"""An old job in the form that takes figures from its family's sheet and its shop."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any, Final

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.job_file import job_of
from fitsolver.reading.job_keys import EACH
from fitsolver.reading.owners import (
    OF_TABLES,
    WITH_SHEETS,
    JobFile,
    leaving,
    owned,
    read_owned,
    stated,
)
from fitsolver.reading.precedence import has
from fitsolver.reading.shop_tables import of_shop
from fitsolver.reading.toml_text import plain_toml
from fitsolver.records.base import FitName
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.windows import Window

Change = Callable[[dict[str, Any]], dict[str, Any]]
_EACH: Final = "each_cylinder."
#: Keys that a job begins with, in this order.
_FIRST: Final = ("format", "name", "note", "units", "catalogue", "family", "use", "without")


def shortened(old: Path, new: Path, catalogue: Path | None = None) -> str:
    """Return an old job as the text of one that states only what its sheets do not.

    Read at `new` it is an equal job with equal routes; what it lacks and a sheet states stands in
    `without`. Comments are not kept. Raises InputError as `read_owned` does, and for an old job
    that names no catalogue.
    """
    file = read_owned(old, catalogue)
    folder = _folder(file, old) if catalogue is None else catalogue
    parts = read_catalogue(folder, file.data.get("family"))
    fits = frozenset(one.window.fit for one in parts.windows)
    wanted = alike(job_of(file.data, old, old.parent), None, fits), _routes(of_shop(parts, file))
    whole = _moved(_plain(file.data), old.parent, new.parent)
    whole |= {"format": WITH_SHEETS, "catalogue": _seen_from(new.parent, folder)}

    def read(data: dict[str, Any]) -> JobFile:
        return owned(data, new, folder)

    def same(data: dict[str, Any]) -> bool:
        try:
            found = read(data)
            job = job_of(found.data, new, new.parent)
            return (alike(job, wanted[0], fits), _routes(of_shop(parts, found))) == wanted
        except InputError:
            return False

    sheets = read(whole)
    whole.setdefault("family", "" if sheets.family is None else sheets.family.word("family"))
    if not whole["family"]:
        del whole["family"]
    whole["without"] = list(dict.fromkeys(_figures(sheets)))
    if not same(whole):
        raise InputError("the new form of this job would not be the same job", file=str(old))
    return plain_toml(_in_order(_least(whole, same)))


def _folder(file: JobFile, old: Path) -> Path:
    named = file.data.get("catalogue")
    if isinstance(named, str):
        return old.parent / named
    raise InputError(
        "no catalogue is named",
        file=str(old),
        field="catalogue",
        allowed="a folder, here or given with --catalogue",
    )


def _figures(sheets: JobFile) -> Iterator[str]:
    """Yield every figure that the sheets state in a job's place, as `without` names it."""
    for layer in sheets.lower:
        yield from stated(layer.data)
    yield from (name for name in OF_TABLES if sheets.shop is not None and name in sheets.shop)


def _least(job: dict[str, Any], same: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
    """Return the job without each figure that a sheet states alike, one after the other."""
    for name in list(job["without"]):
        taken = _taking(job, name)
        for less in (*_leaving(taken, name), taken):
            if same(less):
                job = less
                break
    for shorter in (*_whole_tables(job), *_without_empty(job), *_once(job)):
        less = shorter(job)
        if same(less):
            job = less
    return job if job["without"] else {k: v for k, v in job.items() if k != "without"}


def _whole_tables(job: dict[str, Any]) -> Iterator[Change]:
    """Yield changes that name a table in `without` in place of all of its figures."""
    names = [name for name in job["without"] if "." in name and not name.startswith("window.")]
    prefixes = dict.fromkeys(
        name.rsplit(".", depth)[0] for name in names for depth in (1, 2) if name.count(".") >= depth
    )
    for prefix in sorted(prefixes, key=len):

        def change(data: dict[str, Any], prefix: str = prefix) -> dict[str, Any]:
            left = [n for n in data["without"] if not n.startswith(f"{prefix}.")]
            shorter = len(left) + 1 < len(data["without"])
            return {**data, "without": [*left, prefix]} if shorter else data

        yield change


def _without_empty(job: dict[str, Any]) -> Iterator[Change]:
    """Yield changes that leave out a list with nothing in it."""
    for key in [key for key, value in job.items() if value == [] and key != "without"]:

        def change(data: dict[str, Any], key: str = key) -> dict[str, Any]:
            return {k: v for k, v in data.items() if k != key}

        yield change


def _once(job: dict[str, Any]) -> Iterator[Change]:
    """Yield changes that state once what every cylinder states alike."""
    for key in EACH:

        def change(data: dict[str, Any], key: str = key) -> dict[str, Any]:
            first, *others = (cylinder.get(key) for cylinder in data["cylinder"])
            if first is None or not others or any(other != first for other in others):
                return data
            cylinders = [{k: v for k, v in c.items() if k != key} for c in data["cylinder"]]
            each = {**data.get("each_cylinder", {}), key: first}
            return {**data, "each_cylinder": each, "cylinder": cylinders}

        yield change


def _taking(job: dict[str, Any], name: str) -> dict[str, Any]:
    return {**job, "without": [other for other in job["without"] if other != name]}


def _leaving(job: dict[str, Any], name: str) -> Iterator[dict[str, Any]]:
    """Yield the job without a figure of its own: of all its cylinders, where it is each one's."""
    if not name.startswith(_EACH):
        if leaving(job, name) is not job:
            yield leaving(job, name)
        return
    key = name.removeprefix(_EACH)
    cylinders = [{k: v for k, v in one.items() if k != key} for one in job["cylinder"]]
    yield {**job, "cylinder": cylinders}
    for value in dict.fromkeys(str(one.get(key)) for one in job["cylinder"]):
        yield {
            **job,
            "cylinder": [
                bare if str(one.get(key)) == value else one
                for one, bare in zip(job["cylinder"], cylinders, strict=True)
            ],
        }


def _routes(catalogue: Catalogue) -> tuple[object, ...]:
    return catalogue.routes, catalogue.stages, catalogue.currency


def alike(job: Job, like: Job | None = None, stated: Collection[FitName] = ()) -> Job:
    """Return a job without what tells where it was read; `like` says whether it has a family.

    Whether a window yields is told of those fits alone that makers state for their own parts.
    """
    changed: dict[str, Any] = {"fingerprint": "", "catalogue": None}
    bare = [_bare(window, yields=window.fit in stated) for window in job.windows]
    changed["windows"] = tuple(sorted(bare, key=repr))
    changed["cylinders"] = tuple(map(_bare_cylinder, job.cylinders))
    if like is not None and like.family is None:
        changed["family"] = None
    return job.model_copy(update=changed)


def _bare(window: Window, *, yields: bool) -> Window:
    told = window.yields and yields
    return window.model_copy(update={"owner": "job", "stands": "", "yields": told})


def _bare_cylinder(cylinder: Cylinder) -> Cylinder:
    if cylinder.zone is None:
        return cylinder
    return cylinder.model_copy(update={"zone": cylinder.zone.model_copy(update={"stands": ""})})


def _plain(data: dict[str, Any]) -> dict[str, Any]:
    """Return content whose tables know nothing of the files they come from."""

    def bare(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: bare(inner) for key, inner in value.items()}
        return [bare(inner) for inner in value] if isinstance(value, list) else value

    return dict(bare(deepcopy(data)))


def _moved(data: dict[str, Any], old: Path, new: Path) -> dict[str, Any]:
    """Return content whose readings sheets are named as seen from another folder."""
    for cylinder in data["cylinder"]:
        if has(cylinder, "readings_file"):
            cylinder["readings_file"] = _seen_from(new, old / cylinder["readings_file"])
    return data


def _seen_from(folder: Path, path: Path) -> str:
    return Path(os.path.relpath(path, folder)).as_posix()


def _in_order(job: dict[str, Any]) -> dict[str, Any]:
    return {key: job[key] for key in (*_FIRST, *(k for k in job if k not in _FIRST)) if key in job}
