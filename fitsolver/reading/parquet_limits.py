"""The unpacked size of the columns of a Parquet file, before they are unpacked.

The sizes in the file's own directory cannot be trusted. The header of every page states the memory
that is really allocated for it. Headers are Thrift's compact protocol (Apache Parquet, format 2.x,
"PageHeader": field 2 is the size unpacked, field 3 the size as stored).
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any, BinaryIO, Final

from fitsolver.base.errors import InputError
from fitsolver.reading.limits import MOST_COLUMNS

#: Bytes of one page unpacked, of the directory at the end of a file; pages of all columns read.
LARGEST_PAGE: Final = 32_000_000
_LARGEST_DIRECTORY: Final = 16_000_000
_MOST_PAGES: Final = 100_000
_LONGEST_HEADER: Final = 1 << 16
_DEEPEST: Final = 16
_UNPACKED, _STORED = 2, 3


def check_directory(path: Path) -> None:
    """Raise InputError where the directory at the end of the file is too large."""
    with path.open("rb") as stream:
        stream.seek(0, 2)
        stream.seek(max(0, stream.tell() - 8))
        tail = stream.read()
    size = int.from_bytes(tail[:4], "little")
    if tail[4:] in (b"PAR1", b"PARE") and size > _LARGEST_DIRECTORY:
        raise _too_large(path, "directory", size, _LARGEST_DIRECTORY)


def check_pages(path: Path, metadata: Any, titles: Iterable[str]) -> None:
    """Raise InputError where a page of these columns would be too large unpacked.

    `metadata` is the file's own directory, as pyarrow reads it.
    """
    if metadata.num_columns > MOST_COLUMNS:
        raise InputError(
            "the table has too many columns", file=str(path), found=metadata.num_columns,
            allowed=f"at most {MOST_COLUMNS}",
        )  # fmt: skip
    wanted, pages = set(titles), 0
    with path.open("rb") as stream:
        for group in range(metadata.num_row_groups):
            columns = metadata.row_group(group)
            for number in range(metadata.num_columns):
                column = columns.column(number)
                if column.path_in_schema in wanted:
                    pages += _pages(path, stream, column)
                    if pages > _MOST_PAGES:
                        raise _too_large(path, "number of pages", pages, _MOST_PAGES)


def _pages(path: Path, stream: BinaryIO, column: Any) -> int:
    """Look at the headers of a column's pages; return how many there are."""
    begins = [column.data_page_offset]
    if column.has_dictionary_page:
        begins.append(column.dictionary_page_offset)
    at = min(begins)
    end, pages = at + column.total_compressed_size, 0
    while at < end and pages <= _MOST_PAGES:
        stream.seek(at)
        header = _Header(stream.read(min(_LONGEST_HEADER, end - at)))
        try:
            found = header.numbers()
            unpacked, stored = found[_UNPACKED], found[_STORED]
        except (IndexError, KeyError) as error:
            raise InputError("a page of this table cannot be read", file=str(path)) from error
        if max(unpacked, stored) > LARGEST_PAGE:
            raise _too_large(path, "page", max(unpacked, stored), LARGEST_PAGE)
        if stored < 0 or unpacked < 0:
            raise InputError("a page of this table cannot be read", file=str(path))
        at, pages = at + header.at + stored, pages + 1
    return pages


def _too_large(path: Path, what: str, found: int, most: int) -> InputError:
    return InputError(
        f"the {what} of this table is too large", file=str(path), found=f"{found:,}",
        allowed=f"at most {most:,}",
    )  # fmt: skip


class _Header:
    """The header of a page; raises IndexError where it is cut short or invalid."""

    def __init__(self, content: bytes) -> None:
        self.content, self.at = content, 0

    def numbers(self) -> dict[int, int]:
        """Return its whole numbers by their fields, and go behind it."""
        return self._struct(0)

    def _struct(self, depth: int) -> dict[int, int]:
        if depth > _DEEPEST:
            raise IndexError
        found: dict[int, int] = {}
        field = 0
        while kind := self._byte():
            step, kind = kind >> 4, kind & 15
            field = field + step if step else self._signed()
            if kind in (4, 5, 6):
                found[field] = self._signed()
            elif kind not in (1, 2):  # true and false stand in the kind itself
                self._skip(kind, depth)
        return found

    def _skip(self, kind: int, depth: int) -> None:
        """Go behind a value of another kind."""
        if kind in (1, 2, 3):
            self._byte()
        elif kind in (4, 5, 6):
            self._varint()
        elif kind == 7:
            self.at += 8
        elif kind == 8:
            length = self._varint()
            self.at += length
        elif kind in (9, 10):
            head = self._byte()
            for _ in range(head >> 4 if head >> 4 < 15 else self._varint()):
                self._skip(head & 15, depth + 1)
        elif kind == 12:
            self._struct(depth + 1)
        else:  # maps do not occur in it
            raise IndexError

    def _byte(self) -> int:
        self.at += 1
        return self.content[self.at - 1]

    def _signed(self) -> int:
        number = self._varint()
        return (number >> 1) ^ -(number & 1)

    def _varint(self) -> int:
        found = shift = 0
        while shift < 70:
            byte = self._byte()
            found |= (byte & 127) << shift
            if byte < 128:
                return found
            shift += 7
        raise IndexError
