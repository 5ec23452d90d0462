"""A catalogue folder (catalogue.toml and its tables) to a catalogue."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from difflib import get_close_matches
from functools import partial
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.reading import catalogue_parts as parts
from fitsolver.reading.catalogue_columns import (
    CATALOGUE_KEYS,
    COLUMNS,
    REQUIRED,
    kind_of,
    names_of,
)
from fitsolver.reading.catalogue_row import NEVER, Row, Usual
from fitsolver.reading.catalogue_stages import stages
from fitsolver.reading.catalogue_windows import stated_windows, with_names
from fitsolver.reading.catalogue_workbook import head_of, opened
from fitsolver.reading.family_sheet import as_named, family_sheets
from fitsolver.reading.files import File, Parts, Workbook, files_of
from fitsolver.reading.hints import unknown
from fitsolver.reading.interchange import (
    current,
    last_of,
    old_numbers,
    steps_of,
    with_current_contents,
)
from fitsolver.reading.sections import UNITS, Section, check_format
from fitsolver.reading.tables import Table, read_table
from fitsolver.reading.toml_file import fingerprint, read_toml
from fitsolver.records.catalogue import AS_IS, Catalogue, Piston, Ring, Route
from fitsolver.records.job import Job

HEAD: Final = "catalogue.toml"
_SUFFIXES: Final = (".csv", ".xlsx")
#: Tables whose rows may be of some families only.
_SOLD: Final = ("pistons", "rings", "gaskets", "kits")
_ALIKE: Final = 0.85  # "piston" for "pistons"


def read_catalogue(folder: Parts, family: str | None = None) -> Catalogue:
    """Return the catalogue that a folder holds (docs/formats.md), all lengths in ticks.

    Of a folder with several families it is that of `family`: its parts and those of every family.
    The fingerprint is the SHA-256 of what its files say. Raises InputError with file, row,
    column, what was found and what is allowed.
    """
    folder = opened(folder)
    files = files_of(folder)
    head = _head(folder, files)
    data = head.data
    check_format(head)
    head.unit = head.choice("units", UNITS)
    sheets = family_sheets(folder)
    family = _family(head, sheets, family)
    bore, sheet = _standard_bore(head, sheets.get(family), family)
    tables = {name: table for name in COLUMNS if (table := _table(folder, files, name))}
    if "pistons" not in tables or not tables["pistons"].rows:
        raise InputError(
            "the catalogue has no pistons",
            file=str(folder),
            allowed="pistons.csv (or .xlsx) with a row for each piston",
        )
    usual, only_stock = _usual(head)
    rows = {
        name: [Row(table, number, cells, head.unit, usual) for number, cells in table.rows]
        for name, table in tables.items()
    }
    numbers: dict[str, str] = {}
    known = {*sheets, family} if sheets else set()
    for name in _SOLD:
        rows[name] = [row for row in rows.get(name, ()) if _serves(row, family, numbers, known)]
    if not rows["pistons"]:
        raise head.error("family", "no piston is of this family", found=family)
    pistons = tuple(parts.piston(row, bore, numbers) for row in rows["pistons"])
    rings = tuple(parts.ring(row, numbers) for row in rows["rings"])
    gaskets = tuple(parts.gasket(row, numbers) for row in rows["gaskets"])
    steps = steps_of({name: rows[name] for name in _SOLD})
    singles = frozenset(part.number for part in (*pistons, *rings, *gaskets))
    in_kits = singles | {n for n in steps if last_of(n, steps) in singles}
    kits = tuple(parts.kit(row, numbers, in_kits) for row in rows["kits"])
    kits = with_current_contents(kits, steps)
    old = old_numbers(steps, (*pistons, *rings, *gaskets, *kits))
    pistons, rings = current(pistons, steps), current(rings, steps)
    own: dict[str, Piston | Ring] = {part.number: part for part in pistons}
    own |= {part.number: part for part in rings}
    now = {n: last_of(n, steps) for n in steps}
    others = numbers.keys() - singles - now.keys()
    windows, names = stated_windows(rows.get("windows", ()), own, others, now)
    routes = routes_of(rows.get("routes", []))
    return Catalogue(
        name=head.need("name", head.text("name") or None, "a name for the catalogue"),
        family=family,
        standard_bore=bore,
        unit=head.unit,
        currency=head.text("currency"),
        note=head.text("note"),
        fingerprint=fingerprint([data, *sheet, *([n, tables[n].content] for n in sorted(tables))]),
        pistons=with_names(pistons, names),
        rings=with_names(rings, names),
        gaskets=current(gaskets, steps),
        kits=current(kits, steps),
        routes=routes,
        stages=stages(rows.get("stages", ()), routes),
        windows=windows,
        old_numbers=old,
        only_stock=only_stock,
    )


def families_of(folder: Parts) -> tuple[str, ...]:
    """Return the families of a catalogue folder: the one of its head, and those with a sheet.

    None where the folder has no head, which reading it refuses.
    """
    folder = opened(folder)
    files = files_of(folder)
    if not isinstance(folder, Workbook) and HEAD not in files:
        return ()
    head = _head(folder, files)
    own = head.word("family")
    return tuple(dict.fromkeys([*([own] if own else []), *family_sheets(folder)]))


def _head(folder: Parts, files: Mapping[str, File]) -> Section:
    """Return what catalogue.toml says, or the sheet `catalogue` of a workbook."""
    if isinstance(folder, Workbook):
        file = f"{folder}, sheet 'catalogue'"
        return Section(head_of(folder, CATALOGUE_KEYS), CATALOGUE_KEYS, file=file, place="")
    if HEAD not in files:
        raise InputError(
            f"the folder has no {HEAD}",
            file=str(folder),
            allowed=f"a catalogue folder with {HEAD} and pistons.csv",
        )
    file = str(files[HEAD])
    return Section(read_toml(files[HEAD]), CATALOGUE_KEYS, file=file, place="")


def _family(head: Section, sheets: Mapping[str, Section], asked: str | None) -> str:
    """Return which family's parts are read; raises InputError where that is left open.

    A catalogue that names its family is of that one, unless another is asked that has a sheet.
    """
    own = head.word("family")
    asked = None if asked is None else as_named(asked, sheets)
    if asked is not None and asked in sheets:
        return asked
    if own is not None:
        return own
    if asked is not None:
        raise unknown("family", asked, sheets, file=head.file, field="family")
    if len(sheets) != 1:
        raise head.error(
            "family",
            "the catalogue is of several families: say which"
            if sheets
            else "this key is missing, and no family has a sheet",
            found="nothing",
            allowed=", ".join(sheets) or "the family of engines it serves",
        )
    return next(iter(sheets))


def _usual(head: Section) -> tuple[Usual, bool]:
    """Return what holds for rows that do not say it, and whether only the shelf can be had."""
    never = head.data.get("lead_days") == NEVER
    days = None if never else head.count("lead_days")
    return Usual(days, head.count("least_order", least=1)), never


def _serves(row: Row, family: str, numbers: dict[str, str], known: Collection[str]) -> bool:
    """Tell whether a row is of a family: it names it, among others, or none.

    A family that is not among those `known` (empty: any is) is refused, with a near one named.

    The number of a row of others is taken all the same: it stands once in the folder.
    """
    named = [name.strip() for name in row.text("family").split(";") if name.strip()]
    for name in named if known else ():
        if as_named(name, known) not in known:
            raise unknown(
                "family", name, sorted(known), file=row.table.file, row=row.number, field="family"
            )
    if not named or any(as_named(name, (family,)) == family for name in named):
        return True
    row.sold(numbers)
    return False


def _standard_bore(head: Section, sheet: Section | None, family: str) -> tuple[int, list[object]]:
    """Return the standard bore, and what of the family's sheet the catalogue is made with."""
    own = head.length("standard_bore", above=0)
    of_sheet = None if sheet is None else sheet.length("standard_bore", above=0)
    if head.word("family") == family and own is not None:
        return own, []
    bore = head.need("standard_bore", of_sheet, "the standard bore, here or in the family's sheet")
    return bore, [bore] if head.word("family") == family else [family, bore]


