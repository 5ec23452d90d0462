"""A price or stock list taken into a catalogue."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.base.version import __version__
from fitsolver.base.whole_folder import change_folder, step_back
from fitsolver.reading.catalogue_tables import HEAD
from fitsolver.reading.family_sheet import family_sheets
from fitsolver.reading.list_catalogue import (
    OTHERS,
    OWN,
    PISTON_KINDS,
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
from fitsolver.reading.list_kinds import Kind, phrase
from fitsolver.reading.list_layout import Layout, layout_of
from fitsolver.reading.list_mapping import MAPPING, ListMapping, check_layout, read_mapping
from fitsolver.reading.list_patterns import read_description
from fitsolver.reading.list_rows import articles_of, lines_of
from fitsolver.reading.list_sheets import ListSheet, read_sheets
from fitsolver.reading.list_sizes import standard_bores
from fitsolver.reading.list_wording import Wording, proposed
from fitsolver.reading.list_words import Role
from fitsolver.records.intake import Article, Asked, ColumnRead, IntakeAnswer, Unclear
from fitsolver.usecases.intake_asked import (
    alike,
    bore_asked,
    columns_asked,
    family_asked,
    figures_asked,
    grade_asked,
    kinds_asked,
)


@dataclass(frozen=True)
class Proposal:
    """How a list may be read: its sheets with their layouts, the mapping, sheets left out.

    `told` are the columns that a person or a mapping file names; `wording` is None where the
    patterns were known.
    """

    sheets: tuple[tuple[ListSheet, Layout], ...]
    mapping: ListMapping
    left_out: tuple[str, ...]
    told: frozenset[Role] = frozenset()
    wording: Wording | None = None


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
    named = frozenset(mapping.columns)
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
    first = taken[0][0], replace(taken[0][1], sure=largest.sure, rivals=largest.rivals)
    taken = (first, *taken[1:])
    if mapping.decimal is None:
        mapping = replace(mapping, decimal=decimal_mark(_cells(taken, "price")))
    if not mapping.currency:
        mapping = replace(mapping, currency=_currency(taken))
    wording = None
    if not mapping.patterns:
        wording = _wording(taken, mapping)
        mapping = replace(mapping, patterns=wording.patterns)
    left_out = {sheet.name for sheet in sheets} - {sheet.name for sheet, _ in taken}
    return Proposal(taken, mapping, tuple(sorted(left_out)), named, wording)


def _laid_out(
    sheets: Sequence[ListSheet], columns: Mapping[Role, str]
) -> tuple[tuple[ListSheet, Layout], ...]:
    found = ((sheet, layout_of(sheet, columns)) for sheet in sheets)
    return tuple((sheet, layout) for sheet, layout in found if layout is not None)


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


def _currency(taken: Sequence[tuple[ListSheet, Layout]]) -> str:
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
    return proposed(texts, mapping.units, mark, mapping.kinds, families=bool(in_text))


def _families_said(found: Proposal) -> list[str]:
    """Return the engine types that the descriptions seem to name; none where few rows share one."""
    mapping = found.mapping
    texts = list(lines_of(found.sheets, mapping))[:2_000]
    mark = decimal_mark(texts) or mapping.decimal or "."
    patterns = proposed(texts, mapping.units, mark, mapping.kinds, families=True).patterns
    said = Counter(
        described.family
        for text in texts
        if (described := read_description(text, patterns)) and described.family
    )
    several = [name for name, rows in said.most_common() if rows > 1]
    rows = sum(said[name] for name in several)
    return several if len(several) > 1 and rows > len(texts) / 2 else []


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
    kinds: Mapping[str, str] = field(default_factory=dict)
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
    bores = {**found.mapping.standard_bore, **standard_bores(articles)}
    mapping = replace(found.mapping, standard_bore=bores)
    asked = tuple(_asked(found, mapping, articles, unclear))
    before = sold_before(folder) if known is not None else {}
    again = known is not None and bool(known.headings)
    open_ = any(question.needed for question in asked)
    new, gone, changed = differences(before, articles)
    write = not open_ and (again or agreed) and bool(articles)
    if write:
        _write(folder, articles, unclear, mapping)
    return IntakeAnswer(
        program_version=__version__,
        file=str(list_file),
        folder=str(folder),
        unit=mapping.units,
        currency=mapping.currency,
        taken_in=write,
        known_layout=again,
        columns=tuple(_columns_read(found)),
        unread=tuple(_unread(found.sheets[0][1])),
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
        kinds={**mapping.kinds, **{phrase(words): kind for words, kind in told.kinds.items()}},
        clearance={**mapping.clearance, **told.clearance},
    )


def _asked(
    found: Proposal, mapping: ListMapping, articles: Sequence[Article], unclear: Sequence[Unclear]
) -> Iterator[Asked]:
    """Yield what the list leaves open: columns first, for what they hold decides the rest."""
    columns = list(_columns_open(found, mapping, articles, unclear))
    yield from columns
    yield from figures_asked(found.sheets[0][1], mapping, articles)
    if not columns:
        yield from kinds_asked(found.wording, articles)


def _columns_open(
    found: Proposal, mapping: ListMapping, articles: Sequence[Article], unclear: Sequence[Unclear]
) -> Iterator[Asked]:
    layout = found.sheets[0][1]
    yield from columns_asked(layout, found.told)
    nameless = any(item.field == "family" for item in unclear)
    if "family" not in found.told and (nameless or not (articles or "family" in layout.places)):
        yield from family_asked(layout, _families_said(found), needed=nameless)
    yield from bore_asked(found.sheets, mapping, unclear, found.told)
    yield from grade_asked(found.sheets, articles, found.told)


def _columns_read(found: Proposal) -> Iterator[ColumnRead]:
    layout = found.sheets[0][1]
    for role, at in sorted(layout.places.items(), key=lambda item: item[1]):
        yield ColumnRead(role=role, heading=layout.title(at), sure=layout.sure.get(role, 1.0))


def _unread(layout: Layout) -> Iterator[str]:
    """Yield the headings of the columns that nothing is read from."""
    read = set(layout.places.values())
    for at, title in enumerate(layout.titles):
        if title and at not in read:
            yield layout.title(at)


def _cautions(
    found: Proposal, articles: Sequence[Article], unclear: Sequence[Unclear]
) -> Iterator[str]:
    if any(item.kind in PISTON_KINDS for item in articles):
        yield (
            "Skirt sizes are not in this list: every piston stands as made for its bore with the "
            "maker's clearance. Measure it before the last pass."
        )
        yield "Rings of piston kits are not in this list: their gaps were not looked at."
    if any(item.kind in ("rings", "pin", "circlip") for item in articles):
        yield (
            f"Rings, pins and circlips stand in {OTHERS} with price and stock. No plan counts "
            "them: a ring needs gap and width, in rings.csv."
        )
    groups = alike(articles)
    if groups:
        first = ", ".join(item.number for item in groups[0][:3])
        yield (
            f"{sum(map(len, groups))} articles are alike in all that was read of them but number, "
            f"price and stock, as {first}: is there a grade that was not read?"
        )
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
    listed = {article.family for article in articles}
    for family, bore in mapping.standard_bore.items():
        if family in listed and family not in known:
            name = sheet_name(family, lambda name: name in files or (folder / name).exists())
            files[name] = sheet_text(family, bore, clearance_of(family, mapping))
    change_folder(folder, files, gone)


def undo_intake(folder: Path) -> None:
    """Put back the state of a catalogue folder before the last list was taken in."""
    step_back(folder)
