"""What is left: the sizes of the catalogue above a bore, and the rebuilds it is still good for."""

from __future__ import annotations

from typing import Final

from fitsolver.records.base import Count, Length, Record, RuleId
from fitsolver.records.heading import PartsDocument
from fitsolver.records.plan import Status
from fitsolver.records.wear import WearEstimate, WearSource

LADDER_SCHEMA: Final = 1


class Rung(Record):
    """One size of the catalogue, with the least that a bore has to give for it (ticks).

    `piston`, `route` and `finish` (for the largest piston of the tolerance) are those that
    remove least from the bore as it is now. `removal_now` counts from the bore as it is,
    `removal_after` from the bore that today's plan leaves; None where no piston and route can
    do it from there, and then `barred_by` names the rule that forbids it now. `rebuilds_left`
    is the most rebuilds after it, were it finished so today.
    """

    oversize: Length
    nominal_bore: Length
    chosen: bool
    piston: str = ""
    route: str = ""
    finish: Length | None = None
    removal_now: Length | None = None
    removal_after: Length | None = None
    barred_by: RuleId | None = None
    rebuilds_left: Count | None = None


class CylinderLadder(Record):
    """What is left of one cylinder.

    `rebuilds_left` is the most rebuilds after today's plan, `light_hones` those of them that
    fit one after another inside the windows of the size chosen today. Both are None without a
    plan, without `wear_per_rebuild`, which comes from `wear_source`, and where rebuilds have
    `no_end`: neither a bore limit nor an upper edge of the clearance makes any bore too large.
    `earlier_wear` is what earlier records of the cylinder tell, whether it counts or not.
    """

    cylinder: str
    smallest: Length
    largest: Length
    bore_limit: Length | None
    wear_per_rebuild: Length | None
    bore_low: Length | None
    bore_high: Length | None
    rebuilds_left: Count | None
    light_hones: Count | None
    rungs: tuple[Rung, ...]
    wear_source: WearSource = ""
    earlier_wear: WearEstimate | None = None
    no_end: bool = False


class LadderAnswer(PartsDocument):
    """What `ladder` answers."""

    schema_version: int = LADDER_SCHEMA
    status: Status
    cylinders: tuple[CylinderLadder, ...]
    cautions: tuple[str, ...] = ()
