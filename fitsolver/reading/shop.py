"""A shop folder: shop.toml, jobs in files or in one table of bores, and the shelf."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Final, NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import families_of, read_catalogue
from fitsolver.reading.catalogue_row import Row
from fitsolver.reading.files import list_folder
from fitsolver.reading.job_file import job_of
from fitsolver.reading.job_sections import read_best
from fitsolver.reading.owners import JobFile, read_owned, read_shop_head
from fitsolver.reading.sections import Section
from fitsolver.reading.shop_bores import read_bores
from fitsolver.reading.shop_tables import of_shop
from fitsolver.reading.tables import Kind, read_table
from fitsolver.records.allotment import Shop, ShopJob, StockLine
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

HEAD: Final = "shop.toml"
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
    top = read_shop_head(file)
    entries = [
        *_from_files(top, file, accept_outliers),
        *_from_table(top, file),
    ]
    if not entries:
        raise InputError(
            "the shop has no jobs",
            file=str(file),
            allowed="jobs = FOLDER with job files, or [bores] with a table",
        )
    _check_names(entries)
    priorities = _priorities(top, {entry.job.name for entry in entries})
    read: dict[tuple[Path, str, str | None], Catalogue] = {}
    catalogues: list[Catalogue] = []
    places: dict[int, int] = {}
    jobs = []
    for entry in entries:
        job = entry.job
        folder = _catalogue_folder(top, file.parent, entry.path, job)
        of = "" if entry.file.shop is None else entry.file.shop.file
        family = job.family if len(families_of(folder)) > 1 else None
        if (folder, of, family) not in read:
            read[folder, of, family] = of_shop(read_catalogue(folder, family), entry.file)
        usable = hold(job, read[folder, of, family])
        if id(usable) not in places:
            places[id(usable)] = len(catalogues)
            catalogues.append(usable)
        rank = priorities.get(job.name, entry.priority)
        jobs.append(ShopJob(job=job, catalogue=places[id(usable)], priority=rank))
    return Shop(
        name=top.need("name", top.text("name") or None, "a name for the shop"),
        note=top.text("note"),
        unit=top.unit,
        jobs=tuple(jobs),
        catalogues=tuple(catalogues),
        shelf=_shelf(top, file.parent, _current(catalogues)),
        best=read_best(top) if "best" in top else None,
    )


class Entry(NamedTuple):
    """A job with the file it comes from, and its own priority."""

    path: Path
    file: JobFile
    job: Job
    priority: int | None = None


def _from_files(top: Section, shop: Path, accept_outliers: bool) -> list[Entry]:
    if "jobs" not in top:
        return []
    where = shop.parent / top.text("jobs")
    paths = [path for path in list_folder(where) if path.suffix.lower() == ".toml"]
    found = []
    for path in paths:
        file = read_owned(path, shop=shop)
        job = job_of(file.data, path, path.parent, accept_outliers=accept_outliers)
        found.append(Entry(path, file, job))
    return found


def _from_table(top: Section, shop: Path) -> list[Entry]:
    section = top.section("bores", _BORES_KEYS)
    if section is None:
        return []
    named = section.need("template", section.text("template") or None, "a job file")
    template = shop.parent / named
    table = shop.parent / section.need("file", section.text("file") or None, "a table of bores")
    file = read_owned(template, shop=shop)
    jobs = read_bores(
        table,
        job_of(file.data, template, template.parent),
        same_size=section.flag("same_size"),
        mass_match=section.mass("mass_match"),
    )
    return [Entry(template, file, job, priority) for job, priority in jobs]


def _check_names(entries: list[Entry]) -> None:
    found: dict[str, Path] = {}
    for path, _, job, _ in entries:
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


def _current(catalogues: Iterable[Catalogue]) -> dict[str, str]:
    """Return the replacements of the catalogues' old part numbers."""
    return {old: now for catalogue in catalogues for old, now in catalogue.current.items()}


def _shelf(top: Section, folder: Path, current: Mapping[str, str]) -> tuple[StockLine, ...] | None:
    """Return the counted shelf; None where the shop leaves it to its catalogues.

    Pieces with an old number count with the part that stands for it. It may hold parts of families
    that have no job: `allot` notes them.
    """
    if "shelf" not in top:
        return None
    path = folder / top.text("shelf")
    table = read_table(path, _SHELF.get, _SHELF, tuple(_SHELF))
    found: dict[str, int] = {}
    for number, cells in table.rows:
        row = Row(table, number, cells, top.unit)
        part, count = row.word("number"), row.count("count")
        if count is None:
            raise row.error("count", "the count is missing", "a whole number from 0", "nothing")
        if part in found:
            raise row.error("number", "this number is counted twice", "each number once")
        found[part] = count
    counts: Counter[str] = Counter()
    for part, count in found.items():
        counts[current.get(part, part)] += count
    return tuple(StockLine(number=part, count=count) for part, count in counts.items())
