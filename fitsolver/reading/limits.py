"""How large a table may be: far above any sheet of this trade, and read in seconds.

They hold while a file is read, before what is too large is kept.
"""

from __future__ import annotations

from typing import Final

from fitsolver.base.errors import InputError

#: Characters of one cell.
LONGEST_CELL: Final = 2_000
#: Columns and rows of one table, and cells of one text file.
MOST_COLUMNS: Final = 1_000
MOST_ROWS: Final = 200_000
MOST_CELLS: Final = 2_000_000
#: Cells of a price list: those of sales programs have many columns that say nothing here.
MOST_LIST_CELLS: Final = 4_000_000
#: Cells of one workbook, empty ones between filled ones too: each takes ten times as long.
MOST_WORKBOOK_CELLS: Final = 150_000
#: Bytes of a file of settings (TOML), which is read letter by letter.
LARGEST_TOML: Final = 2_000_000


def check_cells(file: str, row: int, cells: list[str]) -> None:
    """Raise InputError for a row with too many cells, or one that is too long."""
    if len(cells) > MOST_COLUMNS:
        raise InputError(
            "this row has too many cells",
            file=file,
            row=row,
            found=len(cells),
            allowed=f"at most {MOST_COLUMNS}",
        )
    if max(map(len, cells), default=0) > LONGEST_CELL:
        raise cell_too_long(file, row)


def cell_too_long(file: str, row: int | None, field: str = "") -> InputError:
    """Return the refusal of a cell by its length."""
    return InputError(
        "this cell is too long",
        file=file,
        row=row,
        field=field,
        allowed=f"at most {LONGEST_CELL} characters",
    )


def too_many(file: str, what: str, found: int | str, most: int) -> InputError:
    """Return the refusal of a table by its rows or cells."""
    return InputError(
        f"the table has too many {what}", file=file, found=found, allowed=f"at most {most}"
    )
