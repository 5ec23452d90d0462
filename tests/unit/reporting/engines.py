"""Engines of any number of cylinders: the harbour launch's bores again and again, each a little
different, in millimetres or inches. Invented, as the launch is."""

from __future__ import annotations

import random
from functools import cache
from typing import Any, Final

from fitsolver import load
from fitsolver.base.lengths import Unit
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, InHand, Job, PinnedRing, Terms
from fitsolver.records.plan import Answer, CylinderPlan
from tests.unit.cli.run import DEMOS, ROOT

#: The launch's job with every figure in it.
LAUNCH: Final = ROOT / "tests" / "format1" / "launch" / "job.toml"
#: How far the readings of a bore may lie from those it repeats: 5 µm.
_APART: Final = 500


@cache
def engine(count: int, unit: Unit = "mm") -> tuple[Job, Catalogue]:
    """Return a worn engine of so many cylinders and its shelf, measured with a set of instruments.

    Without a limit on money, on days or on volume.
    """
    job, catalogue = load(str(LAUNCH))
    measured, _ = load(str(DEMOS / "brushsaw" / "guarded.toml"))
    names = tuple(str(number + 1) for number in range(count))
    cylinders = tuple(_repeated(job.cylinders[n % 4], n) for n in range(count))
    update: dict[str, Any] = {
        "name": f"launch of {count}",
        "unit": unit,
        "cylinders": cylinders,
        "engine": job.engine.model_copy(update={"displacement_limit": None}),
        "terms": Terms(),
        "measuring": measured.measuring,
        "same_size": tuple(r.model_copy(update={"cylinders": names}) for r in job.same_size),
        "mass_match": tuple(r.model_copy(update={"cylinders": names}) for r in job.mass_match),
    }
    if count == 1:
        update |= {"same_size": (), "mass_match": ()}
    return job.model_copy(update=update), catalogue.model_copy(update={"unit": unit})


def _repeated(cylinder: Cylinder, number: int) -> Cylinder:
    """Return a cylinder of the launch under another number, read a little larger."""
    more = random.Random(number).randrange(_APART) if number > 3 else 0
    readings = tuple(
        reading.model_copy(update={"size": reading.size + more}) for reading in cylinder.readings
    )
    return cylinder.model_copy(update={"name": str(number + 1), "readings": readings})


def finished(job: Job, answer: Answer) -> Job:
    """Return a job of the engine once it is done as planned, with the parts of the plan in it."""
    assert answer.plan is not None
    pairs = list(zip(job.cylinders, answer.plan.cylinders, strict=True))
    in_hand = tuple(part for _, plan in pairs for part in _fitted(plan))
    return job.model_copy(
        update={
            "finishing": "already finished",
            "routes": (),
            "cylinders": tuple(_done(cylinder, plan) for cylinder, plan in pairs),
            "in_hand": in_hand,
        }
    )


def _fitted(plan: CylinderPlan) -> list[InHand]:
    size = (plan.skirt.low + plan.skirt.high) // 2
    return [InHand(number=plan.piston.number, size=size, cylinder=plan.cylinder)]


def _done(cylinder: Cylinder, plan: CylinderPlan) -> Cylinder:
    readings = tuple(
        reading.model_copy(update={"size": plan.finish_large, "dial": None})
        for reading in cylinder.readings
    )
    return cylinder.model_copy(
        update={
            "readings": readings,
            "scratch": 0,
            "piston": plan.piston.number,
            "rings": tuple(PinnedRing(groove=r.groove, number=r.number) for r in plan.rings),
        }
    )
