"""Tasks of the worker processes on catalogues and lists; they change no files."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.base.version import __version__
from fitsolver.page.list_answers import Given
from fitsolver.reading.catalogue_folder import families_of, read_catalogue
from fitsolver.reading.catalogue_tables import HEAD
from fitsolver.reading.list_catalogue import head_text
from fitsolver.records.intake import IntakeAnswer
from fitsolver.records.review import CatalogueReview
from fitsolver.usecases import catalogue_change
from fitsolver.usecases.catalogue_change import TableShown
from fitsolver.usecases.catalogue_review import review
from fitsolver.usecases.catalogue_review.families import Read, review_families
from fitsolver.usecases.counter_files import equal_job
from fitsolver.usecases.family_change import Typed, corrected_sheet
from fitsolver.usecases.intake import intake
from fitsolver.usecases.intake_told import told_of


class Looked(NamedTuple):
    """The result of a list, and the files of the catalogue that it changes and removes."""

    answer: IntakeAnswer
    files: dict[str, str]
    gone: tuple[str, ...]


class Corrected(NamedTuple):
    """The files that a correction changes and removes; they were checked as a whole catalogue."""

    files: dict[str, str]
    gone: tuple[str, ...]


def look_at_list(
    file: Path, folder: Path | None, version: str, unit: Unit, given: Given
) -> IntakeAnswer:
    """Return the result of a list for a catalogue in the state `version`, or for a new one."""
    del version  # part of the question: a catalogue of another state has another answer
    return _tried(file, folder, unit, given, agreed=False).answer


def take_list(file: Path, folder: Path | None, unit: Unit, given: Given, title: str) -> Looked:
    """Return the result of a list with the files that it makes; the folder is not changed."""
    found = _tried(file, folder, unit, given, agreed=True)
    if folder is None and found.files:
        head = head_text(title, found.answer.currency)
        return found._replace(files={**found.files, HEAD: head})
    return found


def _tried(file: Path, folder: Path | None, unit: Unit, given: Given, *, agreed: bool) -> Looked:
    told = told_of(given, unit)
    with tempfile.TemporaryDirectory() as work:
        new = Path(work) / "catalogue"
        if folder is not None:
            shutil.copytree(folder, new)
        try:
            answer = intake(file, new, told=told, agreed=agreed)
        except InputError as error:
            error.file = "the list" if Path(error.file).name == file.name else Path(error.file).name
            error.message = error.message.replace(str(new), "the catalogue")
            raise
        answer = answer.model_copy(update={"file": "", "folder": ""})
        if not (agreed and answer.taken_in):
            return Looked(answer, {}, ())
        return Looked(answer, *_changed(_texts(folder), _texts(new)))


def _texts(folder: Path | None) -> dict[str, bytes]:
    paths = () if folder is None else (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths if folder}


def _changed(
    before: Mapping[str, bytes], now: Mapping[str, bytes]
) -> tuple[dict[str, str], tuple[str, ...]]:
    files = {name: text.decode() for name, text in now.items() if before.get(name) != text}
    return files, tuple(name for name in before if name not in now)


def correct_table(
    folder: Path,
    family: str,
    table: str,
    changes: tuple[tuple[int, str, str], ...],
    added: tuple[tuple[str, str], ...],
    dropped: tuple[int, ...],
) -> Corrected:
    """Return the files of a catalogue with cells of a table as typed: row, column, text.

    `added` are the cells of a new row, `dropped` the rows to remove.
    """
    rows: dict[int, dict[str, str]] = {}
    for row, column, text in changes:
        rows.setdefault(row, {})[column] = text
    files, gone = catalogue_change.corrected_table(folder, table, rows, dict(added), dropped)
    catalogue_change.check_change(folder, files, gone, family, equal_job)
    return Corrected(files, gone)


def correct_sheet(
    folder: Path, family: str, values: tuple[tuple[str, Typed], ...], dropped: tuple[str, ...]
) -> Corrected:
    """Return the file of a family's sheet with figures as typed, by their path."""
    files = corrected_sheet(folder, family, dict(values), dropped)
    catalogue_change.check_change(folder, files, (), family, equal_job)
    return Corrected(files, ())


def tables_of(folder: Path, version: str, family: str) -> tuple[TableShown, ...]:
    """Return the rows of a family as they stand in the tables of the state `version`."""
    del version
    return catalogue_change.tables_shown(folder, family)


def summed_up(folder: Path, version: str) -> CatalogueReview:
    """Return a summary of every family of a catalogue in the state `version`."""
    del version
    families = families_of(folder)
    if len(families) < 2:
        return review(read_catalogue(folder), __version__)
    return review_families([_read(folder, family) for family in families], __version__)


def _read(folder: Path, family: str) -> Read:
    try:
        return family, read_catalogue(folder, family)
    except InputError as error:
        return family, error
