"""The fits that the parts of a job form: asked, left open by name, or missing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.records.base import FITS, FitName
from fitsolver.records.catalogue import Catalogue, Piston, Ring, Route
from fitsolver.records.doubts import Doubt
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import Question
from fitsolver.records.windows import FORM_FITS, SHEETS, Window, find_window, place_words


class Place(NamedTuple):
    """A fit, in a groove where it is a ring's."""

    fit: FitName
    groove: int | None = None

    @property
    def name(self) -> str:
        """The name as `no_window` says it."""
        return self.fit if self.groove is None else f"{self.fit} {self.groove}"

    @property
    def words(self) -> str:
        return place_words(self.fit, self.groove)


def pistons_for(catalogue: Catalogue, cylinder: Cylinder) -> tuple[Piston, ...]:
    """Return the pistons that the pins of a cylinder leave."""
    if cylinder.piston is None:
        return catalogue.pistons
    return tuple(part for part in catalogue.pistons if part.number == cylinder.piston)


def grooves_of(pistons: Iterable[Piston]) -> tuple[int, ...]:
    """Return the numbers of the grooves that some of the pistons have, ascending."""
    return tuple(sorted({groove.number for part in pistons for groove in part.grooves}))


def left_as_it_is(job: Job, catalogue: Catalogue, cylinder: Cylinder) -> bool:
    """Tell whether the bore of a cylinder may be left as it is."""
    if job.finishing == "already finished":
        return True
    routes = routes_for(job, catalogue, cylinder)
    return any(not route.machined for route in routes)


def routes_for(job: Job, catalogue: Catalogue, cylinder: Cylinder) -> tuple[Route, ...]:
    """Return the routes that a cylinder's own list and pin, or the job's list, leave."""
    routes = catalogue.shop_routes
    listed = cylinder.routes or job.routes
    if listed:
        routes = tuple(route for route in routes if route.name in listed)
    if cylinder.route is not None:
        routes = tuple(route for route in routes if route.name == cylinder.route)
    return routes


def formed(job: Job, catalogue: Catalogue, cylinder: Cylinder) -> Iterator[Place]:
    """Yield the fits of a cylinder that a proof covers: each has a window or is left open by name.

    Clearance; the end gap of every groove of the pistons it may get; the squish where squish data
    are given; out-of-round and taper of a measured bore that may be left as it is with new rings.
    """
    yield Place("clearance")
    grooves = grooves_of(pistons_for(catalogue, cylinder))
    yield from (Place("end_gap", groove) for groove in grooves)
    if cylinder.squish is not None:
        yield Place("squish")
    new_rings = grooves and not _rings_stay(job, cylinder, grooves)
    if cylinder.readings and new_rings and left_as_it_is(job, catalogue, cylinder):
        yield from (Place(fit) for fit in FORM_FITS)


def _rings_stay(job: Job, cylinder: Cylinder, grooves: tuple[int, ...]) -> bool:
    """Tell whether every groove keeps the ring that is in it."""
    kept = {held.number for held in job.in_hand if held.kept}
    pinned = {ring.groove for ring in cylinder.rings if ring.number in kept}
    return pinned.issuperset(grooves)


def is_asked(job: Job, catalogue: Catalogue, cylinder: Cylinder, place: Place) -> bool:
    """Tell whether a window holds for a fit of every new or kept part: of the cylinder or the
    job, or one that the part's maker states.
    """
    windows = job.windows_for(cylinder)
    window = find_window(windows, place.fit, place.groove)
    if window is None:
        return _all_stated(windows, catalogue, cylinder, place)
    if window.low is not None or window.high is not None:
        return True
    return _kept_only(job, cylinder, place)


def _all_stated(
    windows: tuple[Window, ...], catalogue: Catalogue, cylinder: Cylinder, place: Place
) -> bool:
    """Tell whether every part that a place may get carries a window from its maker."""
    parts: tuple[Piston | Ring, ...] = ()
    if place.fit == "clearance":
        parts = pistons_for(catalogue, cylinder)
    elif place.fit == "end_gap" and place.groove is not None:
        pins = {ring.number for ring in cylinder.rings if ring.groove == place.groove}
        serving = [ring for ring in catalogue.rings if place.groove in ring.grooves]
        parts = tuple(ring for ring in serving if not pins or ring.number in pins)
    found = (find_window(windows, place.fit, place.groove, stated=part.stated) for part in parts)
    return bool(parts) and all(
        window is not None and (window.low, window.high) != (None, None) for window in found
    )


