"""What physics forbids, of any job and of the same job with a window less."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from math import floor
from random import Random

import pytest

from fitsolver.choices.candidates import shelf
from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import CylinderPlan
from fitsolver.usecases.counter import sets_of

from ..oracle.dice import THEMES, Dice
from ..oracle.generate import draw_case

PI = Fraction("3.141592653589793238462643383279502884197")


def drawn(theme: str, count: int) -> list[tuple[Job, Catalogue]]:
    dice = Random(f"floors of {theme}")
    return [draw_case(THEMES[theme], dice.randbytes(Dice.SIZE)) for _ in range(count)]


def with_one_window_less(job: Job) -> list[Job]:
    """The job without each of its windows in turn, and without any."""
    found = [job]
    for index in range(len(job.windows)):
        left = job.windows[:index] + job.windows[index + 1 :]
        found.append(job.model_copy(update={"windows": left}))
    for place, cylinder in enumerate(job.cylinders):
        for index in range(len(cylinder.windows)):
            left = cylinder.windows[:index] + cylinder.windows[index + 1 :]
            cylinders = list(job.cylinders)
            cylinders[place] = cylinder.model_copy(update={"windows": left})
            found.append(job.model_copy(update={"cylinders": tuple(cylinders)}))
    bare = tuple(c.model_copy(update={"windows": ()}) for c in job.cylinders)
    return [*found, job.model_copy(update={"windows": (), "cylinders": bare})]


def negative_is_stated(job: Job, cylinder: Cylinder) -> bool:
    """Does any window of the cylinder state a clearance below zero, as for coated skirts?"""
    edges = [
        edge
        for window in (*job.windows, *cylinder.windows)
        if window.fit == "clearance"
        for edge in (window.low, window.service_low)
        if edge is not None
    ]
    return any(edge < 0 for edge in edges)


def broken(job: Job, parts: Catalogue, cylinder: Cylinder, plan: CylinderPlan) -> list[str]:
    """The floors that a plan breaks, worked out from the parts."""
    found = []
    follows = job.finishing == "piston in hand" and plan.machined
    least = plan.bore_low - plan.skirt.high
    if follows:  # each skirt has a finish of its own
        ends = (plan.finish_small, plan.skirt.low), (plan.finish_large, plan.skirt.high)
        least = min(finish - plan.half_width - skirt for finish, skirt in ends)
    if least < 0 and not negative_is_stated(job, cylinder):
        found.append("clearance")
    pieces = shelf(job, parts)
    rings = {(ring.part.number, ring.piece): ring for ring in pieces.rings}
    grooves = next(p.grooves for p in parts.pistons if p.number == plan.piston.number)
    for chosen in plan.rings:
        ring = rings[chosen.number, chosen.piece]
        grown = floor(PI * (plan.bore_low - ring.gauge_diameter))
        if ring.gap.low + grown + chosen.filing < 1:
            found.append("end_gap")
        width = next(groove.width for groove in grooves if groove.number == chosen.groove)
        if width.low < ring.part.width.high:
            found.append("side_clearance")
    height = next(p.compression_height for p in parts.pistons if p.number == plan.piston.number)
    if cylinder.squish is not None and height is not None:
        compressed = {gasket.number: gasket.compressed.low for gasket in parts.gaskets}
        stack = sum(compressed[taken.number] * taken.count for taken in plan.gaskets)
        if cylinder.squish.base_low - height.high + stack < 1:
            found.append("squish")
    return found


@pytest.mark.parametrize("theme", THEMES)
def test_no_window_deleted_lets_a_plan_out_that_breaks_a_floor(theme: str) -> None:
    seen: Counter[bool] = Counter()
    for job, parts in drawn(theme, 12):
        for less in with_one_window_less(job):
            plan = decide(less, parts).plan
            seen[plan is not None] += 1
            if plan is not None:
                for cylinder, item in zip(less.cylinders, plan.cylinders, strict=True):
                    assert broken(less, parts, cylinder, item) == []
    assert min(seen.values()) > 5


@pytest.mark.parametrize("theme", THEMES)
def test_no_part_set_that_breaks_a_floor_is_said_to_fit(theme: str) -> None:
    seen: Counter[bool] = Counter()
    for job, parts in drawn(theme, 40):
        for less in with_one_window_less(job)[-1:]:
            for item in sets_of(less, parts):
                lowest = {"clearance": 0, "end_gap": 1, "side_clearance": 0, "squish": 1}
                fine = all(fit.least >= lowest.get(fit.fit, fit.least) for fit in item.fits)
                assert fine or not item.holds
                seen[fine] += 1
    assert min(seen.values()) > 5
