"""Family sheets of a catalogue folder: one TOML file for one type of engine."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from fitsolver.reading.catalogue_columns import CATALOGUE_KEYS
from fitsolver.reading.catalogue_workbook import families_of_book, head_of, opened
from fitsolver.reading.files import File, MemoryFolder, Parts, Workbook, files_of, list_folder
from fitsolver.reading.hints import unknown
from fitsolver.reading.job_keys import EACH, FAMILY_KEYS, KEYS
from fitsolver.reading.job_windows import check_window, read_ports, read_zone
from fitsolver.reading.known_keys import of_known, unknown_keys
from fitsolver.reading.sections import UNITS, Section, check_format
from fitsolver.reading.toml_file import read_toml

SHEET: Final = "family.toml"
FOLDER: Final = "families"


def family_sheets(folder: Parts) -> dict[str, Section]:
    """Return the sheets of a catalogue folder by the family that each is of.

    They are `family.toml` and the files of the folder `families`. Raises InputError for a sheet
    that is no such file, and for two of one family.
    """
    found: dict[str, Section] = {}
    folder = opened(folder)
    for sheet in _of_book(folder) if isinstance(folder, Workbook) else map(_sheet, _files(folder)):
        family = sheet.need("family", sheet.word("family"), "the family of engines it is of")
        if family in found:
            raise sheet.error(
                "family",
                f"two sheets are of one family (also {Path(found[family].file).name})",
                allowed="a sheet for each family",
            )
        found[family] = sheet
    return found


def as_named(family: str, known: Iterable[str]) -> str:
    """Return a family as it is named, where letter case and blanks alone differ; else as it is."""
    names = list(known)
    if family in names:
        return family
    plain = " ".join(family.split()).casefold()
    alike = [name for name in names if " ".join(name.split()).casefold() == plain]
    return alike[0] if len(alike) == 1 else family


def sheet_of(folders: Sequence[Parts], job: Section) -> Section | None:
    """Return the sheet of a job's family, the only one where the job names none; None without one.

    The first of the catalogue folders that has it gives it. Raises InputError, at the job's
    `family`, for one that no sheet is of.
    """
    family, known = job.word("family"), dict[str, Section]()
    for folder in folders:
        sheets = family_sheets(folder)
        family = None if family is None else as_named(family, sheets)
        if family in sheets:
            return sheets[family]
        if family is None and len(sheets) == 1:
            return next(iter(sheets.values()))
        known |= sheets
    if family is None and known:
        raise job.error(
            "family",
            "the catalogue has several families: this key is missing",
            found="nothing",
            allowed=", ".join(known),
        )
    if family is None:
        return None
    if not folders:
        raise job.error(
            "catalogue",
            "no catalogue is named, in which the family's sheet lies",
            found="nothing",
            allowed="a folder, here or given with --catalogue",
        )
    if not known:
        raise job.error(
            "family",
            "the catalogue has no family sheet",
            allowed=f"{SHEET} in its folder, or format = 1 for a job that holds every figure",
        )
    raise unknown("family", family, known, file=job.file, field="family")


def _files(folder: Parts) -> list[File]:
    files = files_of(folder)
    found = [files[SHEET]] if SHEET in files else []
    if isinstance(folder, Path) and (folder / FOLDER).is_dir():
        found += [p for p in list_folder(folder / FOLDER) if p.suffix.lower() == ".toml"]
    elif isinstance(folder, MemoryFolder):
        found += [file for name, file in files.items() if name.startswith(f"{FOLDER}/")]
    return found


def read_figures(path: File, keys: tuple[str, ...]) -> Section:
    """Return a file that states figures for jobs, a family sheet or a shop file.

    Raises InputError with file, section and field for a key that is not among `keys`.
    """
    return _checked(read_toml(path), str(path), keys)


def _of_book(book: Workbook) -> Iterator[Section]:
    units = head_of(book, CATALOGUE_KEYS).get("units")
    for data in families_of_book(book, units):
        said = f"{book}, sheet '{FOLDER}', family '{data['family']}'"
        yield _checked(data, said, FAMILY_KEYS)


def _sheet(path: File) -> Section:
    return read_figures(path, FAMILY_KEYS)


def _windows(sheet: Section) -> Iterator[Section]:
    """Yield the windows of a sheet, without the keys that they may not have."""
    for number, window in enumerate(sheet.items("window"), start=1):
        known = of_known(window, KEYS["window"]) if isinstance(window, dict) else window
        place = f"[[window]] {number}"
        yield Section(known, KEYS["window"], file=sheet.file, place=place, unit=sheet.unit)


def _checked(data: dict[str, Any], file: str, keys: tuple[str, ...]) -> Section:
    refused = unknown_keys(data, keys, file)
    sheet = Section(of_known(data, keys), keys, file=file, place="")
    check_format(sheet)
    sheet.unit = sheet.choice("units", UNITS)
    refused.take(sheet.section, "each_cylinder", EACH)
    for window in refused.take(_windows, sheet) or ():
        refused.take(check_window, window)
    for read in (read_zone, read_ports):
        refused.take(read, sheet)
    refused.check()
    return sheet
