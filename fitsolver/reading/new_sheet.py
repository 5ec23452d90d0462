"""A readings sheet for a new job: what its words leave open is asked, or said beside it."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final, get_args

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import TICKS_PER, Unit, exact_text, parse_unit
from fitsolver.reading.hints import shown
from fitsolver.reading.quantities import length_of, parse_axis
from fitsolver.reading.readings_grid import NumberedRow, laid_out, other_unit
from fitsolver.reading.readings_sheet import (
    LEAST_BORE,
    MOST_DIAL,
    READ_AS,
    ReadAs,
    check_merged,
    sheets_of,
    table_from,
    text_rows,
    units_of,
)
from fitsolver.reading.sheet_words import (
    in_headings,
    not_laid_out,
    reworded,
    unknown_in,
    unknown_words,
)
from fitsolver.reading.tables import Table
from fitsolver.reading.unanswered import UnansweredError

FIELD: Final = "readings"
#: No bore of this trade is larger (ticks): common practice, no source.
_LARGEST: Final = 1000 * TICKS_PER["mm"]
#: Few bores are deeper (ticks): common practice, no source.
_DEEP: Final = 400 * TICKS_PER["mm"]
#: A worn bore differs less from its family's standard bore (percent): common practice, no source.
_NEAR: Final = 15


@dataclass(frozen=True)
class Said:
    """What is said of a readings sheet beside it; empty: the sheet says so itself.

    `sheet` is which of a workbook, `words` what words of it mean, `read_as` what its figures are,
    `unit` and `depth_unit` those of figures and depths which name none. `bore` is about what the
    bores measure (ticks).
    """

    sheet: str = ""
    words: tuple[tuple[str, str], ...] = ()
    read_as: str = ""
    unit: str = ""
    depth_unit: str = ""
    bore: int | None = None

    @property
    def reads_otherwise(self) -> bool:
        """Whether a job that names the sheet would not read it as is said."""
        return bool(self.sheet or self.words or self.unit or self.depth_unit)

    @property
    def kind(self) -> ReadAs | None:
        """What the figures are said to be; InputError for what they cannot be."""
        found = next((kind for kind in READ_AS if kind == self.read_as), None)
        if self.read_as and found is None:
            raise _no_answer("readings_as", self.read_as, READ_AS)
        return found

    def unit_of(self, unit: Unit) -> Unit:
        """Return the unit of figures that name none: what is said, else that of the job."""
        return _unit_said("readings_unit", self.unit, unit)

    def unit_of_depths(self, unit: Unit) -> Unit:
        """Return the unit of depths that name none."""
        return _unit_said("depth_unit", self.depth_unit, unit)


def _unit_said(field: str, said: str, unit: Unit) -> Unit:
    try:
        return parse_unit(said) if said else unit
    except ValueError as error:
        raise _no_answer(field, said, get_args(Unit)) from error


def _no_answer(field: str, found: str, allowed: Sequence[str]) -> InputError:
    return InputError(
        "unknown word",
        row="new job",
        field=field,
        found=shown(found),
        allowed=", ".join(allowed),
    )


def rows_of(path: Path, sheet: str) -> tuple[list[NumberedRow], str]:
    """Return the rows of a file, or of one sheet of a workbook, and what separates their cells.

    Raises UnansweredError where several sheets may be meant.
    """
    if path.suffix.lower() != ".xlsx":
        if sheet:
            raise InputError(
                "this file has no sheets", file=str(path), field="sheet", found=shown(sheet),
                allowed="a sheet of an .xlsx workbook",
            )  # fmt: skip
        return text_rows(path)
    sheets = sheets_of(path)
    if sheet:
        named = [title for title in sheets if title.casefold() == sheet.casefold()]
        if not named:
            raise _which(path, list(sheets), shown(sheet))
        return sheets[named[0]], ""
    found = [title for title, rows in sheets.items() if _has_readings(str(path), rows)]
    if len(found or sheets) > 1:
        raise _which(path, found or list(sheets), shown(", ".join(found or sheets)))
    return (sheets[found[0]] if found else next(iter(sheets.values()), [])), ""


def _has_readings(file: str, rows: Sequence[NumberedRow]) -> bool:
    try:
        return laid_out(file, rows) is not None
    except InputError:
        return True  # laid out as readings, and something is wrong in it


def _which(path: Path, titles: Sequence[str], found: str) -> UnansweredError:
    return UnansweredError(
        "one sheet of the workbook has the readings",
        answers="sheet",
        question=f"Which sheet has the readings? ({', '.join(titles)})",
        file=str(path),
        field=FIELD,
        found=found,
        allowed="--sheet NAME",
    )


def sheet_table(
    path: Path, rows: list[NumberedRow], separator: str, said: Said, unit: Unit
) -> Table:
    """Return the readings of a sheet as a table of one reading a row.

    Raises UnansweredError for words, units or figures of which the sheet says too little, and
    InputError for what no answer helps.
    """
    file, typed = str(path), rows
    rows = reworded(rows, said.words)
    laid = laid_out(file, rows)
    words = in_headings(rows) if laid is None else list(unknown_in(laid.rows[0][1]))
    if words and (asked := unknown_words(file, words)):
        raise asked
    if laid is None:
        raise not_laid_out(file, rows) or InputError(
            "no headings say where the readings of this sheet were taken",
            file=file,
            field=FIELD,
            allowed="columns depth, axis and diameter (or dial); or a grid with depth before the "
            "rows, and thrust or pin over the columns",
        )
    check_merged(file, typed, laid)
    own = said.unit_of(unit)
    table = table_from(file, laid, separator, own, said.kind, titled=False)
    _check_axes(table)
    if not said.unit:
        _check_units(table, laid.titles, said, unit)
    elif not said.depth_unit and "depth" not in table.units:
        _ask_depths(table, own, unit)
    return table


def _check_axes(table: Table) -> None:
    """Ask what the axes are that are none."""
    at, odd = table.columns["axis"], []
    for _, cells in table.rows:
        try:
            parse_axis(cells[at])
        except ValueError:
            odd.append(cells[at])
    asked = unknown_words(table.file, list(filter(None, odd)))
    if asked is not None:
        raise asked


def _check_units(table: Table, titles: str, said: Said, unit: Unit) -> None:
    """Ask for the unit where a title names another one, or no bore has such sizes in this one."""
    titled = other_unit(titles, units_of(table, unit))
    if titled is not None:
        raise _unit_asked(table.file, f"a title says {titled}", unit, titled)
    kind: ReadAs = "dial" if "dial" in table.columns else "diameter"
    if kind in table.units or any(_is_named(table, cells, kind) for _, cells in table.rows):
        return
    figures = [cells[table.columns[kind]] for _, cells in table.rows]
    check_unit(table.file, figures, kind, said, unit)


def check_unit(file: str, figures: Sequence[str], kind: ReadAs, said: Said, unit: Unit) -> None:
    """Raise UnansweredError where no bore has such figures in this unit."""
    sizes = _lengths(figures, unit)
    far = min(map(abs, sizes), default=0) > TICKS_PER["mm"]  # no dial is zeroed so far off
    in_another = kind == "dial" and (said.bore is not None or far) and any(
        sizes != [] and _can_be(sizes, "diameter", said)
        for sizes in (_lengths(figures, other) for other in get_args(Unit))
    )  # fmt: skip
    if not sizes or said.unit or (_can_be(sizes, kind, said) and not in_another):
        return
    likely = _likely(figures, unit, said)
    what = f"{exact_text(min(sizes), unit)} to {exact_text(max(sizes), unit)}"
    about = "" if said.bore is None else f", the family's bore is {exact_text(said.bore, unit)}"
    raise _unit_asked(file, f"they are {what} in {unit}{about}", unit, likely)


def _ask_depths(table: Table, own: Unit, unit: Unit) -> None:
    """Ask for the unit of depths where it need be neither the job's nor that of the figures."""
    depths = [cells[table.columns["depth"]] for _, cells in table.rows]
    depths = [depth for depth in depths if not depth[-1:].isalpha()]
    base: Unit = "in" if own in ("in", "thou") else "mm"
    if not depths or base == unit:
        return
    seen = f"{depths[0]} to {depths[-1]}"
    likely = next((u for u in (base, unit) if max(_lengths(depths, u)) <= _DEEP), unit)
    raise UnansweredError(
        "the unit of these depths is not sure",
        answers="depth_unit",
        question=f"In which unit are the depths, {seen}? (mm, in)",
        proposed={"": likely},
        file=table.file,
        field=FIELD,
        found=seen,
        allowed="--depth-unit UNIT (mm, in), or the unit in the heading, as depth [mm]",
    )


