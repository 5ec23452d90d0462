"""Catalogue rows in contradiction with sister rows or with their own figures."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from fitsolver.doubts.finding import Finding
from fitsolver.doubts.rows_gaskets import gaskets
from fitsolver.doubts.rows_kits import kits
from fitsolver.doubts.rows_names import names
from fitsolver.doubts.rows_pistons import pistons
from fitsolver.doubts.rows_prices import prices
from fitsolver.doubts.rows_rings import rings
from fitsolver.doubts.rows_routes import routes
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.doubts import Doubt

ROW: Final = "row "
_FINDERS: Final[tuple[Callable[[Catalogue], Iterator[Finding]], ...]] = (
    pistons,
    rings,
    gaskets,
    kits,
    routes,
    names,
    prices,
)
_KEPT: Final = 16
_known: dict[int, tuple[Catalogue, tuple[Doubt, ...]]] = {}


def findings(catalogue: Catalogue) -> tuple[Finding, ...]:
    """Return every figure of a catalogue's rows that is out of line, each once.

    The work grows about in proportion to the rows.
    """
    found: dict[tuple[str, str, str], Finding] = {}
    for find in _FINDERS:
        for finding in find(catalogue):
            found.setdefault((finding.table, finding.number, finding.field), finding)
    return tuple(found.values())


def row_doubts(catalogue: Catalogue) -> tuple[Doubt, ...]:
    """Return the doubts about a catalogue's rows, one a row, their ids `row NUMBER`.

    The doubts of a catalogue object are cached for later jobs.
    """
    known = _known.get(id(catalogue))
    if known is None or known[0] is not catalogue:
        if len(_known) >= _KEPT:
            del _known[next(iter(_known))]
        known = _known[id(catalogue)] = catalogue, tuple(_doubts(catalogue))
    return known[1]


def _doubts(catalogue: Catalogue) -> Iterator[Doubt]:
    rows: dict[str, list[Finding]] = {}
    for finding in findings(catalogue):
        rows.setdefault(finding.number, []).append(finding)
    for number, found in rows.items():
        yield Doubt(
            id=f"{ROW}{number}",
            file=f"catalogue '{catalogue.name}'",
            row=f"{found[0].table}, {number}",
            field=", ".join(dict.fromkeys(finding.field for finding in found)),
            sentence="; and ".join(f"{each.field}: {each.sentence}" for each in found),
        )
