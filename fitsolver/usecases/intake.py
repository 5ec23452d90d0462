"""A price or stock list taken into a catalogue."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final

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
from fitsolver.reading.list_cells import OversizeUnit
from fitsolver.reading.list_figures import Mark, currency_of, decimal_mark
from fitsolver.reading.list_kinds import Kind, phrase
from fitsolver.reading.list_layout import Layout, layout_of
from fitsolver.reading.list_mapping import (
    ANSWERED,
    MAPPING,
    FamilyBy,
    LeadUnit,
    ListMapping,
    check_layout,
    read_mapping,
)
from fitsolver.reading.list_patterns import read_description
from fitsolver.reading.list_rows import Taken, articles_of, lines_of
from fitsolver.reading.list_sheets import ListSheet, read_sheets
from fitsolver.reading.list_sizes import Open, standard_bores
from fitsolver.reading.list_wording import Wording, proposed
from fitsolver.reading.list_words import Role, plain
from fitsolver.records.intake import Article, Asked, ColumnRead, IntakeAnswer, Unclear
from fitsolver.usecases.intake_asked import (
    alike,
    bore_asked,
    column_asked,
    columns_asked,
    family_asked,
    figures_asked,
    grade_asked,
    kinds_asked,
)
from fitsolver.usecases.intake_open import rows_asked, skip_asked, words_asked


@dataclass(frozen=True)
class Proposal:
    """How a list may be read: its sheets with their layouts, the mapping, sheets left out.

    `main` is the layout of the largest sheet, of which questions are asked; `unsure` are sheets
    with other columns that would need questions of their own: their rows are named.
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
    found = _laid_out(sheets, mapping.columns, named)
    if not found:
        raise InputError(
            "no column of this list could be a part number",
            file=file,
            allowed="a list with a number, a description or sizes, a price and the stock",
        )
    main = max(found, key=lambda item: len(item[0].rows))[1]
    columns = {**_columns(main), **mapping.columns}
    mapping = replace(mapping, columns=columns, headings=mapping.headings or main.titles)
    laid_out = _laid_out(sheets, columns, named)
    taken = tuple(one for one in laid_out if one[1].titles == main.titles or one[1].is_sure)
    if mapping.decimal is None:
        mapping = replace(mapping, decimal=decimal_mark(_cells(taken, "price")))
    if not mapping.currency:
        mapping = replace(mapping, currency=_currency(taken))
    wording = None
    if not mapping.patterns:
        wording = _wording(taken, mapping)
        mapping = replace(mapping, patterns=wording.patterns)
    left_out = {sheet.name for sheet in sheets} - {sheet.name for sheet, _ in laid_out}
    unsure = tuple(one for one in laid_out if one not in taken)
    return Proposal(taken, main, mapping, tuple(sorted(left_out)), named, wording, unsure)


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


#: Rows in which the headings of a sheet stand.
_TOP: Final = 40


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
    skip: Sequence[str] = ()
    remarks: Sequence[str] = ()
    oversize_unit: OversizeUnit | None = None
    smallest_is_standard: bool | None = None
    family_by: FamilyBy | None = None
    fill_down: bool | None = None
    price_for: int | None = None
    lead_unit: LeadUnit | None = None


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
        titles = [title for _, layout in found.sheets for title in layout.titles]
        check_layout(found.mapping, titles, str(list_file))
    again = known is not None and bool(known.headings)
    taken = articles_of(found.sheets, found.mapping, _bores_of_sheets(folder))
    unsure = list(_of_unsure(found))
    taken = replace(taken, unclear=[*taken.unclear, *unsure], rows=taken.rows + len(unsure))
    articles, unclear = taken.articles, taken.unclear
    bores = {**found.mapping.standard_bore, **standard_bores(articles)}
    mapping = replace(found.mapping, standard_bore=bores)
    asked = tuple(_asked(found, mapping, taken, again=again))
    before = sold_before(folder) if known is not None else {}
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
        unread=tuple(_unread(found.main)),
        patterns=mapping.patterns,
        asked=asked,
        rows=taken.rows,
        articles=tuple(articles),
        unclear=tuple(unclear),
        new=tuple(new) if before else (),
        gone=tuple(gone),
        changed=tuple(changed),
        cautions=tuple(_cautions(found, articles, unclear)),
    )


