"""Why cylinders that could each be done cannot be done together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import islice

from fitsolver.base.lengths import TICKS_PER, format_length
from fitsolver.choices.options import ALL_RULES, options
from fitsolver.choices.selection import Selection
from fitsolver.explain.competing import Competition, competition, shortage_reasons
from fitsolver.explain.passed_over import candidates, sizes_passed_over, to_be_had
from fitsolver.fits import mass_match
from fitsolver.fits.availability import for_sale, from_stock
from fitsolver.fits.displacement import displacement
from fitsolver.planning.order_list import demand
from fitsolver.records.base import Level, RuleId
from fitsolver.records.job import Job, Terms
from fitsolver.records.plan import Reason
from fitsolver.solving.by_itself import fits_alone
from fitsolver.solving.possible import OWN_RULES, alone, conflict, possible
from fitsolver.solving.problem import Problem
from fitsolver.solving.solve import best

_JOINING: frozenset[RuleId] = ALL_RULES - OWN_RULES
#: So many sizes that cannot be had are named where nothing fits.
_SIZES_NAMED = 3
_CM3 = (10 * TICKS_PER["mm"]) ** 3


def job_reasons(task: Problem) -> list[Reason]:
    """Return the joining rules in conflict, each with the figure that breaks it."""
    if not possible(task, OWN_RULES):
        return [no_shared_stack()]
    return joined_reasons(task, conflict(task, _JOINING, OWN_RULES))


def joined_reasons(task: Problem, rules: Iterable[RuleId]) -> list[Reason]:
    """Return the reasons of joining rules in conflict; sizes that only cannot be had come first."""
    rules = tuple(rules)
    reasons = [joined_reason(task, rule, rules) for rule in rules]
    if "availability" in rules and any(True for _ in sizes_passed_over(task, None)):
        reasons.sort(key=lambda reason: reason.rule != "availability")
    return reasons


def short_of_pistons(task: Problem, few: Competition) -> list[Reason]:
    """Return what is short: sizes that fit and cannot be had come first, then who competes."""
    passed = [
        Reason(rule="availability", sentence=each.sentence(task))
        for each in islice(sizes_passed_over(task, None), _SIZES_NAMED)
    ]
    return [*passed, *shortage_reasons(task, few)]


def no_shared_stack() -> Reason:
    """Return the reason of cylinders that only their shared stack keeps apart."""
    sentence = "each cylinder could be done alone, but no shared stack of gaskets suits all"
    return Reason(rule="squish", sentence=sentence)


def joined_reason(task: Problem, rule: RuleId, rules: Iterable[RuleId]) -> Reason:
    """Return what a joining rule in conflict asks for, with the figure that breaks it.

    `rules` are the joining rules in conflict, none of which can be spared. The figure is that of
    plans which keep all rules but this one. Where there are none, for another conflict closes the
    job as well, it is that of plans which keep the other rules of this conflict.
    """
    active = ALL_RULES
    if not possible(task, ALL_RULES - {rule}):
        active = OWN_RULES | frozenset(rules)
    sentence = _SENTENCES[rule](task, active)
    if active != ALL_RULES and rule != "same_size":
        sentence += " (reckoned without the other rules that join cylinders: one of them fails too)"
    return Reason(rule=rule, sentence=sentence)


def _without(
    task: Problem, rule: RuleId, active: frozenset[RuleId] = ALL_RULES
) -> Selection | None:
    return best(task, active=active - {rule}).selection


def _same_size(task: Problem, active: frozenset[RuleId]) -> str:
    """The oversizes each cylinder of the set could take by itself."""
    said = []
    for rule in task.job.same_size:
        for state in task.cylinders:
            if state.name in rule.cylinders:
                single = alone(task, state.name)
                sizes = {o.piston.candidate.part.oversize for o in options(state)}
                sizes = {size for size in sizes if _could_take(single, size)}
                listed = ", ".join(
                    format_length(size, task.job.unit, sign=True) for size in sorted(sizes)
                )
                said.append(f"cylinder {state.name} could take {listed or 'none'}")
    return f"the set must have one oversize; {'; '.join(said)} ({task.job.unit})"


def _could_take(single: Problem, oversize: int) -> bool:
    """Tell whether a cylinder by itself has a plan with a piston of this oversize."""
    state = single.cylinders[0]
    sized = tuple(p for p in state.pistons if p.candidate.part.oversize == oversize)
    of_size = replace(single, cylinders=(replace(state, pistons=sized),))
    return fits_alone(of_size, OWN_RULES) and possible(of_size)


def _mass_match(task: Problem, active: frozenset[RuleId]) -> str:
    found = _without(task, "mass_match", active)
    said = []
    for rule in task.job.mass_match:
        limit = f"permitted {rule.limit / 1000:g} g"
        if found is None:
            said.append(limit)
            continue
        masses = [
            chosen.option.piston.candidate.mass
            for state, chosen in zip(task.cylinders, found.cylinders, strict=True)
            if state.name in rule.cylinders
        ]
        known = [mass for mass in masses if mass is not None]
        if len(known) < len(masses):
            said.append(f"the mass of a piston that would fit is not known, {limit}")
            continue
        spread = mass_match.spread(known) / 1000
        said.append(f"the best set without this rule differs by {spread:g} g, {limit}")
    return "; ".join(said)


def _displacement(task: Problem, active: frozenset[RuleId]) -> str:
    engine = task.job.engine
    limit = (engine.displacement_limit or 0) * 100 // _CM3 / 100
    found = _without(task, "displacement", active)
    if found is None or engine.stroke is None:
        return f"permitted {limit:.2f} cm3"
    bores = [chosen.high - chosen.option.size_offset for chosen in found.cylinders]
    size = displacement([*bores, *engine.other_bores], engine.stroke)
    over = -(-size * 100 // _CM3) / 100  # never shown within a limit that it exceeds
    return f"the best plan without this limit comes to {over:.2f} cm3, permitted {limit:.2f} cm3"


def _availability(task: Problem, active: frozenset[RuleId]) -> str:
    """Parts, then money, then time: the first that stands in the way by itself, with figures."""
    free = with_terms(task, Terms())
    said = [each.sentence(task) for each in islice(sizes_passed_over(task, None), _SIZES_NAMED)]
    if not possible(free, active):
        return "; ".join([*said, *_short_parts(task, active, told=" ".join(said))])
    passed = len(said)
    terms = task.job.terms
    cheapest = best(first(free, "price"), active=active)
    soonest = best(first(free, "days"), active=active)
    price = next(level.value for level in cheapest.levels if level.level == "price")
    days = next(level.value for level in soonest.levels if level.level == "days")
    currency = task.catalogue.currency
    if terms.budget is not None and price > terms.budget:
        said.append(
            f"the cheapest plan costs {price / 100:.2f} {currency}, the budget is "
            f"{terms.budget / 100:.2f}: over by {(price - terms.budget) / 100:.2f}"
        )
    if terms.needed_in_days is not None and days > terms.needed_in_days:
        said.append(
            f"the soonest plan takes {days} days, there are {terms.needed_in_days}: late by "
            f"{days - terms.needed_in_days}"
        )
    if len(said) == passed:
        said.append(
            f"no plan is both in budget and in time: the cheapest costs {price / 100:.2f} "
            f"{currency}, the soonest takes {days} days"
        )
    return "; ".join(said)


def _short_parts(task: Problem, active: frozenset[RuleId], told: str) -> list[str]:
    """What the plan without this rule would take and nobody can supply, but for what is `told`."""
    few = competition(task)
    if few is not None:
        return [reason.sentence for reason in shortage_reasons(task, few)]
    found = _without(to_be_had(task), "availability", active)
    found = found or _without(task, "availability", active)
    if found is None:
        return [] if told else ["the parts cannot be had"]
    said = list(_lacking_pieces(task, found))
    short = [each for number, each in _short(task, found) if number not in told]
    if short:
        said.append(f"what suits best cannot be had: {'; '.join(short)}")
    if not said and not told:
        said.append("no set of parts that can be had together does the job")
    return said


def _lacking_pieces(task: Problem, found: Selection) -> Iterator[str]:
    """Yield the pieces in hand that more than one cylinder needs."""
    for (number, piece), names in _takers(task, found).items():
        if len(names) > 1:
            some = " and ".join([", ".join(names[:-1]), names[-1]])
            yield f"{piece} of {number} is needed by cylinders {some}; there is one"


def _takers(task: Problem, found: Selection) -> dict[tuple[str, str], list[str]]:
    """Return the cylinders that take each measured or kept piece."""
    takers: dict[tuple[str, str], list[str]] = {}
    for state, chosen in zip(task.cylinders, found.cylinders, strict=True):
        for candidate in candidates(chosen):
            if candidate.piece:
                takers.setdefault(candidate.key, []).append(state.name)
    return takers


def _short(task: Problem, found: Selection) -> Iterator[tuple[str, str]]:
    """Yield what a selection takes of a number beyond what can be had."""
    catalogue = task.catalogue
    articles = {a.number: a for a in (*catalogue.pistons, *catalogue.rings, *catalogue.gaskets)}
    sale = for_sale(catalogue)
    for number, count in sorted(_wanted(task, found).items()):
        article = articles[number]
        held = task.shelf.loose.get(number, 0)
        held += sum(n for (_, part), n in task.shelf.reserved.items() if part == number)
        stock = from_stock(article)
        if count > held + sale[number]:
            yield number, f"{number}: {count} wanted, {held} in hand, {stock} in stock, no order"


def wanted_parts(task: Problem, active: frozenset[RuleId] = ALL_RULES) -> Counter[str]:
    """Return how many pieces the best plan takes when they need not be had; none: no plan.

    Of all parts, and of those of which a piece can be had, the more of both. A measured piece
    that several cylinders take is wanted once more for each after the first.
    """
    wanted: Counter[str] = Counter()
    for narrowed in (task, to_be_had(task)):
        found = _without(narrowed, "availability", active)
        if found is not None:
            taken = _wanted(task, found)
            for (number, _), names in _takers(task, found).items():
                taken[number] += len(names) - 1
            wanted |= taken
    return wanted


def _wanted(task: Problem, found: Selection) -> Counter[str]:
    """Return how many unmeasured pieces of each number a selection takes."""
    wanted: Counter[str] = Counter()
    for chosen in found.cylinders:
        wanted.update(demand(task.job, chosen, Counter()))
    for place in task.job.gaskets:
        if place.shared:
            wanted.update(found.cylinders[0].stacks[place.place])
    return wanted


def with_terms(task: Problem, terms: Terms) -> Problem:
    """Return the problem with other money and time."""
    return _changed(task, {"terms": terms})


def first(task: Problem, level: Level) -> Problem:
    """Return the problem with one level counting before all others."""
    return _changed(task, {"best": (level,)})


def _changed(task: Problem, update: dict[str, object]) -> Problem:
    job: Job = task.job.model_copy(update=update)
    return replace(task, job=job)  # choices depend on neither: a narrowed problem stays so


_SENTENCES: dict[RuleId, Callable[[Problem, frozenset[RuleId]], str]] = {
    "same_size": _same_size,
    "mass_match": _mass_match,
    "displacement": _displacement,
    "availability": _availability,
}
