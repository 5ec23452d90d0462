"""Ids of doubts that a job accepts: an id that cannot name a doubt is refused."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.doubts.rows import ROW
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

#: Prefixes of doubt ids; ids of rows are checked here against the catalogue's numbers.
FORMS: Final = (
    "row",
    "reading",
    "depth",
    "zone",
    "zero",
    "unworn",
    "scratch",
    "finished_size",
    "finished_half_width",
    "in_hand",
    "piston_size",
    "piston_mass",
    "window",
    "pass",
)


def check_accepted(job: Job, catalogue: Catalogue) -> None:
    """Refuse an id of unknown form, and an id of a row missing from the catalogue.

    An id of a sound row is accepted: the row was corrected since.
    """
    check_somewhere(job.accept, (catalogue,), f"job '{job.name}'")


def check_somewhere(accept: Sequence[str], catalogues: Sequence[Catalogue], file: str) -> None:
    """Refuse an id of unknown form, and an id of a row missing from every catalogue."""
    for accepted in accept:
        if accepted.partition(" ")[0] not in FORMS:
            raise _unknown(file, accepted, f"an id that a doubt was named by, as '{ROW}PP-050A'")
        if not any(of_catalogue((accepted,), catalogue) for catalogue in catalogues):
            raise _unknown(file, accepted, f"'{ROW}' and a number of the catalogue")


def of_catalogue(accept: Sequence[str], catalogue: Catalogue) -> tuple[str, ...]:
    """Return the ids without those of rows missing from the catalogue."""
    if not any(one.startswith(ROW) for one in accept):
        return tuple(accept)
    rows = {*_numbers(catalogue), *(aside.number for aside in catalogue.set_aside)}
    return tuple(one for one in accept if not one.startswith(ROW) or one.removeprefix(ROW) in rows)


def _numbers(catalogue: Catalogue) -> Iterable[str]:
    """Yield the part numbers and route names of a catalogue."""
    for table in (catalogue.pistons, catalogue.rings, catalogue.gaskets, catalogue.kits):
        yield from (article.number for article in table)
    yield from (route.name for route in catalogue.routes)


def _unknown(file: str, accepted: str, allowed: str) -> InputError:
    return InputError(
        "no doubt has this id",
        file=file,
        field="accept",
        found=accepted,
        allowed=allowed,
    )
