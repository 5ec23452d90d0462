"""Conflicts and openings against the brute force: none can be spared, no smaller step does."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from random import Random
from typing import Final

import pytest

from fitsolver.choices.types import ALL_RULES
from fitsolver.explain.joined import Joined
from fitsolver.explain.nearest import nearest
from fitsolver.explain.openings import Change, widened, with_cylinder
from fitsolver.explain.together import combinations, made
from fitsolver.explain.why import changes_of, conflicts, nothing_fits
from fitsolver.records.base import Range, RuleId
from fitsolver.records.catalogue import Catalogue, Groove, Ring
from fitsolver.records.job import InHand, Job
from fitsolver.records.windows import Window
from fitsolver.solving.by_itself import fits_alone
from fitsolver.solving.few import fits
from fitsolver.solving.possible import JOINING, OWN_RULES, alone, conflict, possible
from fitsolver.solving.problem import problem

from ..unit.rules import small
from .brute import best_plan
from .brute_cylinder import TooManyError
from .dice import THEMES, Dice
from .generate import draw_case

#: Jobs drawn a theme.
_DRAWN: Final = 120


def drawn(theme: str, seed: int) -> list[tuple[Job, Catalogue]]:
    dice = Random(f"{theme} {seed}")
    return [draw_case(THEMES[theme], dice.randbytes(Dice.SIZE)) for _ in range(_DRAWN)]


def to_be_had(parts: Catalogue) -> Catalogue:
    """The catalogue with any number of each part for nothing: availability stops no one."""
    free = {"price": 0, "stock": 0, "lead_days": 0}
    return parts.model_copy(
        update={
            kind: tuple(item.model_copy(update=free) for item in getattr(parts, kind))
            for kind in ("pistons", "rings", "gaskets")
        }
    )


def brute(job: Job, parts: Catalogue, rules: frozenset[RuleId]) -> bool:
    """Does the brute force find a plan that keeps these rules?"""
    return best_plan(job, to_be_had(parts), ALL_RULES - rules - {"availability"}) is not None


@pytest.mark.parametrize("theme", THEMES)
def test_arithmetic_of_one_cylinder_is_the_solver(theme: str) -> None:
    dice, seen = Random(3), Counter[bool]()
    for job, parts in drawn(theme, 1):
        for cylinder in job.cylinders:
            single = alone(problem(job, parts), cylinder.name)
            some = frozenset(dice.sample(sorted(OWN_RULES), 6))
            for active in (OWN_RULES, some):
                seen[fits_alone(single, active)] += 1
                assert fits_alone(single, active) == possible(single, active)
    assert min(seen.values()) > 20


@pytest.mark.parametrize("theme", ["rings", "finish", "gaskets", "timing"])
def test_no_rule_of_a_cylinders_conflict_can_be_spared(theme: str) -> None:
    seen = 0
    for job, parts in drawn(theme, 2):
        task = problem(job, parts)
        if job.in_hand or possible(task):
            continue
        for found in conflicts(task):
            if not found.cylinder or not found.rules:
                continue
            rules, single = frozenset(found.rules), found.single.job
            try:
                assert not brute(single, parts, rules)
                assert all(brute(single, parts, rules - {rule}) for rule in rules)
            except TooManyError:
                continue
            assert set(conflict(alone(task, found.cylinder), rules)) == rules  # the naive twin
            seen += 1
    assert seen >= 5


def test_conflicts_are_minimal_with_measured_rings_and_rings_far_off() -> None:
    """Measured rings marked for two grooves, and rings some 17 mm off that a seat brings near."""
    dice, seen, helped = Random(7), 0, Counter[bool]()
    while seen < 300:
        job, parts = ringed_job(dice)
        single = alone(problem(job, parts), "1")
        if fits_alone(single, OWN_RULES):
            continue
        for found in conflicts(problem(job, parts)):
            if not found.cylinder or not found.rules:
                continue
            rules = frozenset(found.rules)
            assert not brute(job, parts, rules), rules
            assert all(brute(job, parts, rules - {rule}) for rule in rules), rules
            helped[bool(job.in_hand) and "ring_seat" not in rules] += 1
            seen += 1
    assert min(helped.values()) > 20


def ringed_job(dice: Random) -> tuple[Job, Catalogue]:
    """One cylinder, one or two grooves, up to three rings, some measured, narrow windows."""
    far = dice.choice([0, 0, 1_700_000, 1_725_000, 1_760_000, -1_725_000])
    rings = tuple(_drawn_ring(dice, number, far) for number in range(dice.randint(1, 3)))
    bottom, seat = (
        dice.randint(10_000, 40_000),
        dice.randint(-40_000, 20_000) + dice.choice([0, far]),
    )
    windows = (
        Window(fit="clearance", low=4_000, high=4_000 + dice.randint(200, 30_000)),
        Window(fit="end_gap", low=bottom, high=bottom + dice.randint(0, 40_000)),
        Window(fit="ring_seat", low=seat, high=seat + dice.randint(0, 60_000)),
    )
    held = tuple(
        InHand(
            number=dice.choice(rings).number, gap=dice.randint(5_000, 60_000), gap_bore=6_200_000
        )
        for _ in range(dice.randint(0, 2))
    )
    width = Range(low=203_000, high=204_000)
    grooves = tuple(Groove(number=n, width=width) for n in range(1, dice.randint(1, 2) + 1))
    piston = small.part(small.PISTON, grooves=grooves)
    hone = small.part(
        small.HONE, min_cut=dice.randint(0, 3_000), max_cut=dice.choice([None, 60_000])
    )
    job = small.job(
        *windows, in_hand=held, finishing=dice.choice(["set size", "piston in hand"]), routes=()
    )
    return job, small.catalogue(pistons=(piston,), rings=rings, routes=(hone,))


def _drawn_ring(dice: Random, number: int, far: int) -> Ring:
    gap = dice.randint(10_000, 40_000)
    return Ring(
        number=f"R{number}",
        grooves=dice.choice([(1,), (2,), (1, 2)]),
        gauge_diameter=6_200_000 + dice.randint(-30_000, 60_000) + dice.choice([0, far]),
        gap=Range(low=gap, high=gap + dice.randint(0, 20_000)),
        width=Range(low=198_000, high=199_000),
        file_most=dice.choice([0, 5_000, 90_000, 9_000_000]),
        seat_over=dice.choice([None, None, dice.randint(-5_000, 40_000)]),
    )


@pytest.mark.parametrize("theme", ["sets", "supply", "everything"])
def test_a_conflict_of_the_job_is_minimal_and_that_of_the_solver(theme: str) -> None:
    seen = 0
    for job, parts in drawn(theme, 3):
        task = problem(job, parts)
        if possible(task) or not possible(task, OWN_RULES):
            continue
        rules = frozenset(Joined(task).conflict())
        assert not possible(task, OWN_RULES | rules)
        assert all(possible(task, OWN_RULES | (rules - {rule})) for rule in rules)
        assert rules == set(conflict(task, JOINING, OWN_RULES))  # the naive twin
        seen += 1
    assert seen >= 5


@pytest.mark.parametrize("theme", ["rings", "finish", "gaskets", "timing"])
def test_each_change_opens_and_one_step_less_does_not(theme: str) -> None:
    seen: Counter[str] = Counter()
    for job, parts in drawn(theme, 4):
        task = problem(job, parts)
        if job.in_hand or possible(task):
            continue
        for found in conflicts(task):
            if not found.cylinder:
                continue
            [state] = found.single.cylinders
            near = nearest(state, found.single.shelf.rings)
            for change in changes_of(found, near):
                try:
                    held_against_brute(found.single.job, parts, change)
                except TooManyError:
                    continue
                seen[change.kind] += 1
    assert sum(seen.values()) >= 5, seen


def test_changes_of_several_cylinders_open_the_job_and_none_can_be_spared() -> None:
    seen = 0
    for job, parts in drawn("everything", 6) + drawn("sets", 6) + drawn("supply", 6):
        task = problem(job, parts)
        if possible(task):
            continue
        own = {
            found.cylinder: list(
                changes_of(found, nearest(found.single.cylinders[0], found.single.shelf.rings))
            )
            for found in conflicts(task)
            if found.cylinder
        }
        for chosen in combinations(task, own):
            assert possible(problem(*made(task, chosen)))
            if len(set(chosen.values())) == len(chosen):
                for name in chosen:
                    others = {each: change for each, change in chosen.items() if each != name}
                    assert not possible(problem(*made(task, others)))
            seen += 1
    assert seen >= 1


def held_against_brute(job: Job, parts: Catalogue, change: Change) -> None:
    assert brute(*change.make(job, parts), OWN_RULES), change
    for smaller in one_step_less(job, parts, change):
        assert not brute(*smaller, OWN_RULES), change


def one_step_less(job: Job, parts: Catalogue, change: Change) -> list[tuple[Job, Catalogue]]:
    """The job and catalogue with the same change, a tick smaller."""
    if change.kind in ("window", "bore limit", "pair"):
        return [(less, parts) for less in edges_one_step_back(job, change.make(job, parts)[0])]
    if change.kind == "piston":
        piston = change.make(job, parts)[1].pistons[-1]
        skirt = piston.skirt.model_copy(
            update={"low": piston.skirt.low - 1, "high": piston.skirt.high - 1}
        )
        smaller = piston.model_copy(
            update={
                "skirt": skirt,
                "oversize": piston.oversize - 1,
                "nominal_bore": piston.nominal_bore - 1,
            }
        )
        return [(job, parts.model_copy(update={"pistons": (*parts.pistons, smaller)}))]
    if change.kind == "ring" and change.measure == "ticks":
        pinned, more = change.make(job, parts)
        asked = more.rings[len(parts.rings) :]
        smaller_rings = tuple(
            ring.model_copy(update={"gauge_diameter": ring.gauge_diameter - 1}) for ring in asked
        )
        return [(pinned, parts.model_copy(update={"rings": (*parts.rings, *smaller_rings)}))]
    return [(job, parts)]  # a route is allowed or it is not


def edges_one_step_back(job: Job, after: Job) -> Iterator[Job]:
    """The changed job with each edge or limit that was moved a step back, and a route withdrawn."""
    [before], [changed] = job.cylinders, after.cylinders
    if changed.bore_limit != before.bore_limit:
        assert changed.bore_limit is not None
        yield with_cylinder(after, before.name, bore_limit=changed.bore_limit - 1)
    windows = after.windows_for(changed)
    for index, window in enumerate(job.windows_for(before)):
        for edge in ("low", "high"):
            if getattr(windows[index], edge) != getattr(window, edge):
                yield widened(after, before.name, index, edge, -1)
    if changed.routes != before.routes:
        yield with_cylinder(after, before.name, routes=before.routes, route=before.route)


@pytest.mark.parametrize("theme", ["sets", "supply", "everything"])
def test_what_opens_the_job_is_smallest(theme: str) -> None:
    seen: Counter[str] = Counter()
    for job, parts in drawn(theme, 5):
        task = problem(job, parts)
        if possible(task) or not possible(task, OWN_RULES):
            continue
        terms = job.terms
        for opening in nothing_fits(task).openings:
            if opening.kind == "mass" and len(job.mass_match) == 1:
                [match] = job.mass_match
                for less in (0, 1):
                    limit = match.limit + opening.by - less
                    wider = (match.model_copy(update={"limit": limit}),)
                    changed = job.model_copy(update={"mass_match": wider})
                    assert possible(problem(changed, parts)) == (not less)
                seen["mass"] += 1
            if opening.kind == "budget":
                tried = [{"budget": (terms.budget or 0) + opening.by - less} for less in (0, 1)]
            elif opening.kind == "days":
                had = terms.needed_in_days or 0
                tried = [{"needed_in_days": had + opening.by - less} for less in (0, 1)]
            else:
                continue
            after = [
                job.model_copy(update={"terms": terms.model_copy(update=each)}) for each in tried
            ]
            assert [fits(problem(each, parts)) for each in after] == [True, False]
            try:
                assert best_plan(after[0], parts) is not None
                assert best_plan(after[1], parts) is None
            except TooManyError:
                continue
            seen[opening.kind] += 1
    if theme != "everything":
        assert seen, "no mass, budget or time was short in any job drawn"
