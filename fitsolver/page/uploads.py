"""Files that a visitor sends: counted, weighed, and never opened by the name they came with."""

from __future__ import annotations

import copy
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from fastapi import UploadFile

from fitsolver.base.errors import InputError
from fitsolver.page.bench import text_like
from fitsolver.page.content import Content, said_plainly, tables
from fitsolver.reading.files import LARGEST, MemoryFile, MemoryFolder, read_text
from fitsolver.reading.job_file import job_of
from fitsolver.reading.job_text import job_content
from fitsolver.reading.owners import with_family
from fitsolver.reading.readings import SUFFIXES
from fitsolver.reading.toml_file import read_toml

_MOST_FILES: Final = 12
#: Letters of a file's name that a refusal shows.
_LONGEST_NAME: Final = 60
#: Size keys of a cylinder without a readings sheet.
_SIZES: Final = ("readings", "finished_size")
_SHEET: Final = re.compile(
    rf"[\w .\-]{{1,80}}({'|'.join(map(re.escape, SUFFIXES))})", re.IGNORECASE
)


async def contents(files: Sequence[UploadFile], most: int = _MOST_FILES) -> list[tuple[str, bytes]]:
    """Return the names and bytes of the files sent; raises InputError for too many or too large."""
    sent = [file for file in files if file.filename]
    if not sent:
        raise InputError("no file was sent")
    if len(sent) > most:
        raise InputError("too many files", found=len(sent), allowed=f"at most {most}")
    found = []
    for file in sent:
        content = await file.read(LARGEST + 1)
        if len(content) > LARGEST:
            raise InputError("the file is too large", allowed=f"at most {LARGEST // 10**6} MB")
        found.append((str(file.filename), content))
    return found


def job_from(files: Sequence[tuple[str, bytes]], catalogue: Path, key: str) -> str:
    """Return the text of a job that was sent with the readings sheets it names.

    The text then holds the readings itself. `key` is its catalogue, whose folder holds its family's
    sheet; everything else stays as written. A page has no shop file. Raises InputError for an
    invalid job, and for a sheet that was not sent with it.
    """
    jobs = [(name, content) for name, content in files if name.lower().endswith(".toml")]
    if len(jobs) != 1:
        raise InputError(
            "send one job file",
            found=f"{len(jobs)} ending in .toml",
            allowed="one, with its sheets",
        )
    name = Path(jobs[0][0].replace("\\", "/")).name[-_LONGEST_NAME:]
    file = MemoryFile(name, jobs[0][1])
    own = read_toml(file)
    data = with_family(own, Path(name), catalogue)
    sheets = sheets_of(data, [file for file in files if file != jobs[0]])
    try:
        read = job_content(job_of(data, Path(name), sheets))
    except ValueError as error:
        raise InputError("this job cannot be kept", found=str(error)) from error
    data = {**_with_readings(said_plainly(own), read), "catalogue": key}
    return text_like(read_text(file), data)


def _with_readings(own: Mapping[str, object], read: Mapping[str, object]) -> Content:
    """Return a job's content with the readings of its sheets in place of their names."""
    new = copy.deepcopy(dict(own))
    each = new.get("each_cylinder")
    shared = isinstance(each, dict) and each.pop("readings_file", None) is not None
    for cylinder, whole in zip(tables(new, "cylinder"), tables(read, "cylinder"), strict=True):
        named = cylinder.pop("readings_file", None) is not None
        if named or (shared and not any(key in cylinder for key in _SIZES)):
            cylinder["readings"] = whole["readings"]
    return new


def sheets_of(data: Mapping[str, object], files: Sequence[tuple[str, bytes]]) -> MemoryFolder:
    """Return the readings sheets that were sent with the content of a job.

    Raises InputError for a file of another kind, and for a sheet that the job names but that was
    not sent.
    """
    sheets = {_base(name): content for name, content in files}
    _check_sheets(data, sheets)
    return MemoryFolder("job", sheets)


def without_folder(error: InputError) -> InputError:
    """Return a refusal that names a file without its folder on this machine."""
    if not error.file:
        return error
    told = copy.copy(error)
    told.file = Path(error.file).name
    return told


def _base(name: str) -> str:
    base = Path(name.replace("\\", "/")).name
    if not _SHEET.fullmatch(base):
        raise InputError(
            "this is no readings sheet",
            found=base[:60],
            allowed=f"a {', '.join(SUFFIXES[:-1])} or {SUFFIXES[-1]} file",
        )
    return base


def _check_sheets(data: Mapping[str, object], sheets: Mapping[str, bytes]) -> None:
    """Refuse a job that names a file that was not sent with it: no other file is read."""
    cylinders = data.get("cylinder")
    for cylinder in cylinders if isinstance(cylinders, list) else []:
        named = cylinder.get("readings_file") if isinstance(cylinder, dict) else None
        if named is not None and named not in sheets:
            raise InputError(
                "the readings sheet that the job names was not sent with it",
                field="readings_file",
                found=str(named)[:60],
                allowed=", ".join(sheets) or "the job file and its sheets together",
            )
