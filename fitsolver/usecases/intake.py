"""A price or stock list taken into a catalogue."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.base.version import __version__
from fitsolver.base.whole_folder import change_folder, step_back
from fitsolver.reading.catalogue_tables import HEAD, head_in
from fitsolver.reading.family_sheet import family_sheets
from fitsolver.reading.list_catalogue import (
    OWN,
    differences,
    files_of,
    head_text,
    sheet_name,
    sheet_text,
)
from fitsolver.reading.list_entries import Open
from fitsolver.reading.list_layout import Layout
from fitsolver.reading.list_mapping import MAPPING, ListMapping, check_layout, read_mapping
from fitsolver.reading.list_own import PISTONS, Stood, clearance_of, stood_before, told_of_own
from fitsolver.reading.list_rows import Taken, articles_of
from fitsolver.reading.list_sheets import read_sheets
from fitsolver.reading.list_sizes import standard_bores
from fitsolver.reading.sections import UNITS, Section
from fitsolver.reading.toml_file import read_toml
from fitsolver.records.intake import Article, Asked, ColumnRead, IntakeAnswer, Unclear
from fitsolver.usecases.intake_asked import (
    bore_asked,
    column_asked,
    columns_asked,
    family_asked,
    figures_asked,
    grade_asked,
    kinds_asked,
    standard_asked,
)
from fitsolver.usecases.intake_cautions import cautions
from fitsolver.usecases.intake_open import (
    across_asked,
    kind_asked,
    rows_asked,
    skip_asked,
    words_asked,
)
from fitsolver.usecases.intake_proposal import Proposal, families_said, proposal
from fitsolver.usecases.intake_told import Told, check_headings, with_told

__all__ = ["Told", "intake", "undo_intake"]


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
    found = proposal(sheets, str(list_file), told=with_told(known or ListMapping(), told or Told()))
    if known is not None:
        titles = [title for _, layout in found.sheets for title in layout.titles]
        check_layout(found.mapping, titles, str(list_file))
    laid_out = [layout for _, layout in (*found.sheets, *found.unsure)]
    check_headings((told or Told()).columns, list(dict.fromkeys(_headings(laid_out))))
    again = known is not None and bool(known.headings)
    of_family = family_sheets(folder) if folder.is_dir() else {}
    known_families = tuple(of_family)
    taken = articles_of(found.sheets, found.mapping, _bores_of_sheets(of_family))
    unsure = list(_of_unsure(found))
    taken = replace(taken, unclear=[*taken.unclear, *unsure], rows=taken.rows + len(unsure))
    articles, unclear = taken.articles, taken.unclear
    bores = {**found.mapping.standard_bore, **standard_bores(articles)}
    mapping = replace(found.mapping, standard_bore=bores)
    asked = tuple(_asked(found, mapping, taken, _usual(folder), again=again))
    stood = Stood() if known is None else stood_before(folder, _unit_of(folder))
    before, kept = stood.sold, stood.kept(known or mapping)
    open_ = any(question.needed for question in asked)
    waiting = [item.number for item in unclear if item.number in before]
    new, gone, changed = differences(before, articles, waiting)
    write = not open_ and (again or agreed) and bool(articles)
    if write:
        _write(folder, files_of(articles, unclear, mapping, stood, kept), articles, mapping)
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
        cautions=(
            *told_of_own(stood, kept, articles, mapping),
            *cautions(found, articles, unclear, known_families, waiting),
        ),
    )


def _of_unsure(found: Proposal) -> Iterator[Unclear]:
    """Yield the rows of sheets with uncertain columns."""
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


def _headings(layouts: Sequence[Layout]) -> Iterator[str]:
    """Yield the headings by which the columns of a list are named."""
    for layout in layouts:
        yield from map(layout.title, range(max(len(layout.titles), len(layout.shows))))


def _usual(folder: Path) -> dict[str, str]:
    """Return what the head of a catalogue says of its currency and the days until parts come."""
    head = read_toml(folder / HEAD) if (folder / HEAD).is_file() else {}
    said = {"currency": str, "lead_days": int}
    return {key: str(head[key]) for key, kind in said.items() if isinstance(head.get(key), kind)}


#: What a person may put into a catalogue folder before its first list.
_BESIDE: Final = {"families", "family.toml", "shop.toml", "routes.csv", "stages.csv"}


def _check_own(folder: Path, known: bool) -> None:
    if known:
        return
    if (folder / PISTONS).exists():
        raise InputError(
            "this catalogue was not made from a list: it has no mapping file",
            file=str(folder),
            allowed=f"a new folder, or one with {MAPPING}",
        )
    there = {item.name for item in folder.iterdir()} if folder.is_dir() else set()
    if HEAD not in there and there - _BESIDE:
        raise InputError(
            "this folder holds other things than a catalogue",
            file=str(folder),
            found=", ".join(sorted(there - _BESIDE)[:4]),
            allowed=f"a new folder, or one with {HEAD} or with {', '.join(sorted(_BESIDE))} alone",
        )


def _bores_of_sheets(sheets: Mapping[str, Section]) -> dict[str, int]:
    """Return the standard bores that the family sheets of a catalogue state (ticks)."""
    return {
        name: bore
        for name, sheet in sheets.items()
        if (bore := sheet.length("standard_bore", above=0)) is not None
    }


def _asked(
    found: Proposal, mapping: ListMapping, taken: Taken, usual: Mapping[str, str], *, again: bool
) -> Iterator[Asked]:
    """Yield what the list leaves open: columns first, for what they hold decides the rest.

    `again`: the layout was agreed to before, so its unquestioned readings stand.
    """
    layout = found.main
    yield from across_asked(found.unfolded, mapping)
    columns = list(_columns_open(found, mapping, taken))
    yield from columns
    known = mapping.headings if again else ()
    for _, one in () if columns else found.sheets:
        yield from skip_asked(one, mapping, known)
    yield from rows_asked(taken.open, layout, mapping, taken.articles, again=again)
    yield from figures_asked(layout, mapping, taken.articles, usual)
    if not columns:
        yield from standard_asked(taken.open.unsized, mapping, taken.articles)
        yield from kind_asked(found, taken)
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
        yield from family_asked(layout, families_said(found), needed=nameless)
    if "family" not in found.told and 3 * len(taken.open.mixed) > taken.open.families:
        yield column_asked("family", layout, "", 0, " (bores of one lie too far apart)")
    yield from bore_asked(found.sheets, mapping, unclear, found.told, taken.open.unsized)
    yield from grade_asked(found.sheets, taken.articles, found.told)


def _elsewhere(open_: Open, mapping: ListMapping) -> bool:
    """Tell whether engine types stand elsewhere, or rows depend on other answers first."""
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


def _unit_of(folder: Path) -> Unit:
    """Return the unit of lengths without one in the tables of a catalogue."""
    if not (folder / HEAD).is_file():
        return "mm"
    return head_in(folder, {HEAD: folder / HEAD}).choice("units", UNITS)


def _write(
    folder: Path, files: dict[str, str], articles: Sequence[Article], mapping: ListMapping
) -> None:
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
