"""A scan of the parts of an .xlsx workbook before they are read, to limit their sizes.

A workbook is a zip file of XML. A few kilobytes may unpack to gigabytes, and every element
becomes an object: each part is unpacked piece by piece, counted, and refused at a limit.
"""

from __future__ import annotations

import re
import zipfile
from dataclasses import dataclass, field
from typing import Any, Final
from xml.parsers import expat

from fitsolver.base.errors import InputError
from fitsolver.reading.limits import (
    LONGEST_CELL,
    MOST_COLUMNS,
    MOST_ROWS,
    MOST_WORKBOOK_CELLS,
    cell_too_long,
    too_many,
)

#: Most bytes of an unpacked workbook: of all its parts, and of its XML parts.
LARGEST_UNPACKED: Final = 200_000_000
_LARGEST_XML: Final = 60_000_000
#: Parts of a workbook; elements besides cells and their texts (styles, columns, properties);
#: texts; bytes of a single tag; characters of an attribute.
MOST_PARTS: Final = 1_000
_MOST_OTHERS: Final = 50_000
_MOST_SHEETS: Final = 20
_MOST_TEXTS: Final = 100_000
_LONGEST_TAG: Final = 1_000_000
_LONGEST_ATTRIBUTE: Final = 8_000
_PIECE: Final = 1 << 16
_CHEAP: Final = frozenset(("row", "c", "v", "t", "si", "is"))
_CELL: Final = re.compile(r"\$?([A-Za-z]{1,3})\$?([0-9]{1,7})")
#: The element that every sheet has once.
_SHEETS: Final = frozenset(("sheetData", "chartsheet", "dialogsheet"))
_TRUE: Final = ("1", "true")
_XML: Final = (".xml", ".rels", ".vml")


@dataclass
class Sheet:
    """The content of a part, if it is a sheet: its extent, and the features that are refused."""

    rows: int = 0
    columns: int = 0
    filled: bool = False
    merged: str = ""
    hidden: int = 0  # the first hidden row
    formula: tuple[int, str, str] | None = None
    merges: list[str] = field(default_factory=list)
    hidden_rows: list[int] = field(default_factory=list)
    hidden_columns: list[tuple[int, int]] = field(default_factory=list)
    unworked: list[tuple[int, int]] = field(default_factory=list)  # formulas without a result


@dataclass
class Scan:
    """Counts over all parts of a workbook; `sheets` by the names of their parts."""

    file: str
    others: int = 0
    texts: int = 0
    cells: int = 0
    rows: int = 0
    listed: int = 0
    there: int = 0
    sheets: dict[str, Sheet] = field(default_factory=dict)


def scan(file: str, archive: zipfile.ZipFile) -> Scan:
    """Return the scan of a workbook. Raises InputError at a limit, ExpatError for invalid XML."""
    parts = archive.infolist()
    unpacked = sum(part.file_size for part in parts)
    if unpacked > LARGEST_UNPACKED:
        raise _too_large(file, unpacked, LARGEST_UNPACKED)
    named = sum(part.file_size for part in parts if part.filename.lower().endswith(_XML))
    if named > _LARGEST_XML:
        raise _too_large(file, named, _LARGEST_XML)
    found = Scan(file)
    for part in parts:
        try:
            found.sheets[part.filename] = _Part(found).read(archive, part)
        except expat.ExpatError:
            if part.filename.lower().endswith(_XML):
                raise
    if found.listed > found.there:  # each listing is read for itself
        raise InputError(
            "the workbook lists a sheet several times or one that it has not", file=file,
            found=found.listed, allowed=f"at most {found.there}",
        )  # fmt: skip
    return found


def _too_large(file: str, size: int, most: int) -> InputError:
    return InputError(
        "the workbook is too large",
        file=file,
        found=f"{size / 1e6:.0f} MB unpacked",
        allowed=f"at most {most // 10**6} MB",
    )


