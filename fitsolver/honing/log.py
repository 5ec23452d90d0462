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
from fitsolver.base.lengths import parse_length
from fitsolver.reading.hints import shown, unknown
from fitsolver.reading.measuring_figures import parse_temperature
from fitsolver.reading.quantities import parse_axis, parse_count
from fitsolver.records.hone import CountedIn, HonePass
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import WARMEST_PART
from fitsolver.records.readings import Reading

HEADER: Final = (
    "# cylinder, strokes (or '35 s'), stones, bore in degrees C, depth axis figure, ...\n"
)
_ACCEPT: Final = "# accept "
_TAKEN_BACK: Final = "taken back"
_FIELDS: Final = "cylinder, strokes, stones, temperature, then 'depth axis figure' for each reading"
_MOST_BYTES: Final = 10_000_000
#: A reading that differs from the job's by more than its size over this is of another bore.
_FAR: Final = 10


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
        where = _Where(log.file, number)
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

    def take_back(self, name: str, where: _Where) -> None:
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


def parse_entry(text: str, job: Job, *, file: str = "", line: int = 0) -> HonePass:
    """Return the pass that one line of a log tells of; InputError with what is wrong."""
    where = _Where(file, line)
    if text.startswith("#") or not text.replace("\t", " ").isprintable():
        raise where.refused("", "a comment, or more than one line, is no entry", text, _FIELDS)
    try:
        rows = list(csv.reader([text], skipinitialspace=True, strict=True))
    except csv.Error as error:
        raise where.refused("", f"this is no entry ({error})", text) from error
    cells = [cell.strip() for cell in rows[0]] if rows else []
    if len(cells) < 2:
        raise where.refused("", "this is no entry", text, _FIELDS)
    cells += [""] * (4 - len(cells))
    name, passes, stones, warmth, *readings = cells
    cylinder = _cylinder(where, job, name)
    count, counted_in = _count(where, passes)
    temperature = None
    if warmth:
        try:
            temperature = parse_temperature(warmth, WARMEST_PART // 1000)
        except ValueError as error:
            raise where.refused("temperature", str(error), warmth, "degrees C") from error
    found = tuple(_reading(where, job, cylinder, cell) for cell in readings if cell)
    places = [(reading.depth, reading.angle) for reading in found]
    if len(set(places)) != len(places):
        raise where.refused("readings", "one place is read twice in this entry", text)
    if not count and not found:
        raise where.refused("strokes", "an entry has strokes, readings or both", passes)
    return HonePass(
        cylinder=name,
        count=count,
        counted_in=counted_in,
        stones=stones,
        temperature=temperature,
        readings=found,
    )


def entry_line(cells: Sequence[str]) -> str:
    """Return cells (cylinder, strokes, stones, temperature, readings...) as one line of a log."""
    return ", ".join(f'"{c.replace(chr(34), chr(34) * 2)}"' if _quoted(c) else c for c in cells)


def _quoted(cell: str) -> bool:
    return any(mark in cell for mark in ',"') or cell.startswith("#")


class _Where(NamedTuple):
    file: str
    line: int

    def refused(self, field: str, message: str, found: object, allowed: str = "") -> InputError:
        return _refused(self.file, self.line, field, message, found, allowed)


def _refused(
    file: str, line: int, field: str, message: str, found: object, allowed: str = ""
) -> InputError:
    return InputError(
        message,
        file=file if line else "",
        row=line or None,
        field=field,
        found=shown(found),
        allowed=allowed,
    )


def _cylinder(where: _Where, job: Job, name: str) -> Cylinder:
    found = next((item for item in job.cylinders if item.name == name), None)
    if found is None:
        names = [item.name for item in job.cylinders]
        row = where.line or None
        raise unknown("cylinder", name, names, file=where.file, row=row, field="cylinder")
    return found


def _count(where: _Where, text: str) -> tuple[int, CountedIn]:
    seconds = text.endswith("s")
    try:
        count = parse_count(text.removesuffix("s").strip() or "0") if text else 0
    except ValueError as error:
        raise where.refused(
            "strokes", str(error), text, "a whole number from 0, or seconds as '35 s'"
        ) from error
    return count, "seconds" if seconds else "strokes"


def _reading(where: _Where, job: Job, cylinder: Cylinder, cell: str) -> Reading:
    words = cell.split(maxsplit=2)
    if len(words) != 3:
        raise where.refused(
            "readings",
            "a reading has three values",
            cell,
            "depth axis figure, as '10 thrust 62.31'",
        )
    try:
        depth, angle = parse_length(words[0], job.unit), parse_axis(words[1])
        figure = parse_length(words[2], job.unit)
    except ValueError as error:
        raise where.refused("readings", str(error), cell) from error
    known = cylinder.readings[0]
    dial = figure if known.dial is not None and cylinder.zero is not None else None
    size = figure if dial is None or cylinder.zero is None else cylinder.zero.size + dial
    if depth < 0 or abs(size - known.size) * _FAR > known.size:
        kind = "a diameter" if dial is None else "a dial deviation"
        raise where.refused(
            "readings",
            "this is no reading of this bore",
            cell,
            f"a depth from 0, and {kind} as in the job",
        )
    return Reading(depth=depth, angle=angle, size=size, dial=dial)


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
