"""The smallest changes that open a job whose cylinders could each be done alone, each tested."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from fitsolver.records.base import Level, RuleId
from fitsolver.records.job import InHand, Job
from fitsolver.records.why import ChangeKind, Measure, Opening
from fitsolver.solving.job_reasons import first, wanted_parts
from fitsolver.solving.joined import fits, least_mass_limit
from fitsolver.solving.openings import allowed, shop_routes
from fitsolver.solving.problem import Problem, problem
from fitsolver.solving.solve import best


def job_openings(task: Problem, rules: tuple[RuleId, ...]) -> Iterator[Opening]:
    """Yield the smallest changes of the job as a whole; `rules` are in conflict.

    What is smallest is the optimum of a search, so one step less is proven not to do.
    """
    if "availability" in rules:
        yield from _terms(task)
        yield from _parts(task)
    if "mass_match" in rules:
        yield from _mass(task)
    yield from _routes(task)


def _opening(kind: ChangeKind, by: int, measure: Measure, sentence: str) -> Opening:
    return Opening(kind=kind, by=by, measure=measure, opens_job=True, sentence=sentence)


def _terms(task: Problem) -> Iterator[Opening]:
    """A larger budget with the days there are, more days with the budget there is."""
    terms = task.job.terms
    if terms.budget is not None:
        price = _least(task, "price", budget=None)
        if price is not None:
            over = price - terms.budget
            yield _opening(
                "budget",
                over,
                "hundredths",
                f"a budget of {price / 100:.2f} instead of {terms.budget / 100:.2f} "
                f"{task.catalogue.currency}".rstrip()
                + f": {over / 100:.2f} more",
            )
    if terms.needed_in_days is not None:
        days = _least(task, "days", needed_in_days=None)
        if days is not None:
            more = days - terms.needed_in_days
            sentence = f"{days} days instead of {terms.needed_in_days}: {more} more"
            yield _opening("days", more, "days", sentence)


def _least(task: Problem, level: Level, **freed: Any) -> int | None:
    """Return the proven least of a level with one of the terms let go; None when none fits."""
    terms = task.job.terms.model_copy(update=freed)
    free = problem(task.job.model_copy(update={"terms": terms}), task.catalogue)
    found = best(first(free, level))
    return next((value.value for value in found.levels if value.level == level), None)


def _parts(task: Problem) -> Iterator[Opening]:
    """One part that is short, in as few pieces more as do."""
    for number, count in sorted(wanted_parts(task).items()):
        for more in range(1, count + 1):
            job = task.job
            in_hand = (*job.in_hand, InHand(number=number, count=more))
            changed = job.model_copy(update={"in_hand": in_hand})
            if fits(problem(changed, task.catalogue)):
                pieces = "piece" if more == 1 else "pieces"
                yield _opening("part", more, "none", f"{more} more {pieces} of {number} to be had")
                break


def _mass(task: Problem) -> Iterator[Opening]:
    for index, match in enumerate(task.job.mass_match):
        limit = least_mass_limit(task, index)
        if limit is not None and limit > match.limit:
            more = limit - match.limit
            yield _opening(
                "mass",
                more,
                "milligrams",
                f"masses that may differ by {limit / 1000:g} g instead of {match.limit / 1000:g} "
                f"g: {more / 1000:g} g more (cylinders {', '.join(match.cylinders)})",
            )


def _routes(task: Problem) -> Iterator[Opening]:
    """A route allowed for every cylinder that does not have it."""
    if task.job.finishing == "already finished":
        return
    for route in shop_routes(task.catalogue):
        job: Job = task.job
        for state in task.cylinders:
            if all(choice.route.name != route for choice in state.routes):
                job = allowed(job, task.catalogue, state.name, route)
        if job is not task.job and fits(problem(job, task.catalogue)):
            yield _opening("route", 1, "none", f"the route '{route}' allowed")