def _is_named(table: Table, cells: Sequence[str], kind: ReadAs) -> bool:
    """Tell whether a row names the unit of its figure."""
    at = table.columns.get("unit")
    return cells[table.columns[kind]][-1:].isalpha() or bool(at is not None and cells[at])


def _lengths(figures: Sequence[str], unit: Unit) -> list[int]:
    found = []
    for figure in filter(None, figures):
        with suppress(ValueError):  # what is no length is refused where it is read
            found.append(length_of(figure, unit))
    return found


def _likely(figures: Sequence[str], unit: Unit, said: Said) -> str:
    """Return another unit in which the figures can be sizes of the bore, else dial deviations."""
    system: tuple[Unit, ...] = ("in", "thou") if unit in ("in", "thou") else ("mm", "um")
    units: tuple[Unit, ...] = (*system, *(u for u in get_args(Unit) if u not in system))
    for kind in READ_AS:
        for other in units:
            sizes = _lengths(figures, other)
            if other != unit and sizes and _can_be(sizes, kind, said):
                return other
    return ""


def _can_be(sizes: Sequence[int], kind: ReadAs, said: Said) -> bool:
    """Tell whether figures can be sizes of the bore, or dial deviations, as they are taken."""
    if said.read_as not in {"", kind}:
        return False
    if kind == "dial":
        return all(abs(size) <= MOST_DIAL for size in sizes)
    if said.bore is None:
        return all(LEAST_BORE <= size <= _LARGEST for size in sizes)
    return all(abs(size - said.bore) * 100 <= _NEAR * said.bore for size in sizes)


