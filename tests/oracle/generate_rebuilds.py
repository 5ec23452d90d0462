"""The jobs of `generate` with the rebuilds left somewhere in what is best."""

from __future__ import annotations

from typing import Any

from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

from .brute_rebuilds import EndlessError, chain_of
from .dice import Dice, Scale, Theme
from .generate import draw_scaled
from .generate_catalogue import OVERSIZE


def draw_counted(theme: Theme, data: bytes) -> tuple[Job, Catalogue]:
    """Draw a job whose rebuilds can be counted, and do count; the same data give the same case."""
    job, catalogue, scale = draw_scaled(theme, data)
    dice = Dice(data[::-1])
    wears = (1, 6) if dice.chance(40) else (8, 24)  # light hones, or straight to another size
    cylinders = tuple(
        cylinder.model_copy(update={"wear_per_rebuild": scale.length(dice.between(*wears))})
        if dice.chance(30)
        else cylinder
        for cylinder in job.cylinders
    )
    place = 0 if dice.chance(30) else dice.between(0, len(job.best))
    best = (*job.best[:place], "rebuilds_left", *job.best[place:])
    wear = scale.length(dice.between(*wears))
    changes: dict[str, Any] = {"wear_per_rebuild": wear, "cylinders": cylinders, "best": best}
    if job.finishing == "piston in hand" and dice.chance(50):
        changes["finishing"] = "set size"  # where a larger finish is free to be chosen
    job = job.model_copy(update=changes)
    catalogue = _with_larger(catalogue, scale)
    if dice.chance(60):
        catalogue = _barely_reaching(catalogue, scale, dice)
    return _ended(job, catalogue, scale, dice), catalogue


def _with_larger(catalogue: Catalogue, scale: Scale) -> Catalogue:
    """Add a piston one size above the largest: later rebuilds may come to it."""
    largest = max(catalogue.pistons, key=lambda piston: piston.nominal_bore)
    by = scale.length(OVERSIZE)
    larger = largest.model_copy(
        update={
            "number": "P-larger",
            "oversize": largest.oversize + by,
            "nominal_bore": largest.nominal_bore + by,
            "skirt": Range(low=largest.skirt.low + by, high=largest.skirt.high + by),
        }
    )
    return catalogue.model_copy(update={"pistons": (*catalogue.pistons, larger)})


def _barely_reaching(catalogue: Catalogue, scale: Scale, dice: Dice) -> Catalogue:
    """Let routes cut about as far as the next size: from some bores they reach it."""
    routes = tuple(
        route.model_copy(
            update={"max_cut": route.min_cut + scale.length(OVERSIZE + dice.between(-12, 8))}
        )
        if route.kind not in ("as is", "restore")
        else route
        for route in catalogue.routes
    )
    return catalogue.model_copy(update={"routes": routes})


def _ended(job: Job, catalogue: Catalogue, scale: Scale, dice: Dice) -> Job:
    """Give the engine a bore limit where nothing else ends the rebuilds."""
    try:
        for cylinder in job.cylinders:
            chain_of(job, catalogue, cylinder)
    except EndlessError:
        limit = scale.bore + scale.length(OVERSIZE * dice.between(1, 3) + dice.between(-10, 14))
        engine = job.engine.model_copy(update={"bore_limit": limit})
        return job.model_copy(update={"engine": engine})
    return job
