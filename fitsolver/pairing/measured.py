"""One side of a pairing: bores or pieces as columns, sizes in ticks of 10 nm."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from fitsolver.base.errors import InputError
from fitsolver.records.pairing import MeasuredBore, MeasuredPiece

#: The most faults listed one by one.
_MOST_LISTED = 20


@dataclass(frozen=True)
class Side:
    """Rows of a table: `names` of bores or numbers of pieces; `marks` of pieces (else empty)."""

    file: str
    rows: list[int]
    names: list[str]
    marks: list[str]
    sizes: list[int]
    grades: list[str]
    has_grades: bool

    def __len__(self) -> int:
        return len(self.sizes)

    def bore(self, at: int) -> MeasuredBore:
        """Return one of the bores."""
        return MeasuredBore(
            name=self.names[at], size=self.sizes[at], grade=self.grades[at], row=self.rows[at]
        )

    def piece(self, at: int) -> MeasuredPiece:
        """Return one of the pieces."""
        return MeasuredPiece(
            number=self.names[at],
            piece=self.marks[at],
            size=self.sizes[at],
            grade=self.grades[at],
            row=self.rows[at],
        )

    def label(self, at: int) -> str:
        """Return what one of them is called."""
        return f"{self.names[at]} {self.marks[at]}".strip()


@dataclass
class Faults:
    """What is wrong with the cells of a table: told all together."""

    file: str
    lines: dict[tuple[int, str], str] = field(default_factory=dict)

    def add(self, row: int, name: str, message: str, found: str, allowed: str = "") -> None:
        """Note the fault of a cell; only the first fault of a cell is reported."""
        fault = InputError(
            message, file=self.file, row=row, field=name, found=found or "nothing", allowed=allowed
        )
        self.lines.setdefault((row, name), str(fault))

    def refuse(self) -> None:
        """Raise InputError where anything is wrong."""
        if not self.lines:
            return
        told = [self.lines[key] for key in sorted(self.lines)]
        if len(told) == 1:
            raise InputError(told[0])
        more = [f"and {len(told) - _MOST_LISTED:,} more"] if len(told) > _MOST_LISTED else []
        lines = "\n  ".join([*told[:_MOST_LISTED], *more])
        raise InputError(f"{len(told):,} cells are refused:\n  {lines}")


def side_of_bores(bores: Iterable[MeasuredBore], what: str = "bores") -> Side:
    """Return bores as columns; raises InputError as `checked` does."""
    items = list(bores)
    rows = [item.row or at for at, item in enumerate(items, 1)]
    names, sizes = [item.name for item in items], [item.size for item in items]
    grades = [item.grade for item in items]
    side = Side(what, rows, names, [""] * len(items), sizes, grades, any(grades))
    return checked(side, "name", "size")


def side_of_pieces(pieces: Iterable[MeasuredPiece], what: str = "pieces") -> Side:
    """Return pieces as columns; raises InputError as `checked` does."""
    items = list(pieces)
    rows = [item.row or at for at, item in enumerate(items, 1)]
    numbers, marks = [item.number for item in items], [item.piece for item in items]
    sizes, grades = [item.size for item in items], [item.grade for item in items]
    side = Side(what, rows, numbers, marks, sizes, grades, any(grades))
    return checked(side, "piece", "size")


def checked(side: Side, name: str, size: str, faults: Faults | None = None) -> Side:
    """Return a valid side.

    `name` and `size` are the fields to blame. Raises InputError for an empty table, and for sizes
    of zero or less, missing grades, and duplicate names or marks, all in one message.
    """
    found = faults or Faults(side.file)
    if not len(side):
        found.refuse()
        raise InputError("the table has no rows", file=side.file)
    first: dict[tuple[str, str], int] = {}
    for at, (row, ticks) in enumerate(zip(side.rows, side.sizes, strict=True)):
        if ticks <= 0 and (row, size) not in found.lines:
            found.add(row, size, "a size is above zero", f"{ticks} ticks of 10 nm")
        if side.has_grades and not side.grades[at]:
            found.add(row, "grade", "this row has no grade, others have", "")
        if name == "name" or side.marks[at]:
            key = side.names[at], side.marks[at]
            if side.names[at] and first.setdefault(key, row) != row:
                message = f"is there twice: row {first[key]} has it too"
                found.add(row, name, message, side.label(at), "a name of its own")
    found.refuse()
    return side