def _of_unsure(found: Proposal) -> Iterator[Unclear]:
    """Yield the rows of sheets of which the columns are not sure."""
    for sheet, layout in found.unsure:
        for number, cells in sheet.rows:
            if number <= layout.heading_row or sum(map(bool, cells)) < 2:
                continue
            yield Unclear(
                sheet=sheet.name,
                row=number,
                number=layout.cell(cells, "number"),
                description=layout.cell(cells, "description"),
                field="columns",
                reason="the columns of this sheet are not sure: give it as a list of its own",
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
        for name in (
            "units", "decimal", "currency", "lead_days", "stock_only", "family", "kind", *ANSWERED
        )
        if (value := getattr(told, name)) is not None
    }  # fmt: skip
    return replace(
        mapping,
        **single,
        columns={**mapping.columns, **told.columns},
        kinds={**mapping.kinds, **{phrase(words): kind for words, kind in told.kinds.items()}},
        clearance={**mapping.clearance, **told.clearance},
        skip=tuple(dict.fromkeys((*mapping.skip, *told.skip))),
        remarks=tuple(dict.fromkeys((*mapping.remarks, *told.remarks))),
    )


def _bores_of_sheets(folder: Path) -> dict[str, int]:
    """Return the standard bores that the family sheets of a catalogue state (ticks)."""
    if not (folder / HEAD).is_file():
        return {}
    return {
        name: bore
        for name, sheet in family_sheets(folder).items()
        if (bore := sheet.length("standard_bore", above=0)) is not None
    }


def _asked(found: Proposal, mapping: ListMapping, taken: Taken, *, again: bool) -> Iterator[Asked]:
    """Yield what the list leaves open: columns first, for what they hold decides the rest.

    `again`: the layout was agreed to before; what it said without a question then it says now.
    """
    layout = found.main
    columns = list(_columns_open(found, mapping, taken))
    yield from columns
    known = mapping.headings if again else ()
    for _, one in () if columns else found.sheets:
        yield from skip_asked(one, mapping, known)
    yield from rows_asked(taken.open, layout, mapping, taken.articles, again=again)
    yield from figures_asked(layout, mapping, taken.articles)
    if not columns:
        yield from kinds_asked(found.wording, taken.articles)
        yield from words_asked(taken.open, taken.articles)


def _columns_open(found: Proposal, mapping: ListMapping, taken: Taken) -> Iterator[Asked]:
    layout, unclear = found.main, taken.unclear
    yield from columns_asked(layout, found.told)
    nameless = any(item.field == "family" for item in unclear) and not taken.open.fill
    if "family" not in found.told and (
        nameless
        or not (
            taken.articles or "family" in layout.places or _elsewhere(taken.open, found.mapping)
        )
    ):
        yield from family_asked(layout, _families_said(found), needed=nameless)
    if "family" not in found.told and 3 * len(taken.open.mixed) > taken.open.families:
        yield column_asked("family", layout, "", 0, " (bores of one lie too far apart)")
    yield from bore_asked(found.sheets, mapping, unclear, found.told)
    yield from grade_asked(found.sheets, taken.articles, found.told)


def _elsewhere(open_: Open, mapping: ListMapping) -> bool:
    """Tell whether engine types stand elsewhere, or rows wait for other answers first."""
    seen = open_.headings or open_.sheet_names or open_.fill or open_.words
    return bool(seen or mapping.family_by or mapping.family)


def _columns_read(found: Proposal) -> Iterator[ColumnRead]:
    layout = found.main
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
    yield from _of_workbook(found)
    if unclear:
        yield f"Rows that are not taken in stand in {UNCLEAR}, each with its reason."


def _of_workbook(found: Proposal) -> Iterator[str]:
    """Yield what cannot be seen in a workbook, or stands for several rows, and was read."""
    for sheet, layout in found.sheets:
        at = f" of '{sheet.name}'" if sheet.name and len(found.sheets) > 1 else ""
        if sheet.hidden_rows:
            yield f"Hidden rows{at} were read too: {_some(sheet.hidden_rows)}."
        columns = [layout.title(column - 1) for column in sheet.hidden_columns]
        if columns:
            yield f"Hidden columns{at} were read too: {_some(columns)}."
        rows = sorted({row for row, _ in sheet.merged})
        if rows:
            yield f"Merged cells{at} count in each of their rows: {_some(rows)}."


def _some(values: Sequence[object]) -> str:
    shown = ", ".join(map(str, values[:_NAMED]))
    return shown + (f" and {len(values) - _NAMED} more" if len(values) > _NAMED else "")


#: Rows or columns that are named in one line.
_NAMED: Final = 8


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
