"""Why a plan is as it is: what sets the finish size, why no smaller piston, why these rings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from fitsolver.lengths import format_length
from fitsolver.options import CylinderChoices
from fitsolver.planning.stack import bore_bounds
from fitsolver.records.base import RULES, RuleId
from fitsolver.records.plan import CylinderPlan, Fit, Plan
from fitsolver.records.why import ChoiceReason
from fitsolver.ring_options import RingOption, offered, ring_option
from fitsolver.selection import CylinderSelection, Selection
from fitsolver.solving.by_itself import fits_alone, minimal_own, without_doubles
from fitsolver.solving.joined import few_fit, fits
from fitsolver.solving.nearest import nearest
from fitsolver.solving.possible import OWN_RULES, alone
from fitsolver.solving.problem import Problem
from fitsolver.solving.sentences import miss_sentence


def choice_reasons(task: Problem, selection: Selection, plan: Plan) -> Iterator[ChoiceReason]:
    """Yield the reasons of every choice, cylinder by cylinder."""
    for state, chosen, written in zip(
        task.cylinders, selection.cylinders, plan.cylinders, strict=True
    ):
        yield _size(task, selection, state, chosen)
        yield _finish(task, state, chosen)
        for groove, ring in sorted(chosen.rings.items()):
            yield _ring(task, state, chosen, groove, ring)
        yield from _edges(state, written)


def _size(
    task: Problem, selection: Selection, state: CylinderChoices, chosen: CylinderSelection
) -> ChoiceReason:
    """Why not the next smaller size, by the rules that stop it, or by what it would cost."""
    own = chosen.option.piston.candidate.part.nominal_bore
    smaller = [p for p in state.pistons if p.candidate.part.nominal_bore < own]
    if not smaller:
        sentence = "no smaller size may be used here"
        return ChoiceReason(cylinder=state.name, subject="size", sentence=sentence)
    nominal = max(piston.candidate.part.nominal_bore for piston in smaller)
    unit = task.job.unit
    oversize = next(
        p.candidate.part.oversize for p in smaller if p.candidate.part.nominal_bore == nominal
    )
    size = f"the next smaller size ({format_length(oversize, unit, sign=True, symbol=True)})"
    trimmed = replace(task, catalogue=without_doubles(task.job, task.catalogue))
    single = _only(alone(trimmed, state.name), 0, nominal)
    if not fits_alone(single, OWN_RULES):
        rules = minimal_own(single)
        near = nearest(single.cylinders[0], single.shelf.rings)
        miss = "" if near is None else f": {miss_sentence(unit, near, list(rules))}"
        return ChoiceReason(
            cylinder=state.name, subject="size", rules=rules, sentence=f"{size} does not fit{miss}"
        )
    sentence = f"{size} would fit this cylinder alone, not together with the whole job"
    mates = _of_one_size(task, state)
    unfit = [
        name for name in mates if not fits_alone(_only(alone(trimmed, name), 0, nominal), OWN_RULES)
    ]
    if unfit:
        sentence = (
            f"{size} would fit this cylinder, not cylinder {', '.join(unfit)}, and the set must "
            "have one size"
        )
    elif _with_size(task, selection, [state.name, *mates], nominal):
        sentence = f"{size} would fit too, but a plan with it comes later in the order of the job"
    return ChoiceReason(cylinder=state.name, subject="size", sentence=sentence)


def _of_one_size(task: Problem, state: CylinderChoices) -> list[str]:
    """Return the other cylinders that must have the oversize of this one."""
    sets = [set(rule.cylinders) for rule in task.job.same_size if state.name in rule.cylinders]
    return [c.name for c in task.cylinders if c is not state and any(c.name in s for s in sets)]


def _with_size(task: Problem, selection: Selection, names: list[str], nominal: int) -> bool:
    """Tell whether there is a plan with pistons of one size in the cylinders named.

    First with all else as it was picked: a plan found so is one.
    """
    sized = task
    for index, state in enumerate(task.cylinders):
        if state.name in names:
            sized = _only(sized, index, nominal)
    picked = list(sized.cylinders)
    for index, chosen in enumerate(selection.cylinders):
        if picked[index].name not in names:
            own = (chosen.option.piston,)
            picked[index] = replace(picked[index], pistons=own, routes=(chosen.option.route,))
    return few_fit(replace(sized, cylinders=tuple(picked))) or fits(sized)


def _only(task: Problem, index: int, nominal: int) -> Problem:
    """Return the problem with the pistons of one size only in one cylinder."""
    state = task.cylinders[index]
    sized = tuple(p for p in state.pistons if p.candidate.part.nominal_bore == nominal)
    states = list(task.cylinders)
    states[index] = replace(state, pistons=sized)
    return replace(task, cylinders=tuple(states))


def _finish(task: Problem, state: CylinderChoices, chosen: CylinderSelection) -> ChoiceReason:
    """Which rules ask for no smaller finish size."""
    option, unit = chosen.option, state.job.unit
    if not option.machined:
        sentence = "the bore is left as it is: nothing is cut"
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
        sentence = f"no rule asks for a smallest local size of {size}: what is best later sets it"
    else:
        words = " and ".join(rule.replace("_", " ") for rule in ordered)
        sentence = f"{words} asks for a smallest local size of {size} or more: no metal less"
    return ChoiceReason(cylinder=state.name, subject="finish", rules=ordered, sentence=sentence)


def _ring(
    task: Problem,
    state: CylinderChoices,
    chosen: CylinderSelection,
    groove: int,
    taken: RingOption,
) -> ChoiceReason:
    """What the other rings for the groove miss in the bore as it will be."""
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
    said = [f"{missed[rule]} by {rule.replace('_', ' ')}" for rule in RULES if missed[rule]]
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
    """The fits that lie on an edge of their window: nothing is left there."""
    for fit in written.fits:
        for side, slack in (("lowest", fit.slack_low), ("highest", fit.slack_high)):
            if slack == 0:
                yield ChoiceReason(
                    cylinder=state.name,
                    subject="edge",
                    rules=(_rule(fit),),
                    sentence=f"{_fit_words(fit)} lies on its {side} permitted value: no slack left",
                )


def _rule(fit: Fit) -> RuleId:
    match fit.fit:
        case "out_of_round" | "taper":
            return "form"
        case name:
            return name


def _fit_words(fit: Fit) -> str:
    words = fit.fit.replace("_", " ")
    if fit.port:
        return f"{words} of {fit.port}"
    return f"{words} of groove {fit.groove}" if fit.groove else words
