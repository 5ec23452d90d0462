"""A shop folder: shop.toml, jobs in files or in one table of bores, and the shelf."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.catalogue_row import Row
from fitsolver.reading.files import list_folder
from fitsolver.reading.job_file import UNITS, check_format, read_job
from fitsolver.reading.job_sections import read_best
from fitsolver.reading.sections import Section
from fitsolver.reading.shop_bores import read_bores
from fitsolver.reading.tables import Kind, read_table
from fitsolver.reading.toml_file import read_toml
from fitsolver.records.allotment import Shop, ShopJob, StockLine
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

HEAD: Final = "shop.toml"
_KEYS: Final = (
    "format",
    "name",
    "note",
    "units",
    "catalogue",
    "jobs",
    "bores",
    "shelf",
    "best",
    "priority",
)
_BORES_KEYS: Final = ("file", "template", "same_size", "mass_match")
_SHELF: Final[dict[str, Kind]] = {"number": "text", "count": "number"}

#: Refuses a job that its catalogue cannot serve at all (another family, parts nobody knows), and
#: returns the rows of the catalogue that the job may use.
Hold = Callable[[Job, Catalogue], Catalogue]


def read_shop(path: Path, hold: Hold, *, accept_outliers: bool = False) -> Shop:
    """Return the shop that a folder (or its shop.toml) describes, see docs/allot.md.

    `hold` is called with every job and its catalogue and returns the catalogue it may use. Raises
    InputError with file, row or section, field, what was found and what is allowed.
    """
    file = path / HEAD if path.is_dir() else path
    top = Section(read_toml(file), _KEYS, file=str(file), place="")
    check_format(top)
    top.unit = top.choice("units", UNITS)
    entries = [
        *_from_files(top, file.parent, accept_outliers),
        *_from_table(top, file.parent),
    ]
    if not entries:
        raise InputError(
            "the shop has no jobs",
            file=str(file),
            allowed="jobs = FOLDER with job files, or [bores] with a table",
        )
    _check_names(entries)
    priorities = _priorities(top, {job.name for _, job, _ in entries})
    read: dict[Path, Catalogue] = {}
    catalogues: list[Catalogue] = []
    places: dict[int, int] = {}
    jobs = []
    for source, job, own in entries:
        folder = _catalogue_folder(top, file.parent, source, job)
        if folder not in read:
            read[folder] = read_catalogue(folder)
        usable = hold(job, read[folder])
        if id(usable) not in places:
            places[id(usable)] = len(catalogues)
            catalogues.append(usable)
        rank = priorities.get(job.name, own)
        jobs.append(ShopJob(job=job, catalogue=places[id(usable)], priority=rank))
    return Shop(
        name=top.need("name", top.text("name") or None, "a name for the shop"),
        note=top.text("note"),
        unit=top.unit,
        jobs=tuple(jobs),
        catalogues=tuple(catalogues),
        shelf=_shelf(top, file.parent),
        best=read_best(top) if "best" in top else None,
    )


Entry = tuple[Path, Job, int | None]


def _from_files(top: Section, folder: Path, accept_outliers: bool) -> list[Entry]:
    if "jobs" not in top:
        return []
    where = folder / top.text("jobs")
    files = [path for path in list_folder(where) if path.suffix.lower() == ".toml"]
    return [(path, read_job(path, accept_outliers=accept_outliers), None) for path in files]


def _from_table(top: Section, folder: Path) -> list[Entry]:
    section = top.section("bores", _BORES_KEYS)
    if section is None:
        return []
    template = folder / section.need("template", section.text("template") or None, "a job file")
    table = folder / section.need("file", section.text("file") or None, "a table of bores")
    jobs = read_bores(
        table,
        read_job(template),
        same_size=section.flag("same_size"),
        mass_match=section.mass("mass_match"),
    )
    return [(template, job, priority) for job, priority in jobs]


def _check_names(entries: list[Entry]) -> None:
    found: dict[str, Path] = {}
    for path, job, _ in entries:
        if job.name in found:
            raise InputError(
                f"two jobs have one name (also in {found[job.name].name})",
                file=str(path),
                field="name",
                found=job.name,
                allowed="a name of its own for every job",
            )
        found[job.name] = path


def _priorities(top: Section, names: set[str]) -> dict[str, int]:
    data = top.data.get("priority", {})
    section = Section(data, names, file=top.file, place="[priority]")
    return {
        name: section.need(name, section.count(name, least=1), "a whole number from 1")
        for name in section.data
    }


def _catalogue_folder(top: Section, folder: Path, source: Path, job: Job) -> Path:
    if job.catalogue is not None:
        return (source.parent / job.catalogue).resolve()
    if "catalogue" in top:
        return (folder / top.text("catalogue")).resolve()
    raise InputError(
        "no catalogue is named",
        file=str(source),
        field="catalogue",
        allowed="a folder, in the job or for all jobs in shop.toml",
    )


def _shelf(top: Section, folder: Path) -> tuple[StockLine, ...] | None:
    """Return the counted shelf; None where the shop leaves it to its catalogues.

    It may hold parts of families that have no job: `allot` notes them.
    """
    if "shelf" not in top:
        return None
    path = folder / top.text("shelf")
    table = read_table(path, _SHELF.get, _SHELF, tuple(_SHELF))
    found: dict[str, StockLine] = {}
    for number, cells in table.rows:
        row = Row(table, number, cells, top.unit)
        part, count = row.word("number"), row.count("count")
        if count is None:
            raise row.error("count", "the count is missing", "a whole number from 0", "nothing")
        if part in found:
            raise row.error("number", "this number is counted twice", "each number once")
        found[part] = StockLine(number=part, count=count)
    return tuple(found.values())
