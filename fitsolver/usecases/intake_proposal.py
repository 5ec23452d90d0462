"""How a list may be read: its layout, its mapping, the wording of its descriptions."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.reading.list_figures import currency_of, decimal_mark
from fitsolver.reading.list_headings import Role
from fitsolver.reading.list_layout import Layout, is_heading, layout_of
from fitsolver.reading.list_mapping import ListMapping, check_layout
from fitsolver.reading.list_patterns import read_description
from fitsolver.reading.list_rows import lines_of
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_unfold import Unfolded, unfolded
from fitsolver.reading.list_wording import Wording, proposed
from fitsolver.reading.list_words import plain


@dataclass(frozen=True)
class Proposal:
    """How a list may be read: its sheets with their layouts, the mapping, sheets left out.

    `main` is the layout of the largest sheet, of which questions are asked; `unsure` are sheets
    with other columns that would need questions of their own: their rows are named. `unfolded`
    tells of tables side by side and of sizes across; `repeats` are hidden sheets whose numbers
    stand on the others.
    `told` are the columns that a person or a mapping file names; `wording` is None where the
    patterns were known.
    """

    sheets: tuple[tuple[ListSheet, Layout], ...]
    main: Layout
    mapping: ListMapping
    left_out: tuple[str, ...]
    told: frozenset[Role] = frozenset()
    wording: Wording | None = None
    unsure: tuple[tuple[ListSheet, Layout], ...] = ()
    unfolded: Unfolded | None = None
    repeats: tuple[str, ...] = ()


def proposal(
    sheets: Sequence[ListSheet],
    file: str,
    *,
    units: Unit = "mm",
    told: ListMapping | None = None,
) -> Proposal:
    """Return how a list may be read, from its headings and contents, and from what is told.

    Raises InputError where no sheet has a column that could be a part number.
    """
    mapping = told or ListMapping(units=units)
    _check_turned(sheets, file)
    tables = unfolded(sheets, mapping.sizes_across, mapping.number_joint)
    sheets = tables.sheets
    named = frozenset(mapping.columns)
    found = _laid_out(sheets, mapping.columns, named)
    if not found and mapping.headings:
        check_layout(mapping, _most_texts(sheets), file)
    if not found:
        raise InputError(
            "no column of this list could be a part number",
            file=file,
            allowed="a list with a number, a description or sizes, a price and the stock; or name "
            "the column: --column number=HEADING",
        )
    main = max(found, key=lambda item: len(item[0].rows))[1]
    columns = {**_columns(main), **mapping.columns}
    mapping = replace(mapping, columns=columns, headings=mapping.headings or main.titles)
    all_laid_out = _laid_out(sheets, columns, named)
    laid_out = _without_repeats(all_laid_out)
    taken = tuple(one for one in laid_out if one[1].titles == main.titles or one[1].is_sure)
    if mapping.decimal is None:
        mapping = replace(mapping, decimal=decimal_mark(_cells(taken, "price")))
    if not mapping.currency:
        mapping = replace(mapping, currency=currency_said(taken))
    wording = None
    if not mapping.patterns:
        wording = _wording(taken, mapping)
        mapping = replace(mapping, patterns=wording.patterns)
    left_out = {sheet.name for sheet in sheets} - {sheet.name for sheet, _ in all_laid_out}
    repeats = tuple(sheet.name for sheet, layout in all_laid_out if (sheet, layout) not in laid_out)
    unsure = tuple(one for one in laid_out if one not in taken)
    return Proposal(
        taken, main, mapping, tuple(sorted(left_out)), named, wording, unsure, tables, repeats
    )


def _most_texts(sheets: Sequence[ListSheet]) -> Sequence[str]:
    """Return the row that looks most like headings: texts alone, most of them known."""
    rows = [cells for sheet in sheets for _, cells in sheet.rows[:_TOP]]
    return max(rows, key=lambda cells: sum(map(is_heading, filter(None, cells))), default=())


def _laid_out(
    sheets: Sequence[ListSheet], columns: Mapping[Role, str], named: Collection[Role]
) -> tuple[tuple[ListSheet, Layout], ...]:
    """Return the sheets that have a column of part numbers; one has the headings that it has."""
    found = []
    for sheet in sheets:
        here = {plain(cell) for _, cells in sheet.rows[:_TOP] for cell in cells}
        own = {
            role: heading
            for role, heading in columns.items()
            if not heading or len(sheets) == 1 or plain(heading) in here
        }
        layout = layout_of(sheet, own, named)
        if layout is not None:
            found.append((sheet, layout))
    return tuple(found)


def _check_turned(sheets: Sequence[ListSheet], file: str) -> None:
    """Raise InputError where the headings of a sheet stand below each other, articles across."""
    for sheet in (one for one in sheets if len(one.rows) <= _TOP):
        firsts = [next(iter(cells), "") for _, cells in sheet.rows]
        width = max(len(cells) for _, cells in sheet.rows)
        known = sum(is_heading(text) for text in firsts)
        across = max(sum(map(is_heading, filter(None, cells))) for _, cells in sheet.rows)
        if len(firsts) < width and known >= _HEADED and 2 * known > len(firsts) and across < 2:
            raise InputError(
                "this sheet is turned: its headings stand below each other",
                file=file,
                field=sheet.name,
                allowed="a row an article: copy it and paste it transposed",
            )


_HEADED: Final = 4


def _without_repeats(
    found: Sequence[tuple[ListSheet, Layout]],
) -> tuple[tuple[ListSheet, Layout], ...]:
    """Return the sheets without hidden ones most of whose numbers stand on visible sheets."""
    numbers = {
        sheet.name: {
            layout.cell(cells, "number") for row, cells in sheet.rows if row > layout.heading_row
        }
        - {""}
        for sheet, layout in found
    }
    seen = {n for sheet, _ in found if not sheet.hidden for n in numbers[sheet.name]}
    return tuple(
        one
        for one in found
        if not one[0].hidden or 2 * len(numbers[one[0].name] & seen) < len(numbers[one[0].name])
    )


#: Rows in which the headings of a sheet stand.
_TOP: Final = 40


_HAS_FIGURE: Final = re.compile(r"\d").search


def _columns(layout: Layout) -> dict[Role, str]:
    return {role: layout.title(at) for role, at in layout.places.items()}


def _cells(taken: Sequence[tuple[ListSheet, Layout]], role: Role) -> list[str]:
    found: list[str] = []
    for sheet, layout in taken:
        at = layout.places.get(role)
        if at is not None:
            found += [
                cells[at]
                for number, cells in sheet.rows
                if number > layout.heading_row and at < len(cells) and cells[at]
            ]
    return found


def currency_said(taken: Sequence[tuple[ListSheet, Layout]]) -> str:
    """Return the currency that the prices or their heading name, '' where none or several."""
    titles = [
        layout.titles[at]
        for _, layout in taken
        if (at := layout.places.get("price", len(layout.titles))) < len(layout.titles)
    ]
    cells = {*_cells(taken, "price"), *_cells(taken, "currency"), *titles}
    named = set(filter(None, map(currency_of, cells)))
    return named.pop() if len(named) == 1 else ""


def _wording(taken: Sequence[tuple[ListSheet, Layout]], mapping: ListMapping) -> Wording:
    texts = list(lines_of(taken, mapping))
    mark = decimal_mark(texts) or mapping.decimal or "."
    in_text = mapping.columns.get("family", "") and mapping.columns.get(
        "family"
    ) == mapping.columns.get("description")
    return proposed(texts, mapping.units, mark, mapping.articles, families=bool(in_text))


def families_said(found: Proposal) -> list[str]:
    """Return the engine types that the descriptions seem to name; none where few rows share one.

    One alone may be any word of the trade; with a figure in it, it is a name.
    """
    mapping = found.mapping
    texts = list(lines_of(found.sheets, mapping))[:2_000]
    mark = decimal_mark(texts) or mapping.decimal or "."
    patterns = proposed(texts, mapping.units, mark, mapping.articles, families=True).patterns
    said = Counter(
        described.family
        for text in texts
        if (described := read_description(text, patterns)) and described.family
    )
    several = [name for name, rows in said.most_common() if rows > 1]
    rows = sum(said[name] for name in several)
    named = len(several) > 1 or any(map(_HAS_FIGURE, several))
    return several if named and rows > len(texts) / 2 else []
