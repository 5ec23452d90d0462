"""A catalogue without its doubted rows, and with them again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Final

from fitsolver.doubts.accepting import check_accepted
from fitsolver.doubts.refusal import refusal
from fitsolver.doubts.rows import ROW, row_doubts
from fitsolver.records.catalogue import (
    Catalogue,
    Gasket,
    Kit,
    Piston,
    Ring,
    Route,
    RowKind,
    SetAside,
)
from fitsolver.records.doubts import Doubt
from fitsolver.records.job import Job

_TABLES: Final[Mapping[RowKind, str]] = {
    "piston": "pistons",
    "ring": "rings",
    "gasket": "gaskets",
    "kit": "kits",
    "route": "routes",
}
_KEPT: Final = 16
_known: dict[tuple[int, frozenset[str]], tuple[Catalogue, Catalogue]] = {}


def trusted(job: Job, catalogue: Catalogue) -> Catalogue:
    """Return the catalogue without doubted rows that the job does not accept.

    A kit that contains such a part is left out too. `set_aside` holds the rows left out. Without
    any, the same catalogue object comes back; jobs that accept the same ids share one result.
    Raises InputError where the job names a doubted row (pinned, in hand, a route it lists), and for
    an accepted id that can name no doubt.
    """
    check_accepted(job, catalogue)
    left = _left(job, catalogue)
    if not left:
        return catalogue
    named = named_doubts(job, catalogue)
    if named:
        raise refusal(named, "row that the job names")
    key = id(catalogue), frozenset(left)
    known = _known.get(key)
    if known is None or known[0] is not catalogue:
        if len(_known) >= _KEPT:
            del _known[next(iter(_known))]
        known = _known[key] = catalogue, _without(catalogue, left)
    return known[1]


def named_doubts(job: Job, catalogue: Catalogue) -> tuple[Doubt, ...]:
    """Return the unaccepted doubts of rows named by the job: these rows cannot be left out."""
    left = _left(job, catalogue)
    return tuple(left[number] for number in dict.fromkeys(_named(job)) if number in left)


def _left(job: Job, catalogue: Catalogue) -> dict[str, Doubt]:
    doubts = row_doubts(catalogue)
    return {d.id.removeprefix(ROW): d for d in doubts if d.id not in job.accept}


def put_back(catalogue: Catalogue) -> Catalogue:
    """Return the catalogue with every row that was set aside in its place again."""
    tables: dict[str, list[Any]] = {
        name: list(getattr(catalogue, name)) for name in _TABLES.values()
    }
    for aside in sorted(catalogue.set_aside, key=lambda aside: aside.at):
        tables[_TABLES[aside.kind]].insert(aside.at, aside.part)
    update = {name: tuple(rows) for name, rows in tables.items()}
    return catalogue.model_copy(update={**update, "set_aside": ()})


def cautions_of(catalogue: Catalogue) -> tuple[str, ...]:
    """Return a caution for every doubt behind the rows left out of a catalogue."""
    return tuple(
        f'Catalogue {ROW}{said}: correct it, or accept it with --accept "{doubt_id}".'
        for doubt_id, said in _left_out(catalogue)
    )


def left_out_of(catalogue: Catalogue) -> tuple[str, ...]:
    """Return, for every doubt behind rows left out, the rows and the doubted figure."""
    return tuple(said for _, said in _left_out(catalogue))


def _left_out(catalogue: Catalogue) -> Iterator[tuple[str, str]]:
    rows: dict[str, list[SetAside]] = {}
    for aside in catalogue.set_aside:
        rows.setdefault(aside.doubt.id, []).append(aside)
    for doubt_id, asides in rows.items():
        kits = [aside.number for aside in asides if f"{ROW}{aside.number}" != doubt_id]
        with_it = f", and with it {', '.join(kits)}" if kits else ""
        number = doubt_id.removeprefix(ROW)
        yield doubt_id, f"{number} is left out{with_it} ({asides[0].doubt.sentence})"


def _named(job: Job) -> Iterable[str]:
    """Yield part numbers and routes that a job names."""
    yield from (held.number for held in job.in_hand)
    yield from job.routes
    for cylinder in job.cylinders:
        yield from (ring.number for ring in cylinder.rings)
        yield from cylinder.routes
        yield from (name for name in (cylinder.piston, cylinder.route) if name is not None)


def _without(catalogue: Catalogue, left: Mapping[str, Doubt]) -> Catalogue:
    aside: list[SetAside] = []
    update: dict[str, Any] = {}
    for kind, name in _TABLES.items():
        rows: Sequence[Piston | Ring | Gasket | Kit | Route] = getattr(catalogue, name)
        kept = []
        for at, row in enumerate(rows):
            doubt = _doubt(row, left)
            if doubt is None:
                kept.append(row)
            else:
                aside.append(SetAside(doubt=doubt, kind=kind, part=row, at=at))
        update[name] = tuple(kept)
    return catalogue.model_copy(update={**update, "set_aside": tuple(aside)})


def _doubt(row: Piston | Ring | Gasket | Kit | Route, left: Mapping[str, Doubt]) -> Doubt | None:
    """Return the doubt behind a row left out: its own, or that of a part in the kit."""
    if isinstance(row, Kit):
        parts = (left[item.number] for item in row.contents if item.number in left)
        return next(parts, left.get(row.number))
    return left.get(row.name if isinstance(row, Route) else row.number)
