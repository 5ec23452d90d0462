"""Windows and pins without effect: each is refused with the reason, never dropped."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.choices.asked import grooves_of, left_as_it_is, pistons_for
from fitsolver.metrology.form import deciding
from fitsolver.records.base import FitName
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, InHand, Job
from fitsolver.records.windows import FORM_FITS, GROOVE_FITS, Window, find_window

#: Wording for one entry, and for several.
_MANY: Final = (
    "this would ask nothing of any part or bore, and is",
    "these would ask nothing of any part or bore, and are",
)
#: What each limit on form needs.
_TO_READ: Final[dict[FitName, str]] = {
    "out_of_round": "both axes at one depth in the zone",
    "taper": "one axis at two depths in the zone",
}


def refuse_idle(job: Job, catalogue: Catalogue, file: str) -> None:
    """Raise InputError that lists every window and pin which binds nothing."""
    found = [
        *_idle_windows(job, catalogue),
        *_idle_openings(job, catalogue),
        *_idle_lists(job),
        *_idle_pins(job, catalogue),
        *_idle_pieces(job, catalogue),
    ]
    if found:
        lines = "\n".join(f"  {line}" for line in found)
        raise InputError(
            f"{_MANY[len(found) > 1]} refused rather than dropped:\n{lines}", file=file
        )


def without_idle_windows(job: Job, catalogue: Catalogue) -> Job:
    """Return the job without those of its windows that bind nothing; cylinders have none."""
    kept = (w for w in job.windows if not _lacks(job, catalogue, w, job.cylinders))
    return job.model_copy(update={"windows": tuple(kept)})


def _idle_windows(job: Job, catalogue: Catalogue) -> Iterator[str]:
    number = 0
    for window in job.windows:
        if window.part:  # of a part of the catalogue, which another may outrank
            continue
        number += window.owner == "job"
        lack = _lacks(job, catalogue, window, job.cylinders)
        if lack and window.owner == "job":
            yield f"[[window]] {number}, {_words(window)}: {lack}"
        elif lack:
            yield f"{window.stands}, {_words(window)}: {lack}{_without(window)}"
    for cylinder in job.cylinders:
        for number, window in enumerate(cylinder.windows, start=1):
            lack = _lacks(job, catalogue, window, (cylinder,))
            if lack:
                yield f"cylinder '{cylinder.name}', [[window]] {number}, {_words(window)}: {lack}"


def _without(window: Window) -> str:
    """Return how a job does without the window of a sheet."""
    at = window.groove if window.groove is not None else window.port
    name = ".".join(["window", window.fit, *([] if at is None else [str(at)])])
    return f'; or the job does without it: without = ["{name}"]'


def forms_to_read(job: Job, catalogue: Catalogue) -> Iterator[tuple[FitName, str]]:
    """Yield the limits on form that the readings so far cannot judge, with what must be read."""
    for window in job.windows:
        if window.fit in FORM_FITS and _lacks(job, catalogue, window, job.cylinders):
            yield window.fit, _TO_READ[window.fit]


def _words(window: Window) -> str:
    return window.fit if window.groove is None else f"{window.fit}, groove {window.groove}"


def _lacks(job: Job, catalogue: Catalogue, window: Window, cylinders: Sequence[Cylinder]) -> str:
    """Return why a window binds in none of the cylinders; empty where it binds in one."""
    under = [
        cylinder
        for cylinder in cylinders
        if any(own is window for own in job.windows_for(cylinder))
    ]
    if not under:
        if window.owner != "job":  # outranked, as it may be
            return ""
        return "every cylinder has its own window for this fit"
    if window.fit in GROOVE_FITS:
        return _ring_window_lacks(job, catalogue, window, under)
    if window.fit == "squish" and all(cylinder.squish is None for cylinder in under):
        return "there is no squish base: give [squish], or deck_height in [engine]"
    if window.fit in FORM_FITS:
        return _form_window_lacks(job, catalogue, window, under)
    return ""


def _ring_window_lacks(
    job: Job, catalogue: Catalogue, window: Window, under: Sequence[Cylinder]
) -> str:
    grooves: set[int] = set()
    for cylinder in under:
        own = grooves_of(pistons_for(catalogue, cylinder))
        grooves |= set(own)
        windows = job.windows_for(cylinder)
        if any(find_window(windows, window.fit, groove) is window for groove in own):
            return ""
    if window.groove is None and grooves:
        if window.owner != "job":
            return ""
        return "every groove has a window of its own"
    if window.owner != "job" and not grooves:  # a list without grooves: the cautions tell it
        return ""
    there = ", ".join(map(str, sorted(grooves))) or "none"
    return f"no piston has this groove (grooves there are: {there})"


def _form_window_lacks(
    job: Job, catalogue: Catalogue, window: Window, under: Sequence[Cylinder]
) -> str:
    """Form is judged where a bore stays as it is; its readings must suffice for that."""
    staying = [cylinder for cylinder in under if left_as_it_is(job, catalogue, cylinder)]
    tells: Callable[[Cylinder], bool] = (
        _tells_out_of_round if window.fit == "out_of_round" else _tells_taper
    )
    if not staying or any(tells(cylinder) for cylinder in staying):
        return ""
    if window.fit == "out_of_round":
        return "no depth that decides (in the zone, outside the ports) is read on two axes"
    return "no axis is read at two depths that decide (in the zone, outside the ports)"


def _tells_out_of_round(cylinder: Cylinder) -> bool:
    depths = [reading.depth for reading in deciding(cylinder)]
    return len(depths) > len(set(depths))


def _tells_taper(cylinder: Cylinder) -> bool:
    axes = [reading.angle for reading in deciding(cylinder)]
    return len(axes) > len(set(axes))


def _idle_openings(job: Job, catalogue: Catalogue) -> Iterator[str]:
    """A fit left open in a groove that no piston has: a slip of the pen."""
    grooves = {
        groove
        for cylinder in job.cylinders
        for groove in grooves_of(pistons_for(catalogue, cylinder))
    }
    for opened in job.no_window:
        if opened.groove is not None and opened.groove not in grooves:
            yield f"no_window, {opened.text}: no piston has this groove"


def _idle_lists(job: Job) -> Iterator[str]:
    if job.routes and all(cylinder.routes for cylinder in job.cylinders):
        yield "[finish], routes: every cylinder has its own list"


def _idle_pins(job: Job, catalogue: Catalogue) -> Iterator[str]:
    for cylinder in job.cylinders:
        grooves = grooves_of(pistons_for(catalogue, cylinder))
        for ring in cylinder.rings:
            if ring.groove not in grooves:
                there = ", ".join(map(str, grooves)) or "none"
                yield (
                    f"cylinder '{cylinder.name}', rings: no piston that it may get has groove "
                    f"{ring.groove} (grooves there are: {there})"
                )


def _idle_pieces(job: Job, catalogue: Catalogue) -> Iterator[str]:
    """Pieces reserved for a cylinder whose pins name another part."""
    pistons = {part.number for part in catalogue.pistons}
    rings = {part.number: part.grooves for part in catalogue.rings}
    for number, held in enumerate(job.in_hand, start=1):
        cylinder = next((c for c in job.cylinders if c.name == held.cylinder), None)
        if cylinder is None:
            continue
        pin = _overriding(held, cylinder, pistons, rings)
        if pin:
            yield (
                f"[[in_hand]] {number}, {held.number}: reserved for cylinder "
                f"'{cylinder.name}', which is to get {pin}"
            )


def _overriding(
    held: InHand, cylinder: Cylinder, pistons: set[str], rings: dict[str, tuple[int, ...]]
) -> str:
    """Return the pin that keeps a piece out of a cylinder; empty: the cylinder may take it."""
    if held.number in pistons and cylinder.piston is not None:
        if held.number != cylinder.piston:
            return cylinder.piston
        if cylinder.piston_size is not None and held.size is not None:
            return f"{cylinder.piston} of its own piston_size"
    if held.number in rings:
        pinned = {ring.groove: ring.number for ring in cylinder.rings}
        others = [pinned.get(groove, held.number) for groove in rings[held.number]]
        if others and held.number not in others:
            return ", ".join(sorted(set(others)))
    return ""
