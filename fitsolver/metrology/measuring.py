"""A job as it was measured, made ready to be decided: at 20 °C, with its instruments and guards."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, pi
from typing import TYPE_CHECKING

from fitsolver.metrology.correct import assumed_expansion, corrected
from fitsolver.metrology.form import extremes
from fitsolver.metrology.guards import Asked, guard_of
from fitsolver.metrology.instrument_sets import instrument_set
from fitsolver.metrology.measured import Measured
from fitsolver.metrology.whole_bore import tried_here
from fitsolver.records.base import FitName
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import Measuring
from fitsolver.records.windows import FORM_FITS, Window

if TYPE_CHECKING:
    from fitsolver.metrology.sources import Sources
    from fitsolver.metrology.spread import Spread
    from fitsolver.metrology.uncertainty import FitErrors, FitSpreads, TriedGap

#: Fits that only a bore has that is left as it is.


def measured(job: Job, catalogue: Catalogue | None = None) -> Measured:
    """Return a job at 20 °C with its instruments known and every window guarded as it asks.

    A job that does not say how it was measured comes back as it is. Raises InputError for
    an unknown set of instruments, material or alloy.
    """
    if job.measuring is not None:
        job = _with_instruments(job, job.measuring)
    stated, corrections = corrected(job, catalogue)
    stated = _with_allowance(stated)
    if stated.measuring is None or stated.measuring.decision == "plain":
        return Measured(stated, stated, corrections)
    return Measured(guarded(stated, catalogue), stated, corrections)


def guarded(job: Job, catalogue: Catalogue | None = None, *, share: Fraction = Fraction(1)) -> Job:
    """Return the job with the guard of every window raised to what its uncertainty asks for.

    `catalogue` states the alloys of its pistons. `share` scales the uncertainty, to see what a
    better gauge would allow.
    """
    cylinders = tuple(_guarded(job, cylinder, catalogue, share) for cylinder in job.cylinders)
    return job.model_copy(update={"cylinders": cylinders})


def cylinder_errors(
    job: Job, cylinder: Cylinder, sources: Sources, catalogue: Catalogue | None = None
) -> FitErrors:
    """Return the error of every fit of a cylinder before its parts are chosen.

    The errors are those of `cylinder_spreads`, each at its highest value.
    """
    spreads = cylinder_spreads(job, cylinder, sources, catalogue)
    return {key: spread.most for key, spread in spreads.items()}


def cylinder_spreads(
    job: Job,
    cylinder: Cylinder,
    sources: Sources,
    catalogue: Catalogue | None = None,
    *,
    machined: bool | None = None,
) -> FitSpreads:
    """Return the spread of every fit of a cylinder before its parts are chosen.

    Where a measured piston may or may not be fitted, the more uncertain of the two counts,
    and of the pistons that may be fitted the one that grows most. Groove 0 stands for any
    groove that has no window of its own. A finished bore is judged over its whole zone, however
    few its readings, and so is one that is not `machined`; one that may be (None: where it is not
    finished already) as its route leaves it.
    """
    from fitsolver.metrology.uncertainty import fit_spreads

    largest = extremes(cylinder)[1]
    own = {window.groove for window in job.windows_for(cylinder) if window.groove is not None}
    grooves = (0, *sorted(own))
    tried = _tried(job, cylinder, grooves)
    found: FitSpreads = {}
    for with_piston in _piston_measured(job, cylinder):
        spreads = fit_spreads(
            job,
            cylinder,
            bore=largest,
            piston=cylinder.piston_size or largest,
            piston_measured=with_piston,
            piston_expansion=_largest_expansion(job, cylinder, catalogue),
            sources=sources,
            machined=job.finishing != "already finished" if machined is None else machined,
            gaps={groove: 0 if groove in tried else None for groove in grooves},
            tried=tried,
            over="places read" if cylinder.zone is None else "whole bore",
        )
        for key, spread in spreads.items():
            if key not in found or spread.deviation(high=True) > found[key].deviation(high=True):
                found[key] = spread
    return found


def _tried(job: Job, cylinder: Cylinder, grooves: tuple[int, ...]) -> dict[int, TriedGap]:
    """Return where the gaps of a finished bore's rings were tried, where that was in it for all."""
    from fitsolver.metrology.uncertainty import TriedGap

    bores = [item.gap_bore for item in job.in_hand if item.gap_bore is not None]
    offered = [item for item in job.in_hand if item.cylinder in (None, cylinder.name)]
    here = [
        item.gap_bore
        for item in offered
        if item.gap_bore is not None and tried_here(cylinder, item.cylinder, item.gap_bore)
    ]
    pinned = {ring.number for ring in cylinder.rings}
    known = {item.number for item in offered if item.gap_bore in here}
    if job.finishing != "already finished" or not bores or not pinned <= known or not pinned:
        return {}
    return dict.fromkeys(grooves, TriedGap(here[0], here=True))


