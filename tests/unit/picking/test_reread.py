"""Readings that alone decide the plan: which are told, how they are taken, what they change."""

from __future__ import annotations

import pytest

from fitsolver.base.deadline import Clock
from fitsolver.base.errors import InputError
from fitsolver.doubts.decisive import trials
from fitsolver.doubts.look import Look
from fitsolver.picking.decide import decide
from fitsolver.picking.reread import refuse_decisive
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer
from tests.bench import large


@pytest.fixture(scope="module")
def engine() -> tuple[Job, Catalogue, Answer]:
    job, catalogue = large.job(2, seed=4), large.catalogue(60, 60, 10)
    return job, catalogue, decide(job, catalogue)


def tried(job: Job, catalogue: Catalogue, *accept: str) -> list[str]:
    accepting = job.model_copy(update={"accept": accept})
    return [trial.doubt.id for trial in trials(Look(accepting, catalogue))]


def test_readings_are_taken_one_by_one_or_a_cylinder_at_once(
    engine: tuple[Job, Catalogue, Answer],
) -> None:
    """docs/doubts.md: `reading 2` stands for all readings of cylinder 2."""
    job, catalogue, _ = engine
    every = tried(job, catalogue)
    cylinders = {name.partition("/")[0] for name in every}
    assert len(cylinders) > 1
    for name in every:
        assert tried(job, catalogue, name) == [other for other in every if other != name]
    for cylinder in cylinders:
        left = [name for name in every if name.partition("/")[0] != cylinder]
        assert tried(job, catalogue, cylinder) == left
    assert tried(job, catalogue, *cylinders) == []


def test_a_doubt_tells_the_cylinders_alone_whose_parts_change(
    engine: tuple[Job, Catalogue, Answer],
) -> None:
    answer = engine[2]
    assert answer.plan is not None
    first, second = answer.plan.cylinders
    piston, route = first.piston.number, first.route
    other = first.piston.model_copy(update={"number": "OTHER"})
    for changed, said in (
        ({"piston": other}, f"OTHER in place of {piston}"),
        ({"route": "another"}, f"{piston} by another in place of {piston} by {route}"),
        ({"rings": ()}, "other rings"),
        ({"finish_large": first.finish_large + 20_000}, "another finished size"),
    ):
        cylinders = (first.model_copy(update=changed), second)
        plan = answer.plan.model_copy(update={"cylinders": cylinders})
        told = told_of(engine, answer.model_copy(update={"plan": plan}))
        assert f"it alone decides: cylinder {first.cylinder}: {said}\n" in told
    assert told_of(engine, answer) == ""
    nothing = answer.model_copy(update={"plan": None, "status": "nothing fits"})
    assert "it alone decides: nothing fits with that size\n" in told_of(engine, nothing)


def told_of(engine: tuple[Job, Catalogue, Answer], otherwise: Answer) -> str:
    """Return what is refused where each reading as predicted gives this answer; "" for nothing."""
    job, catalogue, answer = engine
    try:
        refuse_decisive(job, catalogue, answer, lambda _: otherwise, Clock(None))
    except InputError as refused:
        return str(refused)
    return ""
