"""Margins of a pick against the brute force: one tick less keeps the pick, the margin alters it."""

from __future__ import annotations

from collections import Counter
from typing import Final

import pytest
from hypothesis import HealthCheck, given, reject, seed, settings

from fitsolver.base.deadline import Clock
from fitsolver.explain.firm import firm_margins, pick_of
from fitsolver.metrology.form import deciding
from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.firm import Margin, Picked
from fitsolver.records.job import Cylinder, Job

from .brute import best_plan
from .brute_cylinder import Option, TooManyError
from .generate import cases

#: Jobs a theme; every margin of each is tried twice by brute force.
EXAMPLES: Final = {"rings": 70, "supply": 70, "sets": 8, "finish": 15}

#: The draws do not hang on how the test is written.
DRAWN_FROM: Final = 1

#: Themes in which a smaller reading alters the pick of some job.
SMALLER: Final = ("rings", "supply", "finish")


@pytest.mark.parametrize("name", EXAMPLES)
def test_margins(name: str) -> None:
    followed: Counter[tuple[str, bool]] = Counter()

    @seed(DRAWN_FROM)
    @settings(
        database=None,
        deadline=None,
        max_examples=EXAMPLES[name],
        suppress_health_check=list(HealthCheck),
    )
    @given(cases(name))
    def compare(case: tuple[Job, Catalogue]) -> None:
        job, catalogue = case
        answer = decide(job, catalogue)
        if answer.plan is None:
            return
        try:
            now = brute_pick(job, catalogue)
            assert pick_of(job, catalogue) == now
            for margin in firm_margins(job, catalogue, answer.plan, now, Clock())[0]:
                hold(job, catalogue, margin, now, followed)
        except TooManyError:
            reject()

    compare()
    assert followed["largest reading", False] >= 1
    if name in SMALLER:
        assert followed["largest reading", True] >= 1
    assert followed["lowest edge", False] + followed["highest edge", False] >= 1


def hold(
    job: Job,
    catalogue: Catalogue,
    margin: Margin,
    now: tuple[Picked, ...] | None,
    followed: Counter[tuple[str, bool]],
) -> None:
    """Hold a margin of a reading or of a plain edge against the brute force."""
    if margin.margin is None or margin.what == "skirt tolerance":
        return
    less = changed(job, margin, margin.margin - 1)
    there = changed(job, margin, margin.margin)
    if less is None or there is None:
        return
    followed[margin.what, margin.smaller] += 1
    assert now is not None
    assert brute_pick(less, catalogue) == now
    then = brute_pick(there, catalogue)
    assert (then is None) == margin.no_plan
    assert then != now
    assert margin.becomes == tuple(item for item in then or () if item not in now)


def changed(job: Job, margin: Margin, more: int) -> Job | None:
    """The job with the figure changed, written down anew; None where records cannot say it."""
    if margin.what == "largest reading":
        names = margin.cylinders
        more = -more if margin.smaller else more
        return job.model_copy(
            update={
                "cylinders": tuple(grown(c, more) if c.name in names else c for c in job.cylinders)
            }
        )
    side = "low" if margin.what == "lowest edge" else "high"
    if margin.part or any(cylinder.windows for cylinder in job.cylinders):
        return None
    found = [w for w in job.windows if (w.fit, w.groove) == (margin.fit, margin.groove)]
    if len(found) != 1 or found[0].per_bore or getattr(found[0], f"service_{side}") is not None:
        return None
    moved = getattr(found[0], side) + (more if side == "low" else -more)
    window = found[0].model_copy(update={side: moved})
    return job.model_copy(
        update={"windows": tuple(window if w is found[0] else w for w in job.windows)}
    )


def grown(cylinder: Cylinder, more: int) -> Cylinder:
    if not cylinder.readings:
        assert cylinder.finished_size is not None
        return cylinder.model_copy(update={"finished_size": cylinder.finished_size + more})
    largest = max(deciding(cylinder), key=lambda reading: reading.size)
    larger = largest.model_copy(update={"size": largest.size + more})
    readings = list(cylinder.readings)
    readings[readings.index(largest)] = larger
    return cylinder.model_copy(update={"readings": tuple(readings)})


def brute_pick(job: Job, catalogue: Catalogue) -> tuple[Picked, ...] | None:
    found = best_plan(job, catalogue)
    if found is None:
        return None
    return tuple(
        picked(cylinder.name, option)
        for cylinder, option in zip(job.cylinders, found.cylinders, strict=True)
    )


def picked(name: str, option: Option) -> Picked:
    rings = [ring.part.number + bracketed(ring.piece) for ring in option.rings]
    return Picked(
        cylinder=name,
        piston=option.piston.part.number + bracketed(option.piston.piece),
        rings=tuple(rings),
        gaskets=tuple(
            g.number for stack in option.stacks for g in sorted(stack, key=lambda g: g.number)
        ),
        route=option.route.name,
    )


def bracketed(piece: str) -> str:
    return f" ({piece})" if piece else ""
