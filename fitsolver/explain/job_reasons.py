"""Why cylinders that each have a plan alone have none together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator

from fitsolver.base.lengths import TICKS_PER, format_length
from fitsolver.choices.selection import Selection
from fitsolver.choices.words import told_alike
from fitsolver.explain.competing import Competition, shortage_reasons
from fitsolver.explain.joined import Joined
from fitsolver.explain.oversizes import oversizes_alone
from fitsolver.explain.passed_over import to_be_had
from fitsolver.explain.supply import candidates
from fitsolver.fits import mass_match
from fitsolver.fits.availability import for_sale, from_stock
from fitsolver.fits.displacement import displacement
from fitsolver.matching.words import CYLINDER, called, listed
from fitsolver.planning.order_list import demand
from fitsolver.records.base import RuleId
from fitsolver.records.figures import money
from fitsolver.records.plan import Reason
from fitsolver.records.words import counted
from fitsolver.solving.possible import JOINING, OWN_RULES
from fitsolver.solving.problem import Problem
from fitsolver.solving.solve import best

_CM3 = (10 * TICKS_PER["mm"]) ** 3


def job_reasons(joined: Joined) -> list[Reason]:
    """Return the coupling rules in conflict, each with the figure that breaks it."""
    rules = joined.conflict()
    return joined_reasons(joined, sorted(rules)) if rules else [no_shared_stack()]


def joined_reasons(joined: Joined, rules: Iterable[RuleId]) -> list[Reason]:
    """Return the reasons of joining rules in conflict; sizes that only cannot be had come first."""
    rules = tuple(rules)
    reasons = [joined_reason(joined, rule, rules) for rule in rules]
    if "availability" in rules and joined.passed_over:
        reasons.sort(key=lambda reason: reason.rule != "availability")
    return reasons


def short_of_pistons(joined: Joined, few: Competition) -> list[Reason]:
    """Return the shortages: first sizes that fit but cannot be had, then competing cylinders."""
    task = joined.task
    passed = [
        Reason(rule="availability", sentence=each.sentence(task)) for each in joined.passed_over
    ]
    return [*passed, *shortage_reasons(task, few)]


def no_shared_stack() -> Reason:
    """Return the reason where only the shared gasket stack is in conflict."""
    sentence = "no shared stack of gaskets suits all cylinders, though each could be done alone"
    return Reason(rule="squish", sentence=sentence)


def joined_reason(joined: Joined, rule: RuleId, rules: Iterable[RuleId]) -> Reason:
    """Return what a joining rule in conflict asks for, with the figure that breaks it.

    `rules` is the minimal set of coupling rules in conflict. The figure comes from plans that keep
    all rules but this one. A second conflict may leave no such plan; the figure then comes from
    plans that keep only the other rules of this conflict.
    """
    active = JOINING
    if not joined.possible(JOINING - {rule}):
        active = frozenset(rules)
    sentence = _SENTENCES[rule](joined, active)
    if active != JOINING and rule != "same_size":
        sentence += " (without the other rules that join cylinders: one of them fails too)"
    return Reason(rule=rule, sentence=sentence)


def _without(task: Problem, rule: RuleId, joining: frozenset[RuleId] = JOINING) -> Selection | None:
    return best(task, active=OWN_RULES | (joining - {rule})).selection


def _same_size(joined: Joined, joining: frozenset[RuleId]) -> str:
    """The oversizes each cylinder of the set could take by itself."""
    task = joined.task
    alike: dict[str, list[str]] = {}
    for rule in task.job.same_size:
        for state in task.cylinders:
            if state.name in rule.cylinders:
                sizes = ", ".join(
                    format_length(size, task.job.unit, sign=True)
                    for size in sorted(oversizes_alone(task, state))
                )
                alike.setdefault(sizes or "no size", []).append(state.name)
    said = [f"{sizes} for {called(names, CYLINDER)}" for sizes, names in alike.items()]
    return f"{'; '.join(said)} ({task.job.unit}), each by itself; the set must have one oversize"


def _mass_match(joined: Joined, joining: frozenset[RuleId]) -> str:
    task = joined.task
    found = _without(task, "mass_match", joining)
    said = []
    for rule in task.job.mass_match:
        limit = f"{rule.limit / 1000:g} g permitted"
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
            said.append(f"{limit}; the mass of a piston that would fit is not known")
            continue
        spread = mass_match.spread(known) / 1000
        said.append(f"{limit}; {spread:g} g between the pistons of the best set without this rule")
    return "; ".join(said)


def _displacement(joined: Joined, joining: frozenset[RuleId]) -> str:
    task = joined.task
    engine = task.job.engine
    limit = (engine.displacement_limit or 0) * 100 // _CM3 / 100
    found = _without(task, "displacement", joining)
    if found is None or engine.stroke is None:
        return f"{limit:.2f} cm3 permitted"
    bores = [chosen.high - chosen.option.size_offset for chosen in found.cylinders]
    size = displacement([*bores, *engine.other_bores], engine.stroke)
    over = -(-size * 100 // _CM3) / 100  # never shown within a limit that it exceeds
    return f"{limit:.2f} cm3 permitted; {over:.2f} cm3 in the best plan without this limit"


def _availability(joined: Joined, joining: frozenset[RuleId]) -> str:
    """Parts, then money, then time: the first of these that alone prevents a plan, with figures."""
    task, terms = joined.task, joined.task.job.terms
    said = [each.sentence(task) for each in joined.passed_over]
    price = joined.least("price", joining) if terms.budget is not None else None
    if price is None and not joined.possible(joining, terms=frozenset()):
        return "; ".join([*said, *_short_parts(joined, joining, told=" ".join(said))])
    passed, currency = len(said), task.catalogue.currency
    if terms.budget is not None and price is not None and price > terms.budget:
        said.append(
            f"{money(terms.budget, currency)} is the budget; {price / 100:.2f} is the cheapest "
            f"plan: {(price - terms.budget) / 100:.2f} over"
        )
    if terms.needed_in_days is not None:
        days = joined.least("days", joining)
        if days is not None and days > terms.needed_in_days:
            late = days - terms.needed_in_days
            said.append(
                f"{counted(terms.needed_in_days, 'day', 'days')} to go; "
                f"{counted(days, 'day', 'days')} takes the soonest plan: {late} late"
            )
    if len(said) == passed:
        price, days = joined.least("price", joining), joined.least("days", joining)
        assert price is not None
        soonest = "" if days is None else f", {counted(days, 'day', 'days')} takes the soonest"
        said.append(
            f"{money(price, currency)} is the cheapest plan{soonest}; none is both in budget and "
            "in time"
        )
    return "; ".join(said)


def _short_parts(joined: Joined, joining: frozenset[RuleId], told: str) -> list[str]:
    """Return the parts that the plan without this rule needs and cannot get, except `told`."""
    task, few = joined.task, joined.competition
    if few is not None:
        return [reason.sentence for reason in shortage_reasons(task, few)]
    found = _without(to_be_had(task), "availability", joining)
    found = found or _without(task, "availability", joining)
    if found is None:
        return [] if told else ["the parts cannot be had"]
    said = list(_lacking_pieces(task, found))
    short = [(number, each) for number, each in _short(task, found) if number not in told]
    if short:
        said += told_alike(short)
    if not said and not told:
        said.append("no set of parts that can be had together does the job")
    return said


def _lacking_pieces(task: Problem, found: Selection) -> Iterator[str]:
    """Yield the pieces in hand that more than one cylinder needs."""
    for (number, piece), names in _takers(task, found).items():
        if len(names) > 1:
            some = f"cylinders {listed(names)}"
            yield f"{len(names)} needed, by {some}; one there of {piece} of {number}"


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
            yield number, _lacking(count, held, stock) + number


def _lacking(count: int, held: int, stock: int) -> str:
    return f"{count} needed, {held} in hand, {stock} in stock, none to order: "


def wanted_parts(task: Problem) -> Counter[str]:
    """Return the pieces of the best plan with unlimited supply; empty: no plan.

    Of all parts, and of those of which a piece can be had, the more of both. A measured piece
    that several cylinders take is wanted once more for each after the first.
    """
    wanted: Counter[str] = Counter()
    for narrowed in (task, to_be_had(task)):
        found = _without(narrowed, "availability")
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


_SENTENCES: dict[RuleId, Callable[[Joined, frozenset[RuleId]], str]] = {
    "same_size": _same_size,
    "mass_match": _mass_match,
    "displacement": _displacement,
    "availability": _availability,
}