def _kept_only(job: Job, cylinder: Cylinder, place: Place) -> bool:
    """Tell whether only a kept part can stand at a place; the service limits then apply."""
    if place.groove is None:
        return cylinder.piston_kept
    return _rings_stay(job, cylinder, (place.groove,))


def is_open(job: Job, place: Place) -> bool:
    """Tell whether a job leaves a fit open by name."""
    return any(opened.covers(place.fit, place.groove) for opened in job.no_window)


def missing(job: Job, catalogue: Catalogue) -> dict[Place, tuple[str, ...]]:
    """Return the fits that are neither asked nor left open, with the cylinders that lack them."""
    found: dict[Place, list[str]] = {}
    for cylinder in job.cylinders:
        for place in formed(job, catalogue, cylinder):
            if not is_asked(job, catalogue, cylinder, place) and not is_open(job, place):
                found.setdefault(place, []).append(cylinder.name)
    return {place: tuple(found[place]) for place in sorted(found, key=_order)}


def _order(place: Place) -> tuple[int, int]:
    return FITS.index(place.fit), place.groove or 0


def refuse_missing(job: Job, catalogue: Catalogue, file: str) -> None:
    """Raise InputError that lists every fit that is neither asked nor left open by name."""
    lacking = missing(job, catalogue)
    if not lacking:
        return
    everywhere = tuple(cylinder.name for cylinder in job.cylinders)
    lines = [
        f"  {place.words}{_where(names, everywhere)}: see {SHEETS[place.fit]}"
        for place, names in lacking.items()
    ]
    opened = ", ".join(f'"{place.name}"' for place in lacking)
    raise InputError(
        "\n".join(["these fits have no window:", *lines])
        + "\nGive each a [[window]] with its lowest and highest value. A fit that is not to be "
        f"asked is left open by name: no_window = [{opened}]",
        file=file,
        field="window",
    )


def _where(names: tuple[str, ...], everywhere: tuple[str, ...]) -> str:
    if names == everywhere:
        return ""
    return f" (cylinder{'s' if len(names) > 1 else ''} {', '.join(names)})"


def question(job: Job, catalogue: Catalogue, accepted: Iterable[Doubt] = ()) -> Question:
    """Return the fits that a job asks for in any cylinder, and those it does not.

    Optional fits (ring seat, port timing, compression) count where they have a window. Side
    clearance without a window is not asked: the ring must only enter the groove.
    """
    asked: dict[Place, list[str]] = {}
    unasked: dict[Place, list[str]] = {}
    for cylinder in job.cylinders:
        for place in (*formed(job, catalogue, cylinder), *_optional(job, catalogue, cylinder)):
            kind = asked if is_asked(job, catalogue, cylinder, place) else unasked
            kind.setdefault(place, []).append(cylinder.name)
    everywhere = tuple(cylinder.name for cylinder in job.cylinders)
    return Question(
        asked=tuple(place.words for place in sorted(asked, key=_order)),
        not_asked=tuple(
            place.words + (_where(tuple(unasked[place]), everywhere) if place in asked else "")
            for place in sorted(unasked, key=_order)
        ),
        accepted=tuple(f"{doubt.id}: {doubt.sentence}" for doubt in accepted),
    )


def question_cautions(asked: Question) -> tuple[str, ...]:
    """Return the cautions about fits not asked and doubts accepted."""
    found = [f"Accepted against a doubt: {sentence}" for sentence in asked.accepted]
    if asked.not_asked:
        left = ", ".join(asked.not_asked)
        found.insert(0, f"Not asked: {left}. Only what is physically impossible is refused there.")
    return tuple(found)


def _optional(job: Job, catalogue: Catalogue, cylinder: Cylinder) -> Iterator[Place]:
    windows = job.windows_for(cylinder)
    grooves = grooves_of(pistons_for(catalogue, cylinder))
    yield from (Place("side_clearance", groove) for groove in grooves)
    yield from (
        Place("ring_seat", groove) for groove in grooves if _has(windows, "ring_seat", groove)
    )
    yield from (Place(fit) for fit in ("port_timing", "compression") if _any(windows, fit))


def _has(windows: tuple[Window, ...], fit: FitName, groove: int) -> bool:
    return find_window(windows, fit, groove) is not None


def _any(windows: tuple[Window, ...], fit: str) -> bool:
    return any(window.fit == fit for window in windows)