def _piston_measured(job: Job, cylinder: Cylinder) -> tuple[bool, ...]:
    if job.finishing == "piston in hand" or cylinder.piston_size is not None:
        return (True,)
    if any(item.size is not None for item in job.in_hand):
        return (True, False)
    return (False,)


def _largest_expansion(job: Job, cylinder: Cylinder, catalogue: Catalogue | None) -> int:
    """Return the largest expansion (10**-9 per kelvin) of the pistons a cylinder may get.

    The odds of a plan use the same expansion, so that no guard is smaller than its piston needs.
    """
    pistons = () if catalogue is None else catalogue.pistons
    alloys = {part.alloy for part in pistons if cylinder.piston in (None, part.number)}
    return max(assumed_expansion(job, alloy) for alloy in alloys or {""})


def _guarded(
    job: Job, cylinder: Cylinder, catalogue: Catalogue | None, share: Fraction
) -> Cylinder:
    from fitsolver.metrology.sources import Sources

    spreads = cylinder_spreads(job, cylinder, Sources(), catalogue)
    left = spreads
    if job.finishing != "already finished" and cylinder.readings:
        left = cylinder_spreads(job, cylinder, Sources(), catalogue, machined=False)
    asked = Asked(job.measuring or Measuring(), float(share))
    windows = []
    for window in job.windows_for(cylinder):
        key = error_key(window)
        own = left if window.fit in FORM_FITS else spreads
        changed = {"guard": _guard(asked, window, cylinder, own.get(key))}
        if left is not spreads and window.fit == "clearance":
            changed["guard_as_is"] = _guard(asked, window, cylinder, left.get(key))
        windows.append(window.model_copy(update=changed))
    return cylinder.model_copy(update={"windows": tuple(windows)})


def _guard(asked: Asked, window: Window, cylinder: Cylinder, spread: Spread | None) -> int:
    """Return the guard of a window: the stated one, or the one for its uncertainty if that is
    larger.

    One window may hold for many pistons: the largest local size stands for the nominal bore.
    """
    if spread is None:
        return window.guard
    smallest, largest = extremes(cylinder)
    guard = guard_of(asked, window.stated(largest), spread, _apart(window, largest - smallest))
    return max(window.guard, guard)


def _apart(window: Window, bore_spread: int) -> int:
    """Return how far apart a fit's values lie over a bore as it was read (ticks)."""
    if window.fit in FORM_FITS:
        return 0
    return ceil(pi * bore_spread) if window.fit == "end_gap" else bore_spread


def error_key(window: Window) -> tuple[FitName, int | None]:
    """Return the key of a window's error; one for all grooves has that of any groove (0)."""
    if window.groove is None and window.fit in ("end_gap", "ring_seat"):
        return window.fit, 0
    return window.fit, window.groove


def _with_instruments(job: Job, measuring: Measuring) -> Job:
    """Put the instruments of the set that the job names beside its own, which come first."""
    if not measuring.set_name:
        return job
    ready = instrument_set(measuring.set_name)
    own = {item.kind for item in measuring.instruments}
    instruments = (*measuring.instruments, *(item for item in ready if item.kind not in own))
    known = measuring.model_copy(update={"instruments": instruments})
    return job.model_copy(update={"measuring": known})


def _with_allowance(job: Job) -> Job:
    """Give every cylinder without a form allowance of its own that of the job."""
    allowance = 0 if job.measuring is None else job.measuring.form_allowance
    if not allowance:
        return job
    cylinders = tuple(
        cylinder
        if cylinder.form_allowance
        else cylinder.model_copy(update={"form_allowance": allowance})
        for cylinder in job.cylinders
    )
    return job.model_copy(update={"cylinders": cylinders})
