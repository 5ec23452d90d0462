"""Running fits from the job's temperatures: reported and warned about, never a rule."""

from __future__ import annotations

from fitsolver.choices.selection import CylinderSelection
from fitsolver.choices.types import CylinderChoices
from fitsolver.fits.thermal import Growth, hot_clearance, hot_end_gap
from fitsolver.metrology.materials import expansion, is_known
from fitsolver.records.job import Rise
from fitsolver.records.plan import Fit, HotFit


def hot_fits(
    state: CylinderChoices, chosen: CylinderSelection, fits: tuple[Fit, ...]
) -> tuple[HotFit, ...]:
    """Return the least running clearance and end gaps; none without the job's temperatures.

    `fits` are the cold fits of the cylinder. Raises InputError for an unknown alloy.
    """
    rise = state.job.engine.rise
    if rise is None:
        return ()
    bore = Growth(_expansion(rise, state.job.name, "bore_alloy", ""), rise.bore)
    candidate = chosen.option.piston.candidate
    alloy = _expansion(rise, state.job.name, "piston_alloy", candidate.part.alloy)
    tightest = min(line.least for line in fits if line.fit == "clearance")
    skirt = candidate.skirt.high
    least = hot_clearance(skirt + tightest, skirt, bore, Growth(alloy, rise.piston))
    found = [HotFit(what="clearance", least=least)]
    for line in fits:
        if line.fit == "end_gap" and line.groove is not None:
            ring = chosen.rings[line.groove].candidate.part
            ring_alloy = _expansion(rise, state.job.name, "ring_alloy", ring.alloy)
            gap = hot_end_gap(line.least, chosen.low, bore, Growth(ring_alloy, rise.ring))
            found.append(HotFit(what="end_gap", groove=line.groove, least=gap))
    return tuple(found)


def _expansion(rise: Rise, job: str, field: str, own: str) -> int:
    """The part's own alloy, where its expansion is known, takes precedence over the job's."""
    if is_known(own):
        return expansion(own)
    return expansion(getattr(rise, field) or own, file=job, field=f"engine.rise.{field}")
