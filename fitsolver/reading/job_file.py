"""A job file (TOML, with its readings sheets) to a job."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final, get_args

from fitsolver.base.errors import InputError
from fitsolver.reading.blanks import refuse_blanks, without_blanks
from fitsolver.reading.files import Folder
from fitsolver.reading.job_cylinder import Shared, read_cylinders
from fitsolver.reading.job_keys import KEYS
from fitsolver.reading.job_measuring import read_measuring
from fitsolver.reading.job_sections import (
    read_best,
    read_engine,
    read_gaskets,
    read_in_hand,
    read_mass_match,
    read_same_size,
    read_terms,
    read_wear,
)
from fitsolver.reading.job_windows import (
    deck_squish,
    read_open,
    read_ports,
    read_squish,
    read_windows,
    read_zone,
)
from fitsolver.reading.known_keys import of_known, unknown_keys
from fitsolver.reading.owners import read_owned, takes_from_sheets
from fitsolver.reading.readings import Sheets, Taken
from fitsolver.reading.refusals import Refusals
from fitsolver.reading.sections import UNITS, Section, check_format
from fitsolver.reading.stack_edges import lacking
from fitsolver.reading.toml_file import fingerprint
from fitsolver.records.job import Convention, Finishing, Job, Squish
from fitsolver.records.windows import holding

#: The place of a reading: cylinder, depth (ticks), angle (degrees).
Origin = tuple[str, int, int]
FINISHINGS: Final[tuple[Finishing, ...]] = get_args(Finishing)
CONVENTIONS: Final[tuple[Convention, ...]] = get_args(Convention)


def read_job(
    path: Path,
    *,
    accept_outliers: bool = False,
    windows_needed: bool = True,
    origins: dict[Origin, Taken] | None = None,
    catalogue: Path | None = None,
    shop: Path | None = None,
) -> Job:
    """Return the job that a file describes (docs/formats.md), all lengths in ticks.

    One that takes figures from the sheet of its family and from its shop has them, see
    `read_owned`, which `catalogue` and `shop` are for.

    `accept_outliers` accepts the doubts of all readings in every cylinder; the key of that name
    in one. Windows that are not filled in yet are refused; where no windows are needed they are
    left out. `origins` is filled with where each reading was typed. The fingerprint is the
    SHA-256 of what the job file and its readings sheets say. Raises InputError with file, row or
    section, field, what was found and what is allowed.
    """
    data = read_owned(path, catalogue, shop=shop).data
    if not windows_needed:
        data = without_blanks(data)
    return job_of(data, path, path.parent, accept_outliers=accept_outliers, origins=origins)


def job_of(
    data: dict[str, Any],
    path: Path,
    folder: Folder | None,
    *,
    accept_outliers: bool = False,
    origins: dict[Origin, Taken] | None = None,
) -> Job:
    """Return the job that the content of a job file describes; see `read_job`.

    `path` is what messages call it. Readings sheets are looked for in `folder`; None = there are
    none, and a job that names one is refused.
    """
    of_sheets = takes_from_sheets(data)
    if not of_sheets:
        _check_keys(data, folder, str(path))
    top = Section(data, KEYS[""], file=str(path), place="")
    if of_sheets:
        raise top.error(
            "format",
            "this job takes figures from its family sheet and shop, which are not at hand here",
            allowed="1",
        )
    check_format(top, "1, 2")
    _refuse_blanks(top, data, folder)
    top.unit = top.choice("units", UNITS)
    try:
        return _read(top, folder, accept_outliers, origins)
    except InputError as error:
        refused = Refusals(top.file)
        refused.add(error)
        _refused(top, folder, refused).check()
        raise


def _refuse_blanks(top: Section, data: dict[str, Any], folder: Folder | None) -> None:
    """Refuse windows that are not filled in, and with them cylinders that are not."""
    refused = Refusals(top.file)
    refused.take(refuse_blanks, data, top.file)
    if refused:
        filled = Section(without_blanks(data), KEYS[""], file=top.file, place="")
        filled.unit = refused.take(filled.choice, "units", UNITS) or "mm"
        shared = Shared(Sheets(folder, filled.unit), None, (), None, accept_outliers=False)
        refused.take(read_cylinders, filled, shared)
        refused.check()


def _check_keys(data: dict[str, Any], folder: Folder | None, file: str) -> None:
    """Raise InputError for unknown keys of a job, together with its other errors."""
    refused = unknown_keys(data, KEYS[""], file)
    if refused:
        known = of_known(data, KEYS[""])
        cylinders = known.get("cylinder")
        if isinstance(cylinders, list):  # called by their names there, by their places elsewhere
            known["cylinder"] = [
                of_known(one, KEYS["cylinder"]) if isinstance(one, dict) else one
                for one in cylinders
            ]
        top = Section(known, KEYS[""], file=file, place="")
        top.unit = refused.take(top.choice, "units", UNITS) or "mm"
        _refused(top, folder, refused).check()


def _refused(top: Section, folder: Folder | None, refused: Refusals) -> Refusals:
    """Return the errors of a job: those found already, and those of every section."""
    refused.take(lambda: read_engine(top.section("engine", KEYS["engine"])))
    refused.take(lambda: read_terms(top.section("terms", KEYS["terms"])))
    for read in (read_windows, read_zone, read_ports, read_squish, read_gaskets, read_measuring):
        refused.take(read, top)
    refused.take(read_best, top)
    refused.take(read_wear, top)
    sheets = Sheets(folder, top.unit)
    refused.take(read_cylinders, top, Shared(sheets, None, (), None, accept_outliers=False))
    return refused


def _read(
    top: Section,
    folder: Folder | None,
    accept_outliers: bool,
    origins: dict[Origin, Taken] | None,
) -> Job:
    finish = top.section("finish", KEYS["finish"])
    engine = top.section("engine", KEYS["engine"])
    facts = read_engine(engine)
    measuring = read_measuring(top)
    shared = Shared(
        sheets=Sheets(folder, top.unit),
        zone=read_zone(top),
        ports=read_ports(top) or (),
        squish=_squish(top, deck_squish(engine, facts.stroke)),
        accept_outliers=accept_outliers,
        temperatures=measuring.temperatures if measuring else None,
    )
    cylinders, windows = read_cylinders(top, shared), read_windows(top)
    _refuse_overridden(top, shared.sections)
    for section, cylinder in zip(shared.sections, cylinders, strict=True):
        lack = lacking(facts, cylinder, holding(windows, cylinder.windows))
        if lack is not None:
            key, message, found, allowed = lack
            raise section.error(key, message, found=found, allowed=allowed)
    names = tuple(cylinder.name for cylinder in cylinders)
    if origins is not None:
        for name, rows in shared.taken.items():
            origins.update({(name, r.reading.depth, r.reading.angle): r for r in rows})
    tables = shared.sheets.tables
    return Job(
        name=top.need("name", top.text("name") or None, "a name for the job"),
        note=top.text("note"),
        unit=top.unit,
        family=top.word("family"),
        use=top.word("use") or "",
        catalogue=top.text("catalogue") if "catalogue" in top else None,
        finishing=finish.choice("how", FINISHINGS, "piston in hand")
        if finish
        else "piston in hand",
        convention=top.choice("convention", CONVENTIONS, "by axis"),
        cylinders=cylinders,
        windows=windows,
        no_window=read_open(top, windows),
        accept=_accepted(top, names, shared.accepted),
        routes=finish.words("routes") if finish else (),
        engine=facts,
        gaskets=read_gaskets(top),
        in_hand=read_in_hand(top, names),
        same_size=read_same_size(top, names),
        mass_match=read_mass_match(top, names),
        terms=read_terms(top.section("terms", KEYS["terms"])),
        best=read_best(top),
        wear_per_rebuild=read_wear(top),
        measuring=measuring,
        fingerprint=fingerprint([top.data, *(tables[file].content for file in sorted(tables))]),
    )


def catalogue_folder(job: Job, job_path: Path) -> Path | None:
    """Return the catalogue folder that a job names, relative to its file; None without one."""
    return None if job.catalogue is None else job_path.parent / job.catalogue


def _accepted(top: Section, names: tuple[str, ...], outliers: set[str]) -> tuple[str, ...]:
    """Return the doubts accepted by name; `accept_outliers` stands for a cylinder's readings."""
    every = [f"reading {name}" for name in names if name in outliers]
    return tuple(dict.fromkeys((*top.words("accept"), *every)))


def _refuse_overridden(top: Section, cylinders: list[Section]) -> None:
    """Refuse a section of the job that every cylinder has in its own."""
    for key, what in (("zone", "zone"), ("port", "list of ports"), ("squish", "squish")):
        if key in top and all(key in cylinder for cylinder in cylinders):
            raise top.error(
                key,
                f"this would ask nothing: every cylinder has its own {what}",
                found=f"{key} in the job and in every cylinder",
                allowed="in the job, or in every cylinder",
            )


def _squish(top: Section, deck: Squish | None) -> Squish | None:
    measured = read_squish(top)
    if measured is not None and deck is not None:
        raise top.error(
            "squish",
            "squish is given twice",
            found="[squish] and deck dimensions",
            allowed="[squish], or deck_height and head_step in [engine]",
        )
    return measured or deck