def check_family(job: Job, catalogue: Catalogue) -> None:
    """Refuse a catalogue of another family than the job names; a job need not name one."""
    if job.family is not None and as_named(job.family, (catalogue.family,)) != catalogue.family:
        raise InputError(
            "the catalogue is of another family",
            file=f"catalogue '{catalogue.name}'",
            field="family",
            found=catalogue.family,
            allowed=f"{job.family}, as job '{job.name}' names it",
        )


def _table(folder: Parts, files: dict[str, File], name: str) -> Table | None:
    """Return one table of the folder, None when it is not there under this or a near name."""
    found = [files[name + suffix] for suffix in _SUFFIXES if name + suffix in files]
    if len(found) > 1:
        raise InputError(
            f"the table of {name} is there twice",
            file=str(folder),
            found=" and ".join(path.name for path in found),
            allowed="one of them",
        )
    if found:
        return read_table(found[0], partial(kind_of, name), names_of(name), REQUIRED[name])
    stems = {
        path.stem: path
        for key, path in files.items()
        if path.suffix.lower() in _SUFFIXES and path.stem.lower() not in COLUMNS
    }
    near = get_close_matches(name, stems, n=1, cutoff=_ALIKE)
    if near:
        raise InputError(
            f"this looks like the table of {name} under another name",
            file=str(stems[near[0]]),
            allowed=f"{name}.csv or {name}.xlsx",
        )
    return None


def routes_of(rows: list[Row]) -> tuple[Route, ...]:
    """Return the shop's routes; leaving a bore as it is is always one of them."""
    names: set[str] = set()
    routes = tuple(parts.route(row, names) for row in rows)
    untouched = [row for row, route in zip(rows, routes, strict=True) if not route.machined]
    if len(untouched) > 1:
        raise untouched[1].error("kind", "two routes leave the bore as it is", "one")
    if untouched:
        return routes
    if AS_IS.name in names:
        raise rows[0].error(
            "name",
            f"a route named '{AS_IS.name}' is of that kind",
            f"kind '{AS_IS.name}'",
            AS_IS.name,
        )
    return (AS_IS, *routes)
