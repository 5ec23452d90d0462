"""Workbooks that are small on the disk and huge when read, written as text into a zip file."""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Final

_MAIN: Final = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_DOCUMENT: Final = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE: Final = "http://schemas.openxmlformats.org/package/2006"
_TYPES: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_SMALL_STYLES: Final = f'<styleSheet xmlns="{_MAIN}"/>'

Text = str | Iterable[str]


def write(path: Path, sheet: Text, strings: Text = "", styles: Text = _SMALL_STYLES,
          sheets: int = 1, doctype: str = "") -> Path:  # fmt: skip
    """Write a workbook of these parts; a part may come in pieces."""
    listed = "".join(f'<sheet name="s{n}" sheetId="{n + 1}" r:id="r1"/>' for n in range(sheets))
    parts: dict[str, Text] = {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types">'
        f'<Override PartName="/xl/workbook.xml" ContentType="{_TYPES}.sheet.main+xml"/>'
        f'<Override PartName="/xl/styles.xml" ContentType="{_TYPES}.styles+xml"/>'
        f'<Override PartName="/xl/sheet1.xml" ContentType="{_TYPES}.worksheet+xml"/>'
        f'<Override PartName="/xl/strings.xml" ContentType="{_TYPES}.sharedStrings+xml"/></Types>',
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_DOCUMENT}">'
        f"<sheets>{listed}</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">'
        f'<Relationship Id="r1" Type="{_DOCUMENT}/worksheet" Target="sheet1.xml"/>'
        "</Relationships>",
        "xl/styles.xml": styles,
        "xl/strings.xml": strings or f'<sst xmlns="{_MAIN}"/>',
        "xl/sheet1.xml": (f'{doctype}<worksheet xmlns="{_MAIN}"><sheetData>', *_pieces(sheet),
                          "</sheetData></worksheet>"),
    }  # fmt: skip
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for name, text in parts.items():
            with archive.open(name, "w") as stream:
                for piece in _pieces(text):
                    stream.write(piece.encode())
    return path


def _pieces(text: Text) -> Iterable[str]:
    return (text,) if isinstance(text, str) else text


def text_cell(text: str) -> str:
    """A cell that holds a text itself."""
    return f'<c t="inlineStr"><is><t>{text}</t></is></c>'


def _sst(item: str, count: int) -> Text:
    return (f'<sst xmlns="{_MAIN}">', *(item * 1000 for _ in range(count // 1000)), "</sst>")


def _rows(count: int, row: str) -> Text:
    return (row * 1000 for _ in range(count // 1000))


_ONE = f"<row>{text_cell('cylinder')}</row>"
_BOMB = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">' + "".join(
    f'<!ENTITY {chr(98 + n)} "{f"&{chr(97 + n)};" * 10}">' for n in range(9)
) + "]>"  # fmt: skip

#: What is written, by what is too much in it.
HOSTILE: Final[dict[str, Callable[[Path], Path]]] = {
    "a header cell of 20 MB": lambda p: write(p, f"<row>{text_cell('a' * 20_000_000)}</row>"),
    "long texts": lambda p: write(p, _rows(20_000, f"<row>{text_cell('a' * 1900)}</row>")),
    "many cells": lambda p: write(p, _rows(60_000, f"<row>{'<c><v>1</v></c>' * 20}</row>")),
    "empty cells": lambda p: write(p, _rows(1_000_000, "<row><c/><c/></row>")),
    "cells as many as may be": lambda p: write(
        p, _rows(49_000, f"<row>{text_cell('x') * 2}</row>")
    ),
    "numbers as many as may be": lambda p: write(
        p, _rows(14_000, f"<row>{'<c><v>62.123456</v></c>' * 10}</row>")
    ),
    "empty rows": lambda p: write(p, _rows(3_000_000, "<row/>")),
    "far away": lambda p: write(p, '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'),
    "shared texts": lambda p: write(p, _ONE, _sst("<si><t>a</t></si>", 1_000_000)),
    "shared texts as many as may be": lambda p: write(p, _ONE, _sst("<si><t>a</t></si>", 99_000)),
    "rich texts": lambda p: write(
        p, _ONE, _sst("<si><r><rPr><b/><i/></rPr><t>a</t></r></si>", 200_000)
    ),
    "styles": lambda p: write(
        p, _ONE, "", (f'<styleSheet xmlns="{_MAIN}"><cellXfs>', *(["<xf/>" * 1000] * 3000),
                      "</cellXfs></styleSheet>")),
    "styles as many as may be": lambda p: write(
        p, _ONE, "", (f'<styleSheet xmlns="{_MAIN}"><cellXfs>', *(["<xf/>" * 1000] * 49),
                      "</cellXfs></styleSheet>")),
    "a tag of 50 MB": lambda p: write(p, f"<row><c {'a' * 50_000_000}='1'/></row>"),
    "an attribute of 5 MB": lambda p: write(p, f"<row><c s='{'1' * 5_000_000}'/></row>"),
    "entities": lambda p: write(p, f"<row>{text_cell('&j;')}</row>", doctype=_BOMB),
    "unpacks to 190 MB": lambda p: write(p, (" " * 1_000_000 for _ in range(190))),
    "sheets": lambda p: write(p, _ONE, sheets=40_000),
    "one sheet many times": lambda p: write(
        p, _rows(10_000, f"<row>{'<c/>' * 10}</row>"), sheets=20
    ),
    "one filled sheet many times": lambda p: write(
        p, _rows(14_000, f"<row>{'<c><v>62.31</v></c>' * 10}</row>"), sheets=20
    ),
    "one filled sheet too many times": lambda p: write(p, _ONE, sheets=21),
    "nested": lambda p: write(p, "<row>" + "<c>" * 100_000 + "</c>" * 100_000 + "</row>"),
    "formulas": lambda p: write(
        p, _rows(20_000, f'<row><c><f t="shared" si="1">{"A1+" * 600}1</f></c></row>')
    ),
}  # fmt: skip


def many_parts(path: Path) -> Path:
    """Write a zip file of very many empty parts."""
    with zipfile.ZipFile(path, "w") as archive:
        for number in range(60_000):
            archive.writestr(f"{number}", "")
    return path
