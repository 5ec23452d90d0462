"""Cells that say the same as the cell above: `"`, `-do-`, `idem`."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from fitsolver.reading.list_sheets import ListSheet

_DITTOS: Final = frozenset(
    (
        '"', "''", '""', "″", "〃", "„", "”", "’’", '-"-', "-''-", '- " -', '--"--', "-do-", "do",
        "do.", "- do -", "-do.-", "ditto", "dito", "dto.", "dto", "idem", "id.", "id", "-id-",
        "-//-", "—//—", "//", "s.o.", "wie oben", "as above", "same", "ibid.", "jw.", "j.w.",
        "dtto", "-//-//-", "detto",
    )
)  # fmt: skip


def without_dittos(sheet: ListSheet) -> ListSheet:
    """Return a sheet in which what stands for the cell above says it."""
    if not any(cell.lower() in _DITTOS for _, cells in sheet.rows for cell in cells if cell):
        return sheet
    rows: list[tuple[int, tuple[str, ...]]] = []
    above: tuple[str, ...] = ()
    for number, cells in sheet.rows:
        said = tuple(
            above[at] if cell.lower() in _DITTOS and at < len(above) else cell
            for at, cell in enumerate(cells)
        )
        rows.append((number, said))
        if sum(map(bool, said)) > 1:
            above = said
    return replace(sheet, rows=tuple(rows))
