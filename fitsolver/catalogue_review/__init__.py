"""A look through a catalogue: its sizes, the gaps between them, and doubtful entries.

Nothing here refuses a catalogue; reading it does that. A review points at what a careful
person would look up again. The bounds of what is plausible are common practice, no source.
"""

from __future__ import annotations

from typing import Final

from fitsolver.catalogue_review import buying, parts, routes, sizes
from fitsolver.catalogue_review.look import Look
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.review import CatalogueReview, Counts, Seriousness

_FINDERS: Final = (
    parts.pistons,
    parts.rings,
    parts.gaskets,
    sizes.grades,
    sizes.names,
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
    doubts = [doubt for find in _FINDERS for doubt in find(look)]
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
        doubtful=tuple(sorted(doubts, key=lambda doubt: _ORDER[doubt.seriousness])),
        cautions=(
            *buying.cautions(look),
            "A review sees entries that contradict each other or what is common; a wrong figure "
            "that looks right stays unseen. The maker's sheet outranks it.",
        ),
    )
