"""The book as a plain file: a head, then one entry a line, as JSON; and back.

Equal books give equal bytes, independently of the order of their entries.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Final, NoReturn

from pydantic import ValidationError

from fitsolver.base.errors import InputError
from fitsolver.book.entries import canonical, check_entry
from fitsolver.book.finding import in_order
from fitsolver.reading.files import unreadable
from fitsolver.reading.hints import shown
from fitsolver.records.book import BookEntry

#: Counted up when the lines change; a file of a later format is refused.
FORMAT: Final = 1
_HEAD: Final = {"fitsolver_book": FORMAT}
_ALLOWED: Final = "a file that `fitsolver book export` wrote"


def to_lines(entries: Iterable[BookEntry]) -> Iterator[str]:
    """Yield the lines of an export, each with its line break."""
    yield json.dumps(_HEAD) + "\n"
    for entry in in_order(list(entries)):
        yield canonical(entry) + "\n"


def read_lines(file: Path) -> list[str]:
    """Return the lines of a text file; InputError where it cannot be read, or is no text."""
    try:
        with file.open(encoding="utf-8") as stream:
            return list(stream)
    except UnicodeDecodeError as error:
        raise InputError("this is no text (UTF-8)", file=str(file), allowed=_ALLOWED) from error
    except (OSError, ValueError) as error:
        raise unreadable(file, error, "file") from error


def from_lines(lines: Iterable[str], file: str) -> list[BookEntry]:
    """Return the entries of an export; a referenced entry precedes those that refer to it.

    Raises InputError with the line for an invalid or changed entry, and for one of a newer program.
    """
    numbered = ((number, line) for number, line in enumerate(lines, start=1) if line.strip())
    _check_head(numbered, file)
    entries: dict[str, BookEntry] = {}
    for number, line in numbered:
        entry = _entry(line, file, number)
        entries[entry.key] = entry
    return list(_referred_first(entries))


def _check_head(numbered: Iterator[tuple[int, str]], file: str) -> None:
    number, line = next(numbered, (1, ""))
    head = _json(line, file, number)
    found = head.get("fitsolver_book") if isinstance(head, dict) else None
    if not isinstance(found, int) or isinstance(found, bool) or found < 1:
        raise InputError("this is no exported book", file=file, row=number, allowed=_ALLOWED)
    if found > FORMAT:
        raise InputError(
            "this was exported by a newer program",
            file=file,
            row=number,
            field="fitsolver_book",
            found=found,
            allowed=f"up to {FORMAT}",
        )


def _entry(line: str, file: str, number: int) -> BookEntry:
    content = _json(line, file, number)
    try:
        entry = BookEntry.model_validate_json(line)
        check_entry(entry)
    except ValidationError as error:
        first = error.errors()[0]
        raise InputError(
            f"this is no entry of a book ({first['msg']})",
            file=file,
            row=number,
            field=".".join(map(str, first["loc"])),
            found=shown(content),
            allowed=_ALLOWED,
        ) from error
    except InputError as error:
        raise InputError(
            error.message,
            file=file,
            row=number,
            field=error.field,
            found=error.found,
            allowed=error.allowed or _ALLOWED,
        ) from error
    return entry


def _json(line: str, file: str, number: int) -> Any:
    def no_number(text: str) -> NoReturn:
        raise ValueError(f"{text} is no number here")

    try:
        return json.loads(line, parse_constant=no_number)
    except (ValueError, RecursionError) as error:
        raise InputError(
            "this line is no JSON",
            file=file,
            row=number,
            found=shown(line.strip()),
            allowed=_ALLOWED,
        ) from error


def _referred_first(entries: dict[str, BookEntry]) -> Iterator[BookEntry]:
    """Yield entries in topological order of reference; the keys exclude cycles."""
    done: set[str] = set()
    for entry in entries.values():
        waiting = [entry]
        while waiting:
            one = waiting[-1]
            needed = [entries.get(key) for key in (one.job, one.withdraws) if key]
            open_ones = [other for other in needed if other and other.key not in done]
            if open_ones:
                waiting.extend(open_ones)
                continue
            waiting.pop()
            if one.key not in done:
                done.add(one.key)
                yield one
