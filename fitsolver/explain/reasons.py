"""Why nothing fits: the rules in conflict, in plain words with figures."""

from __future__ import annotations

from fitsolver.choices.demands import OF_HEIGHTS
from fitsolver.explain.competing import pistons_too_few
from fitsolver.explain.competing_openings import shortage_opening
from fitsolver.explain.job_reasons import job_reasons, short_of_pistons
from fitsolver.explain.joined import Joined
from fitsolver.explain.misses import miss_sentence
from fitsolver.explain.nearest import Near, nearest
from fitsolver.explain.sentences import describe, needed_twice, nothing_to_choose
from fitsolver.explain.ways import cuts, ways_left
from fitsolver.records.base import RULES, RuleId
from fitsolver.records.plan import NearMiss, NoFit, Reason
from fitsolver.solving.by_itself import fits_alone, own_conflict, single
from fitsolver.solving.problem import Problem


def no_fit(task: Problem, joined: Joined | None = None) -> NoFit:
    """Return why a job has no plan; `joined` holds earlier answers.

    Each cylinder by itself comes first. Only when all have a plan alone come the coupling rules:
    sizes, masses, displacement, parts, money and time.
    """
    joined = joined or Joined(task).closed()
    found = pistons_too_few(task)
    if found is not None:
        told = short_of_pistons(joined, found)
        more = shortage_opening(task, found)
        ways = () if more is None else (f"{more.sentence}: then there is a plan",)
        left = (*ways, *ways_left(joined, told))
        return NoFit(reasons=tuple(told), near_misses=(), ways_left=left)
    reasons: list[Reason] = []
    misses: list[NearMiss] = []
    height_unknown = False
    for state in task.cylinders:
        if joined.alone(state.name):
            continue
        lone = single(task, state)
        rules = own_conflict(lone)
        near = nearest(state, task.shelf.rings)
        if near is None:
            reasons.append(nothing_to_choose(state))
        elif rules:
            ordered = [rule for rule in RULES if rule in rules]
            height_unknown |= not OF_HEIGHTS.isdisjoint({*ordered} & {*near.refused})
            reasons += [
                Reason(
                    rule=rule,
                    cylinder=state.name,
                    sentence=describe(rule, task, state, near, ordered),
                )
                for rule in ordered
            ]
            misses.append(near_miss(task, near, state.name, ordered))
        elif not fits_alone(lone, frozenset()):
            reasons.append(lacking(near, state.name))
    reasons = [*no_cut(task), *reasons] if reasons else job_reasons(joined)
    return NoFit(
        reasons=tuple(reasons),
        near_misses=tuple(misses),
        ways_left=ways_left(joined, reasons, height_unknown=height_unknown),
    )


def no_cut(task: Problem) -> list[Reason]:
    """Return the reason that the catalogue has no cutting route, where the job may cut."""
    if cuts(task):
        return []
    sentence = (
        "no work that takes metal is in this catalogue: a bore can only be left as it is; list the "
        "shop's work in routes.csv"
    )
    return [Reason(rule="route_cut", sentence=sentence)]


def lacking(near: Near, name: str) -> Reason:
    """Return the reason of a cylinder that lacks a whole kind of part."""
    twice = "; ".join(needed_twice(near))
    if twice and not near.empty:
        return Reason(rule="availability", cylinder=name, sentence=twice)
    rule: RuleId = "compatibility" if near.empty else "squish"
    what = f"ring for groove {near.empty[0]}" if near.empty else "gasket for one of its places"
    return Reason(rule=rule, cylinder=name, sentence=f"no {what} is there to choose")


def near_miss(task: Problem, near: Near, name: str, rules: list[RuleId]) -> NearMiss:
    """Return how far the nearest choice of a cylinder misses, and the rules it breaks."""
    return NearMiss(
        cylinder=name,
        piston=near.option.piston.candidate.part.number,
        route=near.option.route.route.name,
        short_by=near.short_by,
        sentence=miss_sentence(task.job.unit, near, rules),
    )
