"""The family sheets of a catalogue on the disk, and the one of a job."""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from pathlib import Path

from fitsolver.reading.family_sheet import FOLDER, SHEET, as_named, family_sheets
from fitsolver.reading.files import MemoryFolder, Parts


class FamilyFiles:
    """The path of each family's sheet, looked up again when a file changes."""

    def __init__(self) -> None:
        self._found: dict[Path, tuple[Hashable, dict[str, Path]]] = {}

    def of(self, folder: Path, family: str) -> Parts:
        """Return a catalogue's folder; of several families, only the file of one where it has it.

        Raises InputError as reading the sheets does.
        """
        if not family or not folder.is_dir():
            return folder
        stamp, files = self._found.get(folder, (None, {}))
        if stamp != (now := stamp_of(folder)):
            files = {name: Path(sheet.file) for name, sheet in family_sheets(folder).items()}
            self._found[folder] = now, files
        file = files.get(as_named(family, files))
        if file is None or len(files) == 1:
            return folder
        return MemoryFolder(str(folder), {file.relative_to(folder).as_posix(): file.read_bytes()})


def stamp_of(folder: Path) -> Hashable:
    """Return a stamp that changes with the family sheets of a catalogue."""
    return tuple(_stamps(folder))


def _stamps(folder: Path) -> Iterator[tuple[str, int, int]]:
    for path in (folder, folder / SHEET, *folder.glob(f"{FOLDER}/*.toml")):
        if path.is_file():
            told = path.stat()
            yield path.name, told.st_mtime_ns, told.st_size
