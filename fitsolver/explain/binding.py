"""Why a plan is as it is: what sets the finish size, why no smaller piston, why these rings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from fitsolver.base.lengths import format_length
from fitsolver.choices.ring_options import offered, ring_option
from fitsolver.choices.selection import CylinderSelection, Selection
from fitsolver.choices.types import CylinderChoices, RingOption
from fitsolver.explain.misses import scratch_words
from fitsolver.explain.size_reasons import size_reasons
from fitsolver.planning.stack import bore_bounds
from fitsolver.records.base import RULES, RuleId
from fitsolver.records.plan import CylinderPlan, Fit, Plan
from fitsolver.records.rules import REGISTRY, RULE_OF
from fitsolver.records.why import ChoiceReason
from fitsolver.records.windows import place_words
from fitsolver.solving.problem import Problem


def choice_reasons(task: Problem, selection: Selection, plan: Plan) -> Iterator[ChoiceReason]:
    """Yield the reasons of every choice, cylinder by cylinder."""
    for state, chosen, written in zip(
        task.cylinders, selection.cylinders, plan.cylinders, strict=True
    ):
        yield from size_reasons(task, selection, state, chosen)
        yield _finish(task, state, chosen)
        for groove, ring in sorted(chosen.rings.items()):
            yield _ring(task, state, chosen, groove, ring)
        yield from _edges(state, written)


def _finish(task: Problem, state: CylinderChoices, chosen: CylinderSelection) -> ChoiceReason:
    """Return the rules that forbid a smaller finish size, in words."""
    option, unit = chosen.option, state.job.unit
    if not option.machined:
        sentence = "0 cut: the bore is left as it is"
        return ChoiceReason(cylinder=state.name, subject="finish", sentence=sentence)
    asked = [*option.least_low, *(bound for ring in chosen.rings.values() for bound in ring.least)]
    rules = {bound.rule for bound in asked if bound.value == chosen.low}
    rules |= {bound.rule for bound in option.least_high if bound.value == chosen.high}
    gaskets = {gasket.number: gasket for gasket in task.catalogue.gaskets}
    if bore_bounds(state, chosen, gaskets)[0] == chosen.low:
        rules.add("compression")
    ordered: tuple[RuleId, ...] = tuple(rule for rule in RULES if rule in rules)
    size = format_length(chosen.low, unit, "up", symbol=True)
    if not ordered:
        sentence = f"{size} where it is smallest is what comes out best; no rule asks for as much"
    else:
        words = " and ".join(_asks(rule, state, chosen) for rule in ordered)
        ask = "asks" if len(ordered) == 1 else "ask"
        sentence = f"{size} or more where it is smallest: {words} {ask} for it; no metal less"
    return ChoiceReason(cylinder=state.name, subject="finish", rules=ordered, sentence=sentence)


def _asks(rule: RuleId, state: CylinderChoices, chosen: CylinderSelection) -> str:
    """Return the rule that sets a size; names the scratch where the scratch sets it."""
    words = REGISTRY[rule].words
    scratch = scratch_words(chosen.option.route, state.job.unit) if rule == "clean_up" else ""
    return f"{words} ({scratch})" if scratch else words


def _ring(
    task: Problem,
    state: CylinderChoices,
    chosen: CylinderSelection,
    groove: int,
    taken: RingOption,
) -> ChoiceReason:
    """Return the rules that refuse the other rings for the groove in the finished bore."""
    ring_class = chosen.option.piston.ring_class
    place = next(item for item in ring_class.grooves if item.number == groove)
    missed: Counter[RuleId] = Counter()
    would = 0
    for candidate in offered(state, task.shelf.rings, groove):
        if candidate.key == taken.candidate.key:
            continue
        rule = _missed(ring_option(state, ring_class, place, candidate), chosen)
        if rule is None:
            would += 1
        else:
            missed[rule] += 1
    number = taken.candidate.part.number
    said = [f"{missed[rule]} by {REGISTRY[rule].words}" for rule in RULES if missed[rule]]
    others = sum(missed.values()) + would
    sentence = f"groove {groove}: {number} is the only ring for it"
    if others:
        sentence = f"groove {groove}: of {others} other rings {others - would} do not fit this bore"
        sentence += f" ({', '.join(said)})" if said else ""
        sentence += f"; {would} would; what is best decides for {number}" if would else ""
    rules = tuple(rule for rule in RULES if missed[rule])
    return ChoiceReason(cylinder=state.name, subject="ring", rules=rules, sentence=sentence)


def _missed(ring: RingOption, chosen: CylinderSelection) -> RuleId | None:
    """Return the first rule that a ring breaks in the bore as chosen; None: it fits."""
    broken = {refusal.rule for refusal in ring.refusals}
    broken |= {bound.rule for bound in ring.least if bound.value > chosen.low}
    broken |= {bound.rule for bound in ring.most if bound.value < chosen.high}
    if (
        ring.widest_spread < chosen.option.route.spread
        or chosen.low < ring.reach_low
        or chosen.high > ring.reach_high
    ):
        broken.add("end_gap")
    return next((rule for rule in RULES if rule in broken), None)


def _edges(state: CylinderChoices, written: CylinderPlan) -> Iterator[ChoiceReason]:
    """Fits that lie on an edge of their window: their slack is 0."""
    for fit in written.fits:
        for limit, slack in (("lower", fit.slack_low), ("upper", fit.slack_high)):
            if slack == 0:
                yield ChoiceReason(
                    cylinder=state.name,
                    subject="edge",
                    rules=(RULE_OF[fit.fit],),
                    sentence=f"{_fit_words(fit)} sits at its {limit} limit: nothing to spare",
                )


def _fit_words(fit: Fit) -> str:
    words = place_words(fit.fit)
    if fit.port:
        return f"{words} of {fit.port}"
    return f"{words} of groove {fit.groove}" if fit.groove else words