def _unit_asked(file: str, why: str, unit: Unit, likely: str) -> UnansweredError:
    units = ", ".join(get_args(Unit))
    return UnansweredError(
        "the unit of these readings is not sure",
        answers="readings_unit",
        question=f"In which unit are the readings? {why[0].upper()}{why[1:]} ({units})",
        proposed={"": likely} if likely else None,
        file=file,
        field=FIELD,
        found=f"{why}, and bare numbers are in {unit} here",
        allowed=f"--readings-unit UNIT ({units})" + (f", as {likely}" if likely else ""),
    )


def typed_rows(table: Table, said: Said, unit: Unit) -> dict[str, list[tuple[str, str, str]]]:
    """Return depth, axis and figure of every reading by cylinder, as the job has to say them."""
    own, of_depths = said.unit_of(unit), said.unit_of_depths(unit)
    kind = "dial" if "dial" in table.columns else "diameter"
    found: dict[str, list[tuple[str, str, str]]] = {}
    for _, cells in table.rows:
        cell = {name: cells[at] for name, at in table.columns.items()}
        in_unit = cell.get("unit") or table.units.get(kind, own)
        depth = with_unit(cell["depth"], table.units.get("depth", of_depths), unit)
        figure = with_unit(cell[kind], in_unit, unit)
        found.setdefault(cell["cylinder"] or "1", []).append((depth, cell["axis"], figure))
    return found


def with_unit(text: str, own: str, unit: Unit) -> str:
    """Return a length of a unit of its own as a job in another one says it."""
    return text if own == unit or text[-1:].isalpha() else f"{text} {own}"
