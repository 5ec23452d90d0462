"""The log of passes: plain text, one entry a line, only ever added to.

    cylinder, strokes, stones, bore temperature, depth axis figure, depth axis figure, ...

`40` or `35 s` in the second field, `31.5` (°C) or nothing in the fourth. Figures are of the kind
that the cylinder's readings in the job are: dial deviations or diameters. `#` begins a comment. An
entry counts once its line break is written. Every entry is forced to the disk before it is
answered. A last line without its break is torn: it is kept aside, never completed.

`1, taken back` undoes the last valid entry of cylinder 1 and the doubts accepted since; both lines
stay. A comment `# accept pass 3/2/14/thrust` records that a doubted figure was accepted by name.
Other comments are ignored.
"""

from __future__ import annotations

import csv
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Final, NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.honing.log_line import Where, _cylinder, _refused, entry_line, parse_entry
from fitsolver.records.hone import HonePass
from fitsolver.records.job import Job

HEADER: Final = (
    "# cylinder, strokes (or '35 s'), stones, bore in degrees C, depth axis figure, ...\n"
)
_ACCEPT: Final = "# accept "
_TAKEN_BACK: Final = "taken back"
_MOST_BYTES: Final = 10_000_000


class Entry(NamedTuple):
    """An entry and the line it stands on; line 0 is not written yet."""

    line: int
    done: HonePass


class LogText(NamedTuple):
    """A log as it stands in its file: the bytes, and what messages call the file."""

    content: bytes
    file: str

    @property
    def whole(self) -> bytes:
        """The lines that end with a line break."""
        return self.content[: self._cut]

    @property
    def torn(self) -> bytes:
        """What stands after the last line break."""
        return self.content[self._cut :]

    @property
    def _cut(self) -> int:
        return self.content.rfind(b"\n") + 1


class Log(NamedTuple):
    """What a log holds: its entries, the ids of the doubts that it accepts, a last line that
    was cut off (`torn`, empty where none was), and the entries that were `taken_back` and of
    whose cylinder nothing was entered since."""

    entries: tuple[Entry, ...]
    torn: str = ""
    accepted: frozenset[str] = frozenset()
    taken_back: tuple[Entry, ...] = ()


def read_log(path: Path, job: Job) -> Log:
    """Return what the log in a file holds; see `parse_log`. The file is not touched."""
    return parse_log(log_text(path), job)


def log_text(path: Path) -> LogText:
    """Return a log as it stands in its file; a missing file is an empty log.

    Raises InputError where the file cannot be read or is larger than any log.
    """
    try:
        with path.open("rb") as file:
            return LogText(file.read(_MOST_BYTES + 1), str(path))
    except FileNotFoundError:
        return LogText(b"", str(path))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise InputError(f"the log cannot be read ({reason})", file=str(path)) from error


def parse_log(log: LogText, job: Job) -> Log:
    """Return what a log holds.

    Raises InputError with the line for an invalid entry, for one that names a cylinder the
    job does not have, and for more text than any log has.
    """
    _check_size(log)
    held = _Held()
    for number, raw in enumerate(log.whole.split(b"\n")[:-1], start=1):
        try:
            line = raw.decode("utf-8").strip()
        except UnicodeDecodeError as error:
            raise _refused(log.file, number, "", "this line is not text (UTF-8)", raw) from error
        where = Where(log.file, number)
        if line.startswith(_ACCEPT):
            held.accepted.append((number, line.removeprefix(_ACCEPT).strip()))
        elif (name := _undoes(line)) is not None:
            held.take_back(_cylinder(where, job, name).name, where)
        elif line and not line.startswith("#"):
            held.enter(Entry(number, parse_entry(line, job, file=log.file, line=number)))
    return held.log(log.torn.decode("utf-8", errors="replace"))


def taking_back(cylinder: str) -> str:
    """Return the line of a log that takes back the last entry of a cylinder."""
    return entry_line((cylinder, _TAKEN_BACK))


def _undoes(line: str) -> str | None:
    """Return the cylinder whose last entry a line takes back; None for any other line."""
    before, _, last = line.rpartition(",")
    if last.strip().strip('"').lower() != _TAKEN_BACK:
        return None
    cells = next(csv.reader([before], skipinitialspace=True), [])
    return cells[0].strip() if len(cells) == 1 else None


class _Held:
    """The lines of a log read so far."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []
        self.accepted: list[tuple[int, str]] = []
        self.back: dict[str, Entry] = {}

    def enter(self, entry: Entry) -> None:
        self.entries.append(entry)
        self.back.pop(entry.done.cylinder, None)

    def take_back(self, name: str, where: Where) -> None:
        """Undo the last entry of a cylinder, and the doubts accepted for it since: another reading
        of the same place is another figure."""
        undone = next((e for e in reversed(self.entries) if e.done.cylinder == name), None)
        if undone is None:
            raise where.refused(
                "cylinder", "no entry of this cylinder is left to take back", name, "an entry first"
            )
        self.entries.remove(undone)
        self.back[name] = undone
        self.accepted = [
            (line, named)
            for line, named in self.accepted
            if line < undone.line or f"/{name}/" not in f"{named}/"
        ]

    def log(self, torn: str) -> Log:
        accepted = frozenset(named for _, named in self.accepted)
        return Log(tuple(self.entries), torn, accepted, tuple(self.back.values()))


def append_entry(path: Path, line: str, accepted: Sequence[str] = ()) -> None:
    """Add one entry and force it to the disk; a torn last line is first moved to `FILE.torn`.

    The ids of the doubts of it that were `accepted` stand behind it. Raises InputError when the
    file cannot be written.
    """
    held = log_text(path)
    _check_size(held)
    torn = held.torn
    try:
        if torn:
            _add(path.with_name(path.name + ".torn"), torn + b"\n")
            with path.open("r+b") as file:
                file.truncate(path.stat().st_size - len(torn))
                os.fsync(file.fileno())
        start = "" if path.exists() and path.stat().st_size else HEADER
        lines = [*([line.strip()] if line else []), *(_ACCEPT + name for name in accepted)]
        _add(path, (start + "".join(f"{text}\n" for text in lines)).encode())
    except OSError as error:
        raise InputError(
            f"the log cannot be written ({error.strerror or error}); this entry is not in it",
            file=str(path),
            found=line,
        ) from error


def _check_size(log: LogText) -> None:
    if len(log.content) > _MOST_BYTES:
        raise InputError("this is no log: it is larger than 10 MB", file=log.file)


def _add(path: Path, content: bytes) -> None:
    new = not path.exists()
    with path.open("ab") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    if new and os.name == "posix":  # a new name in a folder is on the disk with the folder
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
