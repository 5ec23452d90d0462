"""Catalogues read for the page: of several families the first; refusals show no path."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import families_of, read_catalogue
from fitsolver.reading.files import MemoryFolder, Parts
from fitsolver.records.catalogue import Catalogue


def first_of(folder: Parts) -> tuple[tuple[str, ...], Catalogue]:
    """Return the families of a catalogue, and the parts of the first one that can be read.

    Raises InputError if none can be read.
    """
    families = families_of(folder)
    if len(families) < 2:
        return families, read_catalogue(folder)
    refused: InputError | None = None
    for family in families:
        try:
            return families, read_catalogue(folder, family)
        except InputError as error:  # a sheet of which no part is sold
            refused = refused or error
    assert refused is not None
    raise refused


def readable(folder: Path, family: str | None = None) -> Catalogue:
    """Read a catalogue; a refusal shows the file's name without its folder."""
    try:
        return read_catalogue(folder, family)
    except InputError as error:
        raise without_path(error, folder) from error


def without_path(error: InputError, folder: Path) -> InputError:
    """Return the refusal of a catalogue's file without its path on this machine."""
    return InputError(
        error.message.replace(str(folder), "the catalogue"),
        file=Path(error.file).name if error.file else "",
        row=error.row,
        field=error.field,
        found=error.found,
        allowed=error.allowed.replace(str(folder), "the catalogue"),
    )


def catalogue_of(files: Mapping[str, bytes]) -> Catalogue:
    """Return the first family's catalogue of files that were sent; raises InputError."""
    return first_of(MemoryFolder("catalogue", files))[1]
