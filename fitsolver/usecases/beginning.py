"""The verb `new`: a job file to start from, or an old one in the form that takes from sheets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit

if TYPE_CHECKING:
    from fitsolver.reading.job_template import NewJob
    from fitsolver.reading.sections import Section


class Begun(NamedTuple):
    """What a new job takes over: `known` a sheet of its family, `axes` words of its readings that
    were read as another axis word.
    """

    known: bool
    axes: tuple[tuple[str, str], ...] = ()


def new_job(job_file: str | Path, new: NewJob) -> bool:
    """Write a commented job file to start from; readings and windows are then filled in.

    Where its catalogue has a sheet of its family only readings are, and what the sheet states is
    left out: True is returned. Else, where the catalogue can be read, end gaps are asked for the
    grooves that its pistons have. Raises InputError when the file exists or cannot be written,
    for an option that is no such value, and for a family that none of the catalogue's sheets is
    of; UnansweredError for what its readings leave open. Nothing is written then.
    """
    return begin(job_file, new).known


def begin(job_file: str | Path, new: NewJob) -> Begun:
    """Write a job file as `new_job` does, and say what it took over."""
    from fitsolver.base.new_file import write_new

    folder = Path(job_file).parent
    sheets = _sheets(new, folder)
    new = _as_read(_named(new, sheets), folder)
    sheet = sheets.get(new.family)
    write_new(Path(job_file), _text(new, sheet, folder))
    return Begun(sheet is not None, () if new.read is None else new.read.axes)


def shorter_job(job_file: str | Path, old: str | Path, catalogue: str | Path | None = None) -> None:
    """Write an old job anew so that it states only what its family's sheet and shop do not.

    Raises InputError when the file exists or cannot be written, and as `load` does; nothing is
    written then.
    """
    from fitsolver.base.new_file import check_new, write_new
    from fitsolver.reading.shorten import shortened

    new = Path(job_file)
    check_new(new)
    write_new(new, shortened(Path(old), new, None if catalogue is None else Path(catalogue)))


def families_in(catalogue: Path) -> dict[str, Unit]:
    """Return the families that a catalogue has sheets of, with their units; {} where none can be
    read.
    """
    from fitsolver.reading.family_sheet import family_sheets

    try:
        return {family: sheet.unit for family, sheet in family_sheets(catalogue).items()}
    except InputError:
        return {}


def named_families(catalogue: Path) -> tuple[str, ...]:
    """Return the families that a catalogue names, in its head and by its sheets; () where none can
    be read.
    """
    from fitsolver.reading.catalogue_folder import families_of

    try:
        return families_of(catalogue)
    except InputError:
        return ()


def check_catalogue(catalogue: Path) -> None:
    """Raise InputError for a folder that is not there or is no catalogue: those here are named."""
    from fitsolver.reading.catalogue_tables import HEAD
    from fitsolver.reading.hints import missing_file

    if catalogue.is_file() or (catalogue / HEAD).is_file():
        return
    here = sorted(head.parent.as_posix() for head in Path().glob(f"*/{HEAD}"))
    raise InputError(
        f"this folder has no {HEAD}" if catalogue.exists() else missing_file(catalogue),
        field="catalogue",
        found=str(catalogue),
        allowed=", ".join([*here[:12], "or none: Enter, and the job names it later"]),
    )


def needs_material(catalogue: Path, family: str, folder: Path) -> bool:
    """Tell whether a job in a folder has to say itself what its bores are made of."""
    from fitsolver.reading.family_sheet import family_sheets

    try:
        return not _has_material(family_sheets(catalogue)[family], folder)
    except (InputError, KeyError):
        return True


def _as_read(new: NewJob, folder: Path) -> NewJob:
    """Return a new job with what its readings file says, or the figures typed."""
    from fitsolver.reading.new_readings import places_of, read_for_new, typed_readings
    from fitsolver.reading.new_sheet import Said

    if not (new.readings or new.figures):
        return new
    said = Said(
        new.sheet,
        new.words,
        new.readings_as,
        new.readings_unit,
        new.depth_unit,
        _bore(new, folder),
    )
    if new.figures:
        places = places_of(new.places, new.units)
        read = typed_readings("readings", new.figures, places, new.units, said)
    else:
        count = new.cylinders if new.cylinders > 1 or "cylinders" in new.given else None
        read = read_for_new(folder, new.readings, new.places, new.units, count, said)
    return replace(new, cylinders=len(read.names), read=read)


def _bore(new: NewJob, folder: Path) -> int | None:
    """Return the standard bore of the family, None where none is known."""
    from fitsolver.reading.catalogue_folder import read_catalogue

    if not new.catalogue:
        return None
    try:
        return read_catalogue(folder / new.catalogue, new.family.strip() or None).standard_bore
    except InputError:  # it may come later
        return None


def _named(new: NewJob, sheets: Mapping[str, Section]) -> NewJob:
    """Return a new job with its family as the catalogue's sheet has it; enough of the name will do.

    Raises InputError for a family that no sheet is of.
    """
    from fitsolver.reading.counter_words import family_named

    if not sheets:
        return new
    try:
        return replace(new, family=family_named(new.family.strip(), tuple(sheets)))
    except InputError as error:
        error.row = "new job"
        raise


def _sheets(new: NewJob, folder: Path) -> dict[str, Section]:
    """Return the family sheets of a new job's catalogue; {} where either is not named."""
    from fitsolver.reading.family_sheet import family_sheets

    place = folder / new.catalogue
    return family_sheets(place) if new.catalogue and new.family.strip() and place.exists() else {}


def _text(new: NewJob, sheet: Section | None, folder: Path) -> str:
    from fitsolver.reading.job_template import job_template

    if sheet is None:
        return job_template(_with_grooves(new, folder))
    return _short(new, sheet, folder)


def _short(new: NewJob, sheet: Section, folder: Path) -> str:
    """Return the text of a job of a family that has a sheet, named as the sheet names it."""
    from fitsolver.reading.short_job import short_job

    family = sheet.word("family") or new.family
    return short_job(replace(new, family=family, has_material=_has_material(sheet, folder)))


def _has_material(sheet: Section, folder: Path) -> bool:
    """Tell whether a family's sheet, or the shop of a job's folder, states a material."""
    from fitsolver.reading.owners import nearest_shop, read_shop_head

    shop = nearest_shop(folder)
    owners = (sheet, *([] if shop is None else [read_shop_head(shop)]))
    return any("material" in owner.data.get("each_cylinder", {}) for owner in owners)


def _with_grooves(new: NewJob, folder: Path) -> NewJob:
    from fitsolver.reading.catalogue_folder import read_catalogue
    from fitsolver.reading.job_template import grooves_of

    if not new.catalogue:
        return new
    try:
        return replace(new, grooves=grooves_of(read_catalogue(folder / new.catalogue)))
    except InputError:  # it may come later: the file is written all the same
        return new
