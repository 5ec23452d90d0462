"""The catalogue under review, with the queries shared by several finders."""

from __future__ import annotations

from functools import cache, cached_property
from typing import Final

from fitsolver.base.lengths import format_length
from fitsolver.doubts.finding import Finding
from fitsolver.fits import compatibility, side_clearance
from fitsolver.fits.end_gap import gap_in_bore, within_reach
from fitsolver.records.catalogue import Catalogue, Gasket, Groove, Piston, Ring
from fitsolver.records.review import Doubt, Seriousness, Table
from fitsolver.records.windows import OPEN

#: An end gap above bore / 50 is implausible (common practice, no source).
GAP_MOST: Final = 50

Part = Piston | Ring | Gasket
Place = tuple[int, Groove]  # a nominal bore and one groove of a piston made for it


class Look:
    """A catalogue with its figures put in words, and which place has a ring."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.catalogue = catalogue
        self.served = cache(self._served)  # pistons of one size share their grooves

    def show(self, ticks: int) -> str:
        return format_length(ticks, self.catalogue.unit, symbol=True)

    @cached_property
    def places(self) -> frozenset[Place]:
        """Every groove of every piston, once per nominal bore."""
        pistons = self.catalogue.pistons
        return frozenset((part.nominal_bore, groove) for part in pistons for groove in part.grooves)

    def _served(self, place: Place) -> bool:
        """Tell whether some ring of the catalogue serves the place."""
        return any(serves(ring, *place) for ring in self.catalogue.rings)


def serves(ring: Ring, bore: int, groove: Groove) -> bool:
    """Tell whether the ring goes into the groove and, in a bore of that size, has a gap.

    It must not be over the bore by more than `seat_over`, filing to its limit must open the
    gap, and the gap must not be above bore / 50.
    """
    if not compatibility.ring_fits_groove(ring, groove):
        return False
    if not side_clearance.holds(groove.width, ring.width, OPEN):
        return False
    if not within_reach(ring.gauge_diameter, bore):
        return False
    if ring.seat_over is not None and ring.gauge_diameter - bore > ring.seat_over:
        return False
    gap = gap_in_bore(ring.gap, ring.gauge_diameter, bore, bore)
    return gap.low + ring.file_most > 0 and gap.high * GAP_MOST <= bore


def doubt(
    table: Table,
    number: str,
    field_name: str,
    sentence: str,
    seriousness: Seriousness = "doubtful",
) -> Doubt:
    """Return one doubtful entry."""
    return Doubt(
        table=table, number=number, field=field_name, sentence=sentence, seriousness=seriousness
    )


def doubt_of(finding: Finding) -> Doubt:
    """Return what a row is doubted for as an entry of a review."""
    seriousness: Seriousness = "serious" if finding.serious else "doubtful"
    return doubt(finding.table, finding.number, finding.field, finding.sentence, seriousness)