class _Part:
    """Reads one part; the handlers are called element by element."""

    def __init__(self, all_parts: Scan) -> None:
        self._all, self._sheet = all_parts, Sheet()
        self._path: list[str] = []
        self._column, self._letters, self._text = 0, 0, ""
        self._pending = False  # a formula of which no result was seen yet
        self._parser = expat.ParserCreate(namespace_separator=" ")
        self._parser.buffer_text = True
        self._parser.StartElementHandler = self._begin
        self._parser.EndElementHandler = self._end
        self._parser.CharacterDataHandler = self._letter
        self._parser.StartDoctypeDeclHandler = self._doctype

    def read(self, archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> Sheet:
        """Return what the part holds."""
        read = 0
        with archive.open(part) as stream:
            while piece := stream.read(_PIECE):
                self._parser.Parse(piece)
                read += len(piece)
                if read - self._parser.CurrentByteIndex > _LONGEST_TAG:
                    raise self._refusal("a mark in the workbook is too long")
        self._parser.Parse(b"", True)
        return self._sheet

    def _begin(self, tag: str, attributes: dict[str, str]) -> None:
        name = tag.rpartition(" ")[2]
        inside = self._path[-1] if self._path else ""
        self._path.append(name)
        if len(self._path) > 64:
            raise self._refusal("marks in the workbook are nested too deep")
        if attributes and max(map(len, attributes.values())) > _LONGEST_ATTRIBUTE:
            raise self._refusal("a mark in the workbook is too long")
        if name not in _CHEAP:
            self._all.others += 1
            if self._all.others > _MOST_OTHERS:
                raise self._refusal("the workbook has too many styles or properties")
        if name == "sheet" and inside == "sheets":
            self._all.listed += 1
            if self._all.listed > _MOST_SHEETS:
                raise too_many(self._all.file, "sheets", f"over {_MOST_SHEETS}", _MOST_SHEETS)
        self._all.there += name in _SHEETS
        if name == "row" and inside == "sheetData":
            self._row(attributes.get("r"), attributes.get("hidden", "0"))
        elif inside == "row":
            self._cell(attributes.get("r"))
        elif name in ("si", "is"):
            self._letters = 0
            self._all.texts += 1
            if self._all.texts > _MOST_TEXTS:
                raise too_many(self._all.file, "texts", f"over {_MOST_TEXTS}", _MOST_TEXTS)
        else:
            self._begin_other(name, inside, attributes)

    def _begin_other(self, name: str, inside: str, attributes: dict[str, str]) -> None:
        if name == "f" and inside == "c":
            self._pending = True
            self._text = "=" if self._sheet.formula is None else self._text
        elif name == "mergeCell":
            self._sheet.merges.append(attributes.get("ref", "")[:20])
            self._sheet.merged = self._sheet.merged or self._sheet.merges[0]
        elif name == "col" and inside == "cols" and attributes.get("hidden", "0") in _TRUE:
            self._hide_columns(attributes)

    def _row(self, said: str | None, hidden: str) -> None:
        row = self._number(said) if said is not None else self._sheet.rows + 1
        if row <= self._sheet.rows:
            raise self._refusal("rows of the sheet stand twice or in no order")
        self._all.rows += 1
        if self._all.rows > MOST_ROWS:
            raise too_many(self._all.file, "rows", f"over {MOST_ROWS}", MOST_ROWS)
        self._sheet.rows, self._column = row, 0
        if hidden not in ("0", "false"):
            self._sheet.hidden = self._sheet.hidden or row
            self._sheet.hidden_rows.append(row)

    def _hide_columns(self, attributes: dict[str, str]) -> None:
        first = self._number(attributes.get("min", "1"))
        self._sheet.hidden_columns.append((first, self._number(attributes.get("max", str(first)))))

    def _cell(self, said: str | None) -> None:
        column, self._letters = self._column + 1, 0
        if said is not None:
            match = _CELL.fullmatch(said)
            if not match or int(match[2]) != self._sheet.rows:
                raise self._refusal("a cell of the sheet says that it is in another row")
            column = _column_number(match[1])
        if column <= self._column:
            raise self._refusal("cells of the sheet stand twice or in no order")
        self._all.cells += column - self._column
        self._column = column
        self._sheet.columns = max(self._sheet.columns, column)
        if self._all.cells > 2 * MOST_WORKBOOK_CELLS:
            raise too_many(self._all.file, "cells", "more", MOST_WORKBOOK_CELLS)

    def _letter(self, text: str) -> None:
        inside = self._path[-1] if self._path else ""
        if inside in ("v", "t"):
            self._pending = False
            self._letters += len(text)
            self._sheet.filled = self._sheet.filled or bool(text)
            if self._letters > LONGEST_CELL:
                place = "c" in self._path
                raise cell_too_long(self._all.file, self._sheet.rows if place else None)
        elif inside == "f" and self._sheet.formula is None:
            self._text += text[:LONGEST_CELL]

    def _end(self, tag: str) -> None:
        name = self._path.pop()
        if name == "c" and self._pending:
            self._pending = False
            self._sheet.unworked.append((self._sheet.rows, self._column))
        if name == "f" and self._path and self._path[-1] == "c":
            self._sheet.filled = True
            if self._sheet.formula is None:
                coordinate = f"{_column_letters(self._column)}{self._sheet.rows}"
                self._sheet.formula = self._sheet.rows, coordinate, self._text

    def _number(self, text: str) -> int:
        if not text.isdecimal() or not text.isascii() or len(text) > 7:
            raise self._refusal("a row of the sheet has no number")
        return int(text)

    def _doctype(self, *_: Any) -> None:
        raise self._refusal("the workbook defines marks of its own")

    def _refusal(self, message: str) -> InputError:
        return InputError(message, file=self._all.file, allowed="a workbook as a program saves it")


def check_size(file: str, sheet: Sheet) -> None:
    """Raise InputError for a sheet that goes too far, counting the empty cells between."""
    if (
        sheet.rows > MOST_ROWS
        or sheet.columns > MOST_COLUMNS
        or sheet.rows * sheet.columns > MOST_WORKBOOK_CELLS
    ):
        raise InputError(
            "the sheet is too large",
            file=file,
            found=f"{sheet.rows} rows, {sheet.columns} columns",
            allowed=f"at most {MOST_WORKBOOK_CELLS} cells; a larger table as CSV",
        )


def area(reference: str) -> tuple[int, int, int, int] | None:
    """Return the first row and column and the last ones of an area as `A3:B7`, None for no area.

    Rows and columns count from 1.
    """
    first, _, last = reference.partition(":")
    cells = _CELL.fullmatch(first), _CELL.fullmatch(last or first)
    if cells[0] is None or cells[1] is None:
        return None
    (top, left), (bottom, right) = ((int(c[2]), _column_number(c[1])) for c in cells if c)
    return top, left, bottom, right


def _column_number(letters: str) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def _column_letters(number: int) -> str:
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
