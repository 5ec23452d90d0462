"""A text table read in passing: cells and rows beyond the limits are refused before they are kept.

The tokenizer that reads the table holds whole rows, so one cell of a gigabyte would be held too.
"""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any, BinaryIO, Final

import numpy as np

from fitsolver.base.errors import InputError
from fitsolver.reading.limits import LONGEST_CELL, MOST_COLUMNS, cell_too_long

#: Bytes of the rows that are held at a time, and of the header.
HELD: Final = 1 << 24
_LONGEST_HEADER: Final = LONGEST_CELL * MOST_COLUMNS
#: The most bytes that a character takes.
_WIDEST: Final = 4
#: Cells that rows may lack in all, and how many more for each cell that is there.
_MOST_MISSING: Final = 10_000_000
_MISSING: Final = 30
_QUOTE: Final = ord('"')


class Limited(io.RawIOBase):
    """The bytes below the header of a table, looked through as they are read.

    Raises InputError for a cell that is too long, for a row with too many cells, for very many
    rows that lack nearly all of the header's `columns`, and for more bytes than `allow` allowed.
    """

    def __init__(self, path: Path, stream: BinaryIO, separator: str, columns: int) -> None:
        self._path, self._stream, self._columns = path, stream, columns
        self._ends = np.zeros(256, np.bool_)
        self._ends[[ord("\n"), ord("\r"), ord(separator)]] = True
        self._open, self._cells, self._quoted = bytearray(), 0, -1
        self._allowed, self._closing = HELD, False
        self.read_so_far, self.lines, self._there = 0, 0, 0
        self.refused: InputError | None = None

    def allow(self, most: int) -> None:
        """Permit that many more bytes to be read."""
        self._allowed = self.read_so_far + most

    def readable(self) -> bool:
        """Tell that this is read from."""
        return True

    def readinto(self, into: Any) -> int:
        """Read some bytes and look through them."""
        some = self._stream.read(len(into))
        if some and self.refused is None:
            try:
                self._look(some)
            except InputError as error:
                self.refused = error
                raise
        into[: len(some)] = some
        return len(some)

    def _look(self, some: bytes) -> None:
        self.read_so_far += len(some)
        if self.read_so_far > self._allowed:
            raise self._error("rows of this table are too long", f"{HELD >> 20} MB together")
        at = np.frombuffer(some, np.uint8)
        ends = np.flatnonzero(self._ends[at])
        if _QUOTE in some or self._quoted >= 0:
            self._quotes(some)
        self._gaps(some, ends)
        self._rows(at[ends])

    def _gaps(self, some: bytes, ends: Any) -> None:
        """Refuse a text between two separators that is too long."""
        starts = np.concatenate(([0], ends + 1))
        lengths = np.concatenate((ends, [len(some)])) - starts
        lengths[0] += len(self._open)
        for long in np.flatnonzero(lengths > LONGEST_CELL):
            first, whole = int(starts[long]), int(lengths[long])
            inside = bytes(self._open) if long == 0 else b""
            text = inside + some[first : first + whole - len(inside)]
            if len(text) > _WIDEST * LONGEST_CELL or _letters(text) > LONGEST_CELL:
                row = self.lines + some.count(b"\n", 0, first) + 1
                raise cell_too_long(str(self._path), row)
        if len(ends):
            self._open.clear()
        self._open += some[int(starts[-1]) :]

    def _rows(self, ends: Any) -> None:
        """Refuse a row of too many cells."""
        breaks = np.flatnonzero(ends == ord("\n"))
        cells = np.diff(np.concatenate(([-1 - self._cells], breaks, [len(ends)])))
        if cells.max() > MOST_COLUMNS:
            self.lines += int(np.argmax(cells > MOST_COLUMNS))
            raise self._error("this row has too many cells", f"at most {MOST_COLUMNS}")
        self._cells = int(cells[-1]) - 1
        self.lines += len(breaks)
        self._there += len(ends)
        if self.lines * self._columns > _MOST_MISSING + _MISSING * self._there:
            raise self._error("rows of this table have far fewer cells than its header", "all")

    def _quotes(self, some: bytes) -> None:
        """Refuse a cell in quotes that is too long with the separators in it.

        `_quoted` is the length of the cell that is open at the end of what was read, or -1.
        """
        begun, at = -self._quoted - 1 if self._quoted >= 0 else None, 0
        if self._closing:  # unless the quote that ended the last bytes is the first of two
            at, begun = (1, begun) if some[:1] == b'"' else (0, None)
            self._closing = False
        while True:
            found = some.find(b'"', at)
            if begun is not None:
                until = found if found >= 0 else len(some)
                if until - begun > _WIDEST * LONGEST_CELL:
                    raise cell_too_long(str(self._path), None)
            if found < 0:
                break
            at = found + 1
            if begun is None:
                before = some[found - 1] if found else (self._open or b"\n")[-1]
                begun = found if self._ends[before] else None
            elif some[at : at + 1] == b'"':
                at += 1
            elif at == len(some):
                self._closing = True
            else:
                begun = None
        self._quoted = -1 if begun is None else len(some) - begun - 1

    def _error(self, message: str, allowed: str) -> InputError:
        return InputError(message, file=str(self._path), row=self.lines + 1, allowed=allowed)


def _letters(text: bytes) -> int:
    """Return how many characters a cell of these bytes of UTF-8 has."""
    return len(text.replace(b'""', b'"').strip(b'"').decode("utf-8", "replace"))


def header_line(path: Path, stream: BinaryIO) -> str:
    """Return the first line of a table; raises InputError where it is too long."""
    line = stream.readline(_LONGEST_HEADER + 1)
    if len(line) > _LONGEST_HEADER:
        raise InputError(
            "the header is too long", file=str(path), row=1, allowed=f"at most {_LONGEST_HEADER}"
        )
    return line.decode("utf-8-sig")
