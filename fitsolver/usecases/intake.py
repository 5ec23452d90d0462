"""A price or stock list taken into a catalogue."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.reading.list_figures import currency_of, decimal_mark
from fitsolver.reading.list_layout import Layout, layout_of
from fitsolver.reading.list_mapping import ListMapping
from fitsolver.reading.list_patterns import proposed
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_words import Role


@dataclass(frozen=True)
class Proposal:
    """How a list may be read: its sheets with their layouts, the mapping, sheets left out."""

    sheets: tuple[tuple[ListSheet, Layout], ...]
    mapping: ListMapping
    left_out: tuple[str, ...]


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
    known = told or ListMapping(units=units)
    found = [(sheet, layout_of(sheet, known.columns)) for sheet in sheets]
    taken = tuple((sheet, layout) for sheet, layout in found if layout is not None)
    if not taken:
        raise InputError(
            "no column of this list could be a part number",
            file=file,
            allowed="a list with a number, a description or sizes, a price and the stock",
        )
    mapping = known
    if not known.columns:
        mapping = replace(mapping, columns=_columns(taken), headings=taken[0][1].titles)
    if mapping.decimal is None:
        mapping = replace(mapping, decimal=decimal_mark(_cells(taken, "price")))
    if not mapping.currency:
        mapping = replace(mapping, currency=_currency(taken))
    if not mapping.patterns:
        mapping = replace(mapping, patterns=_patterns(taken, mapping))
    return Proposal(taken, mapping, tuple(s.name for s, layout in found if layout is None))


def _columns(taken: Sequence[tuple[ListSheet, Layout]]) -> dict[Role, str]:
    layout = taken[0][1]
    return {
        role: layout.titles[at] if at < len(layout.titles) else ""
        for role, at in layout.places.items()
    }


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


def _currency(taken: Sequence[tuple[ListSheet, Layout]]) -> str:
    """Return the currency that the prices or their heading name, '' where it differs or is none."""
    titles = [layout.titles[layout.places["price"]] for _, layout in taken
              if "price" in layout.places and layout.places["price"] < len(layout.titles)]  # fmt: skip
    cells = (*_cells(taken, "price"), *_cells(taken, "currency"), *titles)
    named = set(filter(None, map(currency_of, cells)))
    return named.pop() if len(named) == 1 else ""


def _patterns(
    taken: Sequence[tuple[ListSheet, Layout]], mapping: ListMapping
) -> tuple[str, ...]:
    texts = _cells(taken, "description")
    mark = decimal_mark(texts) or mapping.decimal or "."
    return tuple(pattern for pattern, _ in proposed(texts, mapping.units, mark))
