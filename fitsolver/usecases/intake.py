"""A price or stock list taken into a catalogue."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.base.version import __version__
from fitsolver.base.whole_folder import change_folder, step_back
from fitsolver.reading.catalogue_folder import HEAD
from fitsolver.reading.family_sheet import family_sheets
from fitsolver.reading.list_catalogue import (
    OWN,
    PISTONS,
    UNCLEAR,
    clearance_of,
    differences,
    files_of,
    head_text,
    sheet_name,
    sheet_text,
    sold_before,
)
from fitsolver.reading.list_figures import Mark, currency_of, decimal_mark
from fitsolver.reading.list_layout import Layout, layout_of
from fitsolver.reading.list_mapping import MAPPING, ListMapping, check_layout, read_mapping
from fitsolver.reading.list_patterns import proposed
from fitsolver.reading.list_rows import articles_of, standard_bores
from fitsolver.reading.list_sheets import ListSheet, read_sheets
from fitsolver.reading.list_words import Kind, Role
from fitsolver.records.intake import Article, Asked, ColumnRead, IntakeAnswer, Unclear


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
    mapping = told or ListMapping(units=units)
    found = _laid_out(sheets, mapping.columns)
    if not found:
        raise InputError(
            "no column of this list could be a part number",
            file=file,
            allowed="a list with a number, a description or sizes, a price and the stock",
        )
    largest = max(found, key=lambda item: len(item[0].rows))[1]
    columns = {**_columns(largest), **mapping.columns}
    mapping = replace(mapping, columns=columns, headings=mapping.headings or largest.titles)
    taken = _laid_out(sheets, columns)
    if mapping.decimal is None:
        mapping = replace(mapping, decimal=decimal_mark(_cells(taken, "price")))
    if not mapping.currency:
        mapping = replace(mapping, currency=_currency(taken))
    if not mapping.patterns:
        mapping = replace(mapping, patterns=_patterns(taken, mapping))
    left_out = {sheet.name for sheet in sheets} - {sheet.name for sheet, _ in taken}
    return Proposal(taken, mapping, tuple(sorted(left_out)))


def _laid_out(
    sheets: Sequence[ListSheet], columns: Mapping[Role, str]
) -> tuple[tuple[ListSheet, Layout], ...]:
    found = ((sheet, layout_of(sheet, columns)) for sheet in sheets)
    return tuple((sheet, layout) for sheet, layout in found if layout is not None)


def _columns(layout: Layout) -> dict[Role, str]:
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
    """Return the currency that the prices or their heading name, '' where none or several."""
    titles = [
        layout.titles[at]
        for _, layout in taken
        if (at := layout.places.get("price", len(layout.titles))) < len(layout.titles)
    ]
    cells = (*_cells(taken, "price"), *_cells(taken, "currency"), *titles)
    named = set(filter(None, map(currency_of, cells)))
    return named.pop() if len(named) == 1 else ""


def _patterns(taken: Sequence[tuple[ListSheet, Layout]], mapping: ListMapping) -> tuple[str, ...]:
    texts = _cells(taken, "description")
    mark = decimal_mark(texts) or mapping.decimal or "."
    return tuple(pattern for pattern, _ in proposed(texts, mapping.units, mark))


@dataclass(frozen=True)
class Told:
    """What a person answered: each goes before what the list or the mapping file says.

    `clearance` by family, '' = all, lowest and highest in ticks.
    """

    units: Unit | None = None
    decimal: Mark | None = None
    currency: str | None = None
    lead_days: int | None = None
    stock_only: bool | None = None
    family: str | None = None
    kind: Kind | None = None
    columns: Mapping[Role, str] = field(default_factory=dict)
    clearance: Mapping[str, tuple[int, int]] = field(default_factory=dict)


def intake(
    list_file: str | Path, into: str | Path, *, told: Told | None = None, agreed: bool = False
) -> IntakeAnswer:
    """Take a price or stock list into a catalogue folder, or only look at it.

    It is written when nothing is left to ask, and the layout is known from the mapping file of
    the folder or `agreed`. The folder is changed whole or not at all. Raises InputError for a list
    that cannot be read, for a mapping file of another layout, and for a folder whose catalogue was
    not made by an intake.
    """
    list_file, folder = Path(list_file), Path(into)
    sheets = read_sheets(list_file)
    file = folder / MAPPING
    known = read_mapping(file) if file.is_file() else None
    _check_own(folder, known is not None)
    found = proposal(sheets, str(list_file), told=_with(known or ListMapping(), told or Told()))
    if known is not None:
        check_layout(found.mapping, found.sheets[0][1].titles, str(list_file))
    articles, unclear, rows = articles_of(found.sheets, found.mapping)
    articles, unclear = _sellable(articles, unclear)
    bores = {**found.mapping.standard_bore, **standard_bores(articles)}
    mapping = replace(found.mapping, standard_bore=bores)
    asked = tuple(_asked(found, mapping, articles))
    before = sold_before(folder) if known is not None else {}
    new, gone, changed = differences(before, articles)
    write = not asked and (known is not None or agreed) and bool(articles)
    if write:
        _write(folder, articles, unclear, mapping)
    return IntakeAnswer(
        program_version=__version__,
        file=str(list_file),
        folder=str(folder),
        unit=mapping.units,
        currency=mapping.currency,
        taken_in=write,
        known_layout=known is not None,
        columns=tuple(_columns_read(found)),
        patterns=mapping.patterns,
        asked=asked,
        rows=rows,
        articles=tuple(articles),
        unclear=tuple(unclear),
        new=tuple(new) if before else (),
        gone=tuple(gone),
        changed=tuple(changed),
        cautions=tuple(_cautions(found, articles, unclear)),
    )


def _check_own(folder: Path, known: bool) -> None:
    if known:
        return
    if (folder / PISTONS).exists():
        raise InputError(
            "this catalogue was not made from a list: it has no mapping file",
            file=str(folder),
            allowed=f"a new folder, or one with {MAPPING}",
        )
    if folder.is_dir() and any(folder.iterdir()) and not (folder / HEAD).is_file():
        raise InputError(
            "this folder holds other things than a catalogue",
            file=str(folder),
            allowed=f"a new or empty folder, or one with {HEAD}",
        )


def _with(mapping: ListMapping, told: Told) -> ListMapping:
    """Return a mapping with what a person answered in its place."""
    single = {
        name: value
        for name in ("units", "decimal", "currency", "lead_days", "stock_only", "family", "kind")
        if (value := getattr(told, name)) is not None
    }
    return replace(
        mapping,
        **single,
        columns={**mapping.columns, **told.columns},
        clearance={**mapping.clearance, **told.clearance},
    )


def _sellable(
    articles: Sequence[Article], unclear: Sequence[Unclear]
) -> tuple[list[Article], list[Unclear]]:
    """Return the articles without rings: a list without gaps and widths says too little of them."""
    rings = [item for item in articles if item.kind == "rings"]
    left = [
        Unclear(
            sheet=item.sheet,
            row=item.row,
            number=item.number,
            description=item.description,
            field="description",
            reason="rings by themselves need gap and width: put them into rings.csv",
        )
        for item in rings
    ]
    found = sorted([*unclear, *left], key=lambda item: (item.sheet, item.row))
    return [item for item in articles if item.kind != "rings"], found


#: What a list nearly always has: a column that is not found is asked for, not taken as empty.
_NEEDED: Final[dict[Role, str]] = {
    "description": "the description",
    "price": "the price",
    "stock": "the pieces in stock",
}


def _asked(found: Proposal, mapping: ListMapping, articles: Sequence[Article]) -> Iterator[Asked]:
    """Yield what the list leaves open."""
    places = found.sheets[0][1].places
    for role, what in _NEEDED.items():
        if role not in places and role not in mapping.columns:
            yield Asked(
                question=f"which column holds {what}?",
                option=f'--column {role}="HEADING", or --column {role}= where there is none',
            )
    if "price" in places and not mapping.currency:
        yield Asked(question="in which currency are the prices?", option='--currency "EUR"')
    if "price" in places and mapping.decimal is None:
        yield Asked(
            question="is the decimal mark of the prices a point or a comma?",
            option="--decimal comma, or --decimal point",
        )
    if "lead_days" not in places and mapping.lead_days is None and not mapping.stock_only:
        yield Asked(
            question="in how many days does an article come that is not in stock?",
            option="--lead-days 6, or --lead-days none: only what is in stock can be had",
        )
    missing = [
        family
        for family in dict.fromkeys(a.family for a in articles if a.nominal_bore is not None)
        if clearance_of(family, mapping) is None
    ]
    if missing:
        shown_ = ", ".join(missing[:3]) + (
            f" and {len(missing) - 3} more" if len(missing) > 3 else ""
        )
        yield Asked(
            question="which clearance does the maker give between a piston and the bore it is made "
            f"for, lowest and highest ({shown_})?",
            option='--clearance "0.045 0.055", or for one family --clearance "P62: 0.045 0.055"',
        )


def _columns_read(found: Proposal) -> Iterator[ColumnRead]:
    layout = found.sheets[0][1]
    for role, at in sorted(layout.places.items(), key=lambda item: item[1]):
        title = layout.titles[at] if at < len(layout.titles) else ""
        yield ColumnRead(role=role, heading=title or f"column {at + 1}", sure=layout.sure[role])


def _cautions(
    found: Proposal, articles: Sequence[Article], unclear: Sequence[Unclear]
) -> Iterator[str]:
    if any(item.nominal_bore is not None for item in articles):
        yield (
            "Skirt sizes are not in this list: every piston stands as made for its bore with the "
            "maker's clearance. Measure it before the last pass."
        )
        yield "Rings of piston kits are not in this list: their gaps were not looked at."
    if found.left_out:
        yield f"Sheets without a part number were left out: {', '.join(found.left_out)}."
    hidden = [sheet.name for sheet, _ in found.sheets if sheet.hidden]
    if hidden:
        yield f"Hidden sheets were read too: {', '.join(hidden)}."
    if unclear:
        yield f"Rows that are not taken in stand in {UNCLEAR}, each with its reason."


def _write(
    folder: Path,
    articles: Sequence[Article],
    unclear: Sequence[Unclear],
    mapping: ListMapping,
) -> None:
    files = files_of(articles, unclear, mapping)
    gone = [name for name in OWN if name not in files]
    if not (folder / HEAD).is_file():
        files[HEAD] = head_text(folder.absolute().name, mapping.currency)
    known = family_sheets(folder) if folder.is_dir() else {}
    for family, bore in mapping.standard_bore.items():
        if family not in known:
            name = sheet_name(family, lambda name: name in files or (folder / name).exists())
            files[name] = sheet_text(family, bore, clearance_of(family, mapping))
    change_folder(folder, files, gone)


def undo_intake(folder: Path) -> None:
    """Put back the state of a catalogue folder before the last list was taken in."""
    step_back(folder)
