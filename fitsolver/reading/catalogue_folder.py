"""A catalogue folder (catalogue.toml and its tables) to a catalogue."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from typing import Final, NamedTuple, TypeVar

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import format_length
from fitsolver.reading import catalogue_parts as parts
from fitsolver.reading.catalogue_cells import wrong_cells
from fitsolver.reading.catalogue_row import Row
from fitsolver.reading.catalogue_stages import stages
from fitsolver.reading.catalogue_tables import HEAD, SOLD, Tables
from fitsolver.reading.catalogue_windows import stated_windows, with_names
from fitsolver.reading.catalogue_workbook import opened
from fitsolver.reading.family_sheet import as_named
from fitsolver.reading.files import Parts, Workbook, files_of
from fitsolver.reading.hints import unknown
from fitsolver.reading.interchange import (
    Step,
    current,
    last_of,
    old_numbers,
    steps_of,
    with_current_contents,
)
from fitsolver.reading.refusals import Refusals
from fitsolver.reading.sections import Section
from fitsolver.reading.toml_file import fingerprint
from fitsolver.records.catalogue import AS_IS, Catalogue, Gasket, Kit, Piston, Ring, Route, Stage
from fitsolver.records.job import Job

T = TypeVar("T")


class _Rows(NamedTuple):
    """The articles in the rows of a family, and the current number for each old one."""

    pistons: tuple[Piston, ...]
    rings: tuple[Ring, ...]
    gaskets: tuple[Gasket, ...]
    kits: tuple[Kit, ...]
    routes: tuple[Route, ...]
    stages: tuple[Stage, ...]
    steps: Mapping[str, Step]


def read_catalogue(folder: Parts, family: str | None = None) -> Catalogue:
    """Return the catalogue that a folder holds (docs/formats.md), all lengths in ticks.

    Of a folder with several families it is that of `family`: its parts and those of every family.
    The fingerprint is the SHA-256 of what its files say. Raises InputError with file, row,
    column, what was found and what is allowed; what is wrong in the tables is told at once.
    """
    return _catalogue(Tables(folder), family)


def read_families(
    folder: Parts, families: Iterable[str]
) -> Iterator[tuple[str, Catalogue | InputError]]:
    """Yield the catalogue of each family of a folder, or why it cannot be read.

    Each table is read once. Raises InputError where the folder's head or a sheet cannot be read.
    """
    tables = Tables(folder)
    for family in families:
        try:
            yield family, _catalogue(tables, family)
        except InputError as error:
            yield family, error


#: Per cent by which a skirt, less its oversize, may lie off the standard bore.
_OFF: Final = 5


def _catalogue(tables: Tables, family: str | None) -> Catalogue:
    head = tables.head
    family = _family(head, tables.sheets, family)
    bore, sheet = _standard_bore(head, tables.sheets.get(family), family)
    rows = {name: list(each) for name, each in tables.rows.items()}
    rows |= {name: tables.of_family(name, family) for name in SOLD}
    if not rows["pistons"]:
        raise head.error("family", "no piston is of this family", found=family)
    read = _rows(tables, rows, bore)
    _check_standard(read.pistons, bore, tables, family)
    steps = read.steps
    old = old_numbers(steps, (*read.pistons, *read.rings, *read.gaskets, *read.kits))
    pistons, rings = current(read.pistons, steps), current(read.rings, steps)
    own: dict[str, Piston | Ring] = {part.number: part for part in pistons}
    own |= {part.number: part for part in rings}
    now = {n: last_of(n, steps) for n in steps}
    stated = rows.get("windows", [])
    singles = {part.number for part in (*read.pistons, *read.rings, *read.gaskets)}
    others = tables.numbers.keys() - singles - now.keys() if stated else ()
    refused = Refusals(str(tables.folder))
    found = refused.take(stated_windows, stated, own, others, now)
    if refused:
        _all_cells(refused, {"windows": stated})
    windows, names = found or ((), {})
    return Catalogue(
        name=head.need("name", head.text("name") or None, "a name for the catalogue"),
        family=family,
        standard_bore=bore,
        unit=head.unit,
        currency=head.text("currency"),
        note=head.text("note"),
        fingerprint=fingerprint([head.data, *sheet], tables.content),
        pistons=with_names(pistons, names),
        rings=with_names(rings, names),
        gaskets=current(read.gaskets, steps),
        kits=current(read.kits, steps),
        routes=read.routes,
        stages=read.stages,
        windows=windows,
        old_numbers=old,
        only_stock=tables.usual[1],
    )


def _check_standard(pistons: Sequence[Piston], bore: int, tables: Tables, family: str) -> None:
    """Raise InputError for a standard bore that none of the family's skirts is made for."""
    near = range(bore * (100 - _OFF) // 100, bore * (100 + _OFF) // 100 + 1)
    skirts = [piston.skirt.high - piston.oversize for piston in pistons]
    if any(skirt in near for skirt in skirts):
        return
    sheet = tables.sheets.get(family)
    stating = tables.head if sheet is None or "standard_bore" in tables.head.data else sheet
    unit = stating.unit
    ends = dict.fromkeys((format_length(min(skirts), unit), format_length(max(skirts), unit)))
    raise stating.error(
        "standard_bore",
        "the family's pistons are for another standard bore",
        found=format_length(bore, unit, symbol=True),
        allowed=f"a bore near their skirts, less oversize: {' to '.join(ends)} {unit}",
    )


def _rows(tables: Tables, rows: Mapping[str, list[Row]], bore: int) -> _Rows:
    """Return the articles of rows; raises all their errors together."""
    refused = Refusals(str(tables.folder))
    for error in tables.refused:
        refused.add(error)
    numbers: dict[str, str] = {}
    pistons = _each(
        refused, partial(parts.piston, standard_bore=bore, numbers=numbers), rows["pistons"]
    )
    rings = _each(refused, partial(parts.ring, numbers=numbers), rows["rings"])
    gaskets = _each(refused, partial(parts.gasket, numbers=numbers), rows["gaskets"])
    steps = refused.take(steps_of, {name: rows[name] for name in SOLD}) or {}
    singles = frozenset(row.text("number") for name in SOLD[:3] for row in rows[name])
    in_kits = singles | {n for n in steps if last_of(n, steps) in singles}
    kits: tuple[Kit, ...] = ()
    if not refused:  # a kit of a part that is refused would be refused for it
        kits = _each(refused, partial(parts.kit, numbers=numbers, parts=in_kits), rows["kits"])
    routes = refused.take(routes_of, rows.get("routes", []))
    split = None if routes is None else refused.take(stages, rows.get("stages", ()), routes)
    if refused:
        _all_cells(refused, rows)
    assert routes is not None and split is not None  # else it was refused
    kits = with_current_contents(kits, steps)
    return _Rows(pistons, rings, gaskets, kits, routes, split, steps)


def _each(refused: Refusals, made: Callable[[Row], T], rows: Iterable[Row]) -> tuple[T, ...]:
    found = (refused.take(made, row) for row in rows)
    return tuple(one for one in found if one is not None)


def _all_cells(refused: Refusals, rows: Mapping[str, list[Row]]) -> None:
    """Raise the refusals noted, together with the other errors in the cells."""
    for name, each in rows.items():
        for error in wrong_cells(name, each):
            refused.add(error)
    refused.check()


def families_of(folder: Parts) -> tuple[str, ...]:
    """Return the families of a catalogue folder: the one of its head, and those with a sheet.

    None where the folder has no head, which reading it refuses.
    """
    folder = opened(folder)
    files = files_of(folder)
    if not isinstance(folder, Workbook) and HEAD not in files:
        return ()
    tables = Tables(folder)
    own = tables.head.word("family")
    named = [as_named(own, tables.sheets)] if own else []
    return tuple(dict.fromkeys([*named, *tables.sheets]))


def _family(head: Section, sheets: Mapping[str, Section], asked: str | None) -> str:
    """Return which family's parts are read; raises InputError where that is left open.

    A catalogue that names its family is of that one, unless another is asked that has a sheet.
    """
    own = head.word("family")
    asked = None if asked is None else as_named(asked, sheets)
    if asked is not None and asked in sheets:
        return asked
    if own is not None:
        return as_named(own, sheets)
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


def _standard_bore(head: Section, sheet: Section | None, family: str) -> tuple[int, list[object]]:
    """Return the standard bore, and the part of the family's sheet that the catalogue uses."""
    own = head.length("standard_bore", above=0)
    of_sheet = None if sheet is None else sheet.length("standard_bore", above=0)
    is_own = as_named(head.word("family") or "", (family,)) == family
    if is_own and own is not None:
        return own, []
    bore = head.need("standard_bore", of_sheet, "the standard bore, here or in the family's sheet")
    return bore, [bore] if is_own else [family, bore]


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
