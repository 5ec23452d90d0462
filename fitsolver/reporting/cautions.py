"""The cautions an answer carries: the standing ones, and those its figures call for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from fitsolver.records.catalogue import Catalogue
from fitsolver.records.form import BoreForm
from fitsolver.records.job import Job
from fitsolver.records.plan import CylinderPlan, Plan

SHEETS: Final = (
    "The engine's and the part maker's own sheets outrank this tool, and so do local rules and a "
    "qualified engine machinist."
)
SEIZURE: Final = (
    "Rings whose ends butt and skirts that are tight seize engines and can throw parts."
)
MEASURING: Final = "Measure at 20 °C, or correct for it; a bore straight off the hone reads big."
HONING: Final = (
    "Honing and boring: wear eye protection, no loose gloves near the spindle; catch the grit and "
    "wash it out with hot soapy water, then oil. Solvents burn and their fumes harm."
)
PLATED: Final = "Plated bores: no ordinary hone past the plating; its dust is harmful."
FILING: Final = (
    "File ring ends square, from the outside in, take the burr off, and try the gap in the "
    "finished bore, square to it, more than once."
)
LOBING: Final = (
    "Two-point sizes cannot see odd lobing: a bore with three or five lobes reads round."
)
STOP: Final = "Stop as soon as the bore is clean and at size: metal does not grow back."


def cautions(
    job: Job, catalogue: Catalogue, plan: Plan | None, forms: Sequence[BoreForm]
) -> tuple[str, ...]:
    """Return the cautions of a plan, or of an answer without one; each once, gravest first."""
    found = [*_of_plan(plan), *_of_job(job, catalogue), SHEETS, SEIZURE]
    machined = plan is not None and any(item.machined for item in plan.cylinders)
    if machined:
        found += [HONING, STOP]
    if plan is not None and any(ring.filing for c in plan.cylinders for ring in c.rings):
        found.append(FILING)
    found += [*_of_forms(forms), MEASURING]
    return tuple(dict.fromkeys(found))


def form_cautions(job: Job, forms: Sequence[BoreForm]) -> tuple[str, ...]:
    """Return the cautions of a form report."""
    return tuple(dict.fromkeys([*_plated(job), *_of_forms(forms), MEASURING, SHEETS]))


def _of_plan(plan: Plan | None) -> Iterator[str]:
    for item in () if plan is None else plan.cylinders:
        yield from _hot(item)


def _hot(item: CylinderPlan) -> Iterator[str]:
    for hot in item.hot:
        if hot.least > 0:
            continue
        if hot.what == "clearance":
            yield (
                f"Cylinder {item.cylinder}: hot, the skirt may have no clearance left. Ask the "
                "maker before running it."
            )
        else:
            yield (
                f"Cylinder {item.cylinder}: hot, the ends of the ring in groove {hot.groove} may "
                "meet. Ask the maker before running it."
            )


def _of_job(job: Job, catalogue: Catalogue) -> Iterator[str]:
    yield from _plated(job)
    if not any(window.fit == "clearance" for c in job.cylinders for window in job.windows_for(c)):
        yield "No window for clearance is given: nothing was asked of the skirt."
    if catalogue.rings and not any(
        window.fit == "end_gap" for c in job.cylinders for window in job.windows_for(c)
    ):
        yield "No window for end gap is given: nothing was asked of the rings' gaps."


def _plated(job: Job) -> Iterator[str]:
    if any(cylinder.material == "plated" for cylinder in job.cylinders):
        yield PLATED


def _of_forms(forms: Sequence[BoreForm]) -> Iterator[str]:
    for form in forms:
        for caution in form.cautions:
            yield caution if caution == LOBING else f"Cylinder {form.cylinder}: {caution}"
    if forms:
        yield LOBING
