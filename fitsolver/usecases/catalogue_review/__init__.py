"""A look through a catalogue: its sizes, the gaps between them, and doubtful entries.

Nothing here refuses a catalogue; reading it does that. A review lists entries to verify: the doubts
about rows (`fitsolver.doubts.rows`), for which a plan leaves a row out, and further unusual
entries. The bounds of what is plausible are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from fitsolver.doubts.rows import findings
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.review import CatalogueReview, Counts, Doubt, Seriousness
from fitsolver.usecases.catalogue_review import buying, parts, routes, sizes
from fitsolver.usecases.catalogue_review.look import Look, doubt_of

_FINDERS: Final = (
    parts.pistons,
    parts.rings,
    sizes.grades,
    buying.kits,
    buying.sourcing,
    routes.cuts,
    routes.holes,
    routes.restoring,
)
_ORDER: Final[dict[Seriousness, int]] = {"serious": 0, "doubtful": 1, "note": 2}


def review(catalogue: Catalogue, version: str = "") -> CatalogueReview:
    """Return the catalogue's sizes and doubtful entries, most serious first.

    `version` is the program's, for the record. Lengths are ticks; sentences give figures in
    the catalogue's unit.
    """
    look = Look(catalogue)
    rows = [doubt_of(finding) for finding in findings(catalogue)]
    told = {(row.table, row.number, what) for row in rows for what in _figures(row)}
    more = [doubt for find in _FINDERS for doubt in find(look)]
    doubts = [*rows, *(d for d in more if (d.table, d.number, d.field) not in told)]
    return CatalogueReview(
        program_version=version,
        catalogue=catalogue.name,
        family=catalogue.family,
        fingerprint=catalogue.fingerprint,
        unit=catalogue.unit,
        counts=Counts(
            pistons=len(catalogue.pistons),
            rings=len(catalogue.rings),
            gaskets=len(catalogue.gaskets),
            kits=len(catalogue.kits),
            routes=len(catalogue.routes),
        ),
        sizes=sizes.size_steps(catalogue),
        doubtful=most_serious_first(doubts),
        cautions=(
            *buying.cautions(look),
            "A review sees entries that contradict each other or what is common; a wrong figure "
            "that looks right stays unseen. The maker's sheet outranks it.",
        ),
    )


def most_serious_first(doubts: Iterable[Doubt]) -> tuple[Doubt, ...]:
    """Return doubtful entries, the most serious first."""
    return tuple(sorted(doubts, key=lambda doubt: _ORDER[doubt.seriousness]))


def _figures(row: Doubt) -> tuple[str, ...]:
    """The names under which a doubted row need not be told again: its column, what the column
    is of, and the row as a whole.
    """
    return row.field, row.field.removesuffix("_low").removesuffix("_high"), ""
