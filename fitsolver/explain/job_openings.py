"""The smallest tested changes that open a job whose cylinders each have a plan alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from itertools import combinations, islice
from typing import Final

from fitsolver.base.lengths import TICKS_PER
from fitsolver.choices.types import ALL_RULES
from fitsolver.explain.job_reasons import wanted_parts
from fitsolver.explain.joined import Joined, least_mass_limit
from fitsolver.explain.openings import allowed, least
from fitsolver.fits.displacement import displacement
from fitsolver.records.base import RuleId
from fitsolver.records.job import InHand, Job
from fitsolver.records.rules import ChangeKind
from fitsolver.records.why import Measure, Opening
from fitsolver.solving.few import fits
from fitsolver.solving.joint_model import TERMS
from fitsolver.solving.problem import Problem, problem
from fitsolver.solving.solve import best

#: One cubic millimetre in cubic ticks.
_MM3: Final = TICKS_PER["mm"] ** 3
#: The most ways tried to take a given number of cylinders out of a set.
_MOST_LEFT: Final = 30


def job_openings(joined: Joined, rules: tuple[RuleId, ...]) -> Iterator[Opening]:
    """Yield the smallest changes of the job as a whole; `rules` are in conflict.

    Each is the optimum of a search, so one step less is proven infeasible.
    """
    for rule, relaxed in RELAXATIONS.items():
        if rule in rules:
            yield from relaxed(joined)
    yield from route_openings(joined.task)


def opening(
    kind: ChangeKind, by: int, measure: Measure, sentence: str, *, opens_job: bool = True
) -> Opening:
    """Return a change of the job as it is told."""
    return Opening(kind=kind, by=by, measure=measure, opens_job=opens_job, sentence=sentence)


def _availability(joined: Joined) -> Iterator[Opening]:
    yield from _terms(joined)
    yield from _parts(joined.task)


def _terms(joined: Joined) -> Iterator[Opening]:
    """A larger budget at the given days, or more days at the given budget."""
    task, terms = joined.task, joined.task.job.terms
    if terms.budget is not None:
        price = joined.least("price", terms=TERMS - {"budget"})
        if price is not None:
            over = price - terms.budget
            yield opening(
                "budget",
                over,
                "hundredths",
                f"a budget of {price / 100:.2f} instead of {terms.budget / 100:.2f} "
                f"{task.catalogue.currency}".rstrip()
                + f": {over / 100:.2f} more",
            )
    if terms.needed_in_days is not None:
        days = joined.least("days", terms=TERMS - {"needed_in_days"})
        if days is not None:
            more = days - terms.needed_in_days
            sentence = f"{days} days instead of {terms.needed_in_days}: {more} more"
            yield opening("days", more, "days", sentence)


def _parts(task: Problem) -> Iterator[Opening]:
    """One part that is short, in as few pieces more as do."""
    for number, count in sorted(wanted_parts(task).items()):
        for more in range(1, count + 1):
            job = task.job
            in_hand = (*job.in_hand, InHand(number=number, count=more))
            changed = job.model_copy(update={"in_hand": in_hand})
            if fits(problem(changed, task.catalogue)):
                pieces = "piece" if more == 1 else "pieces"
                yield opening("part", more, "none", f"{more} more {pieces} of {number} in hand")
                break


def _mass(task: Problem) -> Iterator[Opening]:
    for index, match in enumerate(task.job.mass_match):
        limit = least_mass_limit(task, index)
        if limit is not None and limit > match.limit:
            more = limit - match.limit
            yield opening(
                "mass",
                more,
                "milligrams",
                f"masses that may differ by {_grams(limit)} instead of {_grams(match.limit)}: "
                f"{_grams(more)} more (cylinders {', '.join(match.cylinders)})",
            )


def _displacement(task: Problem) -> Iterator[Opening]:
    """A higher limit in whole cubic millimetres, up to the best plan's displacement without it."""
    engine, free = task.job.engine, best(task, active=ALL_RULES - {"displacement"}).selection
    if free is None or engine.stroke is None or engine.displacement_limit is None:
        return
    limit = engine.displacement_limit
    bores = [chosen.high - chosen.option.size_offset for chosen in free.cylinders]
    most = -(-(displacement([*bores, *engine.other_bores], engine.stroke) - limit) // _MM3)

    def serves(more: int) -> bool:
        raised = engine.model_copy(update={"displacement_limit": limit + more * _MM3})
        job = task.job.model_copy(update={"engine": raised})
        return fits(problem(job, task.catalogue))

    more = least(serves, most)
    if more is not None:
        yield opening(
            "displacement",
            more,
            "cubic millimetres",
            f"a displacement of {_cm3(limit + more * _MM3)} permitted instead of {_cm3(limit)}: "
            f"{more / 1000:.3f} cm3 more",
        )


def _grams(milligrams: int) -> str:
    return f"{Decimal(milligrams).scaleb(-3).normalize():f} g"


def _cm3(cubic_ticks: int) -> str:
    """Return a volume rounded up to a tenth of a cubic millimetre: the typed figure suffices."""
    tenths = -(-10 * cubic_ticks // _MM3)
    return f"{Decimal(tenths).scaleb(-4):f} cm3"


def _same_size(task: Problem) -> Iterator[Opening]:
    """The fewest cylinders of one set that need a size of their own."""
    for index, rule in enumerate(task.job.same_size):
        for count in range(1, len(rule.cylinders)):
            found = [
                left
                for left in islice(combinations(rule.cylinders, count), _MOST_LEFT)
                if fits(problem(_left_out(task.job, index, left), task.catalogue))
            ]
            for left in found:
                some = "cylinders" if count > 1 else "cylinder"
                yield opening(
                    "same size",
                    count,
                    "cylinders",
                    f"{some} {', '.join(left)} left out of the set of one size "
                    f"({', '.join(rule.cylinders)})",
                )
            if found:
                break


def _left_out(job: Job, index: int, left: tuple[str, ...]) -> Job:
    sets = list(job.same_size)
    kept = tuple(name for name in sets[index].cylinders if name not in left)
    sets[index] = sets[index].model_copy(update={"cylinders": kept})
    return job.model_copy(update={"same_size": tuple(sets)})


def route_openings(task: Problem) -> Iterator[Opening]:
    """Yield a route allowed for every cylinder that does not have it."""
    if task.job.finishing == "already finished":
        return
    for route in (each.name for each in task.catalogue.shop_routes):
        job: Job = task.job
        for state in task.cylinders:
            if all(choice.route.name != route for choice in state.routes):
                job = allowed(job, task.catalogue, state.name, route)
        if job is not task.job and fits(problem(job, task.catalogue)):
            yield opening("route", 1, "none", f"the route '{route}' allowed")


#: The terms of each coupling rule that may be relaxed, in report order.
RELAXATIONS: Final[dict[RuleId, Callable[[Joined], Iterator[Opening]]]] = {
    "availability": _availability,
    "mass_match": lambda joined: _mass(joined.task),
    "displacement": lambda joined: _displacement(joined.task),
    "same_size": lambda joined: _same_size(joined.task),
}
