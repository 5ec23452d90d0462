"""The cautions of an answer: those its figures require, then the standing ones."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from fitsolver.base.lengths import Unit, format_length
from fitsolver.choices.current import answered
from fitsolver.metrology.form import LOBING_CAUTION, deciding, sees_no_oval
from fitsolver.metrology.materials import is_plated
from fitsolver.planning.list_cautions import of_list, of_order
from fitsolver.records.told import cylinder_words
from fitsolver.records.words import FIT_WORDS

if TYPE_CHECKING:
    from fitsolver.records.base import FitName
    from fitsolver.records.catalogue import Catalogue, Piston, Ring
    from fitsolver.records.form import BoreForm
    from fitsolver.records.job import Job
    from fitsolver.records.ladder import CylinderLadder
    from fitsolver.records.plan import CylinderPlan, Plan

SHEETS: Final = (
    "The engine's and the part maker's own sheets, local rules and a licensed or qualified "
    "engine machinist outrank this tool. Windows come from those sheets."
)
SEIZURE: Final = (
    "Rings whose ends butt and tight skirts seize engines and can throw parts: try every ring "
    "in its bore, measure every piston before it goes in."
)
TEMPERATURE: Final = "Sizes mean 20 °C: measure there, or correct for it."
WARM: Final = (
    "A bore straight off the hone is warm and reads big: let it cool before the last reading."
)
STOP: Final = "Stop as soon as the bore is clean and at size: metal honed away stays away."
HONING: Final = (
    "Honing and boring: eye protection, no loose gloves near the spindle. Catch the grit, wash "
    "it out with hot soapy water, then oil the bore. Solvents burn and their fumes harm."
)
PLATED: Final = "Plated bore: no ordinary hone past the plating; its dust is harmful."
FILING: Final = (
    "File ring ends square, from the outside in; take the burrs off; try the gap often, square "
    "in the finished bore where it is smallest."
)
KEPT: Final = "Kept parts are held to the service limits: look at them for cracks and scuffing too."
NO_TEMPERATURES: Final = (
    "No running temperatures are given: hot clearance and hot end gaps were not looked at."
)
NO_GUARD: Final = (
    "No window has a measuring allowance: nothing is given up to the uncertainty of the gauges."
)
UNMEASURED: Final = (
    "Pistons not measured yet are planned over their maker's tolerance: measure them before the "
    "last pass."
)
SET_SIZE: Final = (
    "Finished to a set size: measure the pistons when they come, and keep the finish size until "
    "then."
)
BETWEEN: Final = (
    "Between readings the bore is taken to be as read; a form allowance in the job gives room "
    "for more."
)
BETWEEN_TOLD: Final = (
    "What keeps to its window is decided on the sizes as read: what lies between the readings "
    "counts in the odds, and in the measuring allowance where the job asks for one."
)
PLACES_READ: Final = (
    "the odds are those of the places read. Readings at two depths and two axes, four in all, in a "
    "zone that the job gives, tell of the whole bore."
)
TWO_AXES: Final = (
    "axes read square to each other cannot see an oval at 45° to them. The odds count one as bores "
    "of this kind have it; a reading at 45° shows it."
)
#: Common practice, no source.
GLAZE: Final = (
    "new rings go into a worn bore that is left as it is. A glazed wall keeps new rings from "
    "seating, and the top ring may strike a ridge above its old travel: look for both, and ask the "
    "ring maker's sheet whether the glaze is to be broken first (a route that takes metal)."
)
#: Common practice, no source.
GLAZE_PLATED: Final = (
    "new rings go into a worn plated bore that is left as it is. The plating is not honed to seat "
    "them: ask the maker's sheets which rings may run on it, and how the wall is cleaned before "
    "they go in."
)
#: End of the caution on a window that lets the skirt be larger than the bore.
TIGHT: Final = "the skirt may be larger than the bore"
#: Start of a catalogue's statement about itself.
NOTE: Final = "The catalogue says of itself: "
#: Readings named in one caution.
_MOST_NAMED: Final = 3


def cautions(
    job: Job, catalogue: Catalogue, plan: Plan | None, forms: Sequence[BoreForm]
) -> tuple[str, ...]:
    """Return the cautions of an answer, each once: those of its figures first, then standing ones.

    `plan` None: nothing fits, or the counter's question, where nothing is machined.
    """
    found: list[str] = [*_of_plan(job, plan), *_outside(job), *_plated(job)]
    found += [*_overruled(job, catalogue, plan), *_of_windows(job, catalogue)]
    found[:0] = [*answered(job, catalogue), *of_list(catalogue), *of_order(catalogue, plan)]
    found += [*_of_forms(forms), SEIZURE, TEMPERATURE, SHEETS]
    if plan is not None and any(item.odds_of for item in plan.cylinders if not item.machined):
        found = [BETWEEN_TOLD if caution == BETWEEN else caution for caution in found]
    if catalogue.note:
        found.append(f"{NOTE}{catalogue.note}")
    return tuple(dict.fromkeys(found))


def form_cautions(job: Job, forms: Sequence[BoreForm]) -> tuple[str, ...]:
    """Return the cautions of a form report, each once."""
    found = [*_outside(job), *_of_forms(forms), *_plated(job), TEMPERATURE, SHEETS]
    return tuple(dict.fromkeys(found))


def _of_plan(job: Job, plan: Plan | None) -> Iterator[str]:
    if plan is None:
        return
    for cylinder in plan.cylinders:
        yield from _tight(cylinder, job.unit)
        yield from hot_cautions(cylinder)
    yield from _of_odds(job, plan)
    if job.engine.rise is None:
        yield NO_TEMPERATURES
    if any(cylinder.machined for cylinder in plan.cylinders):
        yield from _of_machining(job, plan)
    yield from _of_seating(job, plan)
    for cylinder in plan.cylinders:
        if not cylinder.rings:
            yield (
                f"Cylinder {cylinder.cylinder}: the catalogue gives its piston no ring grooves: "
                "its rings were not looked at."
            )
    rings = [ring for cylinder in plan.cylinders for ring in cylinder.rings]
    if any(ring.filing for ring in rings):
        yield FILING
    if any(part.kept for part in (*rings, *(cylinder.piston for cylinder in plan.cylinders))):
        yield KEPT


def _of_odds(job: Job, plan: Plan) -> Iterator[str]:
    """Yield the limits of the odds of a bore that is left as it is."""
    known = {cylinder.name: cylinder for cylinder in job.cylinders}
    for item in plan.cylinders:
        cylinder = known.get(item.cylinder)
        if cylinder is None or item.odds_of is None or item.machined or not cylinder.readings:
            continue
        if item.odds_of == "places read":
            yield f"Cylinder {item.cylinder}: {PLACES_READ}"
        if not cylinder.form_allowance and sees_no_oval(deciding(cylinder)):
            yield f"Cylinder {item.cylinder}: {TWO_AXES}"


def _of_seating(job: Job, plan: Plan) -> Iterator[str]:
    """New rings in a worn bore that stays as it is; a finished bore is not worn."""
    if job.finishing == "already finished":
        return
    known = {cylinder.name: cylinder for cylinder in job.cylinders}
    for item in plan.cylinders:
        cylinder = known.get(item.cylinder)
        if cylinder is None or cylinder.finished_size is not None or item.machined:
            continue
        if any(not ring.kept for ring in item.rings):
            glaze = GLAZE_PLATED if is_plated(cylinder.material) else GLAZE
            yield f"Cylinder {item.cylinder}: {glaze}"


def _of_machining(job: Job, plan: Plan) -> Iterator[str]:
    machined = [cylinder for cylinder in plan.cylinders if cylinder.machined]
    if job.finishing == "set size":
        yield SET_SIZE
    elif not all(cylinder.skirt.known for cylinder in machined):
        yield UNMEASURED
    yield from (HONING, STOP, WARM)


def hot_cautions(cylinder: CylinderPlan) -> Iterator[str]:
    """Yield the cautions of running fits of which nothing is left."""
    for hot in cylinder.hot:
        if hot.least > 0:
            continue
        what = "the skirt may have no clearance left and seize"
        if hot.what == "end_gap":
            what = f"the ends of the ring in groove {hot.groove} may meet"
        yield (
            f"Cylinder {cylinder.cylinder}: hot, {what}. Check the temperatures, then the window "
            "in the maker's sheet, before it is run."
        )


def _tight(cylinder: CylinderPlan, unit: Unit) -> Iterator[str]:
    """Yield the caution of a clearance that may be below 0: permitted for coated skirts only."""
    for fit in cylinder.fits:
        if fit.fit == "clearance" and fit.least < 0:
            most = format_length(-fit.least, unit, "up", symbol=True)
            yield (
                f"Cylinder {cylinder.cylinder}: {TIGHT}, by up to {most}: its "
                "clearance window permits it. That is for coated skirts only, whose maker says so: "
                "check the sign."
            )


def _overruled(job: Job, catalogue: Catalogue, plan: Plan | None) -> Iterator[str]:
    """Windows stated by the makers of the chosen parts that a window of the job replaces."""
    if plan is None or not catalogue.windows:
        return
    from fitsolver.choices.stated import overruled

    every: tuple[Piston | Ring, ...] = (*catalogue.pistons, *catalogue.rings)
    parts = {part.number: part for part in every}
    for cylinder in plan.cylinders:
        for chosen in (cylinder.piston, *cylinder.rings):
            for window in overruled(job, catalogue, parts[chosen.number]):
                yield (
                    f"The job's own window for {FIT_WORDS[window.fit]} holds, not the one that "
                    f"the maker of {chosen.number} states ({window.source})."
                )


def _of_windows(job: Job, catalogue: Catalogue) -> Iterator[str]:
    """A fit without a window sets no demand: say so where it matters most."""
    windows = [window for cylinder in job.cylinders for window in job.windows_for(cylinder)]
    wanted: tuple[FitName, ...] = ("clearance", "end_gap") if catalogue.rings else ("clearance",)
    for cylinder in job.cylinders:
        given = {w.fit for w in job.windows_for(cylinder) if w.low is not None}
        missing = [FIT_WORDS[fit] for fit in wanted if fit not in given]
        if missing:
            yield (
                f"Cylinder {cylinder.name}: no lowest value is given for {' and '.join(missing)}: "
                "only what is physically impossible is refused there."
            )
    if windows and not any(window.guard for window in windows):
        yield NO_GUARD


def _plated(job: Job) -> Iterator[str]:
    if any(is_plated(cylinder.material) for cylinder in job.cylinders):
        yield PLATED


def _shown(length: int, unit: Unit) -> str:
    return format_length(length, unit, symbol=True)


def _outside(job: Job) -> Iterator[str]:
    """Readings outside the zone above every deciding reading: zone or depths may be wrong."""
    for cylinder in job.cylinders:
        zone = cylinder.zone
        if zone is None or not cylinder.readings:
            continue
        inside = max(reading.size for reading in deciding(cylinder))
        larger = [r for r in cylinder.outside_zone if r.size > inside]
        if larger:
            unit = job.unit
            ends = f"{format_length(zone.top, unit)} to {_shown(zone.bottom, unit)}"
            worst = sorted(larger, key=lambda r: (-r.size, r.depth, r.angle))[:_MOST_NAMED]
            places = ", ".join(
                f"{_shown(r.size, unit)} at depth {_shown(r.depth, unit)} ({r.axis})" for r in worst
            )
            more = len(larger) - len(worst)
            yield (
                f"Cylinder {cylinder.name}: outside the zone of {ends} the bore reads larger than "
                f"anywhere that decides ({_shown(inside, unit)}): {places}"
                + (f", and {more} more" if more else "")
                + ". Only readings inside the zone decide: check the zone, and the unit of depths."
            )


def _of_forms(forms: Sequence[BoreForm]) -> Iterator[str]:
    """Cautions on each bore's form by cylinder; a caution common to all appears once."""
    for form in forms:
        for caution in form.cautions:
            if caution != LOBING_CAUTION:
                yield f"Cylinder {form.cylinder}: {caution[0].lower()}{caution[1:]}"
    if forms:
        yield LOBING_CAUTION
        yield BETWEEN


def ladder_cautions(ladders: Sequence[CylinderLadder]) -> tuple[str, ...]:
    """Return what the figures of a ladder do not tell."""
    from fitsolver.metrology.wear import cautions as wear_cautions

    found = [
        "Rebuilds are counted by bore, piston and route alone: rings, squish, price and stock of "
        "later rebuilds, and displacement, are not looked at."
    ]
    unknown = [ladder.cylinder for ladder in ladders if ladder.wear_per_rebuild is None]
    if unknown:
        found.append(
            f"Rebuilds are not counted for {cylinder_words(unknown)}: the job does not say "
            "how far it wears until the next one (wear_per_rebuild), and has no earlier records."
        )
    if endless := [ladder.cylinder for ladder in ladders if ladder.no_end]:
        found.append(
            f"Rebuilds are not counted for {cylinder_words(endless)}: no end is stated. "
            "A bore limit (bore_limit: wall, liner or plating) would be one, or a highest "
            "clearance (with it the largest piston of the catalogue ends them)."
        )
    for ladder in ladders:
        told = ladder.earlier_wear
        if ladder.wear_source == "earlier records" and told is not None:
            found += [f"Cylinder {ladder.cylinder}: {said}" for said in wear_cautions(told)]
    return tuple(found)
