"""Changes of a figure that certainly keep a pick, found without a solve.

A change is *narrowing* when it takes choices away and alters the levels of none that is left: as
long as the plan itself, with its sizes, keeps its rules, it stays the best.

Bores that wait for their pistons are finished to the smallest size that is permitted. What raises
that size takes no choice away: it makes another of it, with less filing. So for such bores only
edges that no smallest size depends on are narrowing, and no reading is.
"""

from __future__ import annotations

from typing import Final

from fitsolver.fits import clean_up
from fitsolver.metrology.form import bore_form, deciding, extremes
from fitsolver.records.base import THOUSANDTHS, FitName
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import CylinderPlan
from fitsolver.records.windows import Window

_OF_FORM: Final[tuple[FitName, ...]] = ("out_of_round", "taper")
#: Edges that the smallest permitted size of a bore does not depend on.
_FROM_ABOVE: Final[dict[FitName, tuple[str, ...]]] = {
    "side_clearance": ("low", "high"),
    "squish": ("low", "high"),
    "out_of_round": ("low", "high"),
    "taper": ("low", "high"),
    "clearance": ("high",),
    "end_gap": ("high",),
    "ring_seat": ("low",),
}
#: Ticks that a product with pi may be off by where an end gap is held against both its edges.
_ROUNDED: Final = 2


def clean_until(catalogue: Catalogue, cylinder: Cylinder, item: CylinderPlan) -> int | None:
    """Return by how much the largest reading may grow while the planned bore still cleans up;
    None where the bore is not machined from what it is."""
    route = next((r for r in catalogue.routes if r.name == item.route), None)
    if not item.machined or route is None or item.restored:
        return None
    clean = clean_up.least_local_size(route, extremes(cylinder)[1], cylinder.scratch)
    return max(0, item.bore_low - clean)


def kept_while_read_larger(
    job: Job, catalogue: Catalogue, cylinder: Cylinder, item: CylinderPlan
) -> int:
    """Return up to which growth of its largest reading a cylinder's pick is surely kept (ticks)."""
    ahead = clean_until(catalogue, cylinder, item)
    if ahead is None or _waits(job) or not _smallest_stays(job, cylinder):
        return 0
    windows = job.windows_for(cylinder)
    if any(window.fit in THOUSANDTHS or _from_below(window) for window in windows):
        return 0
    return ahead


def _waits(job: Job) -> bool:
    return job.finishing == "piston in hand"


def _smallest_stays(job: Job, cylinder: Cylinder) -> bool:
    """Tell whether the smallest reading that decides is another one than the largest."""
    read = list(deciding(cylinder))
    return (
        len(read) > 1
        and min(r.size for r in read) < bore_form(cylinder, job.convention).largest_at.size
    )


def _from_below(window: Window) -> bool:
    """Tell whether a window asks a bore to be so far from round or straight."""
    low = window.stated(1)[0] if window.fit in _OF_FORM else None
    return low is not None and low > 0


def kept_while_moved_in(job: Job, window: Window, side: str, own_slack: int) -> int:
    """Return up to which move of its edge a window surely keeps the pick (ticks).

    `own_slack` is the least slack that the plan leaves to that edge.
    """
    if _waits(job) and side not in _FROM_ABOVE.get(window.fit, ()):
        return 0
    return max(0, own_slack - _ROUNDED) if window.fit == "end_gap" else own_slack
