"""What joins cylinders: one model, adding up and counting against a model for each question."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from math import inf
from random import Random

from fitsolver.choices.options import options
from fitsolver.choices.types import ALL_RULES
from fitsolver.explain.competing import too_few_of_any_size
from fitsolver.explain.joined import Joined
from fitsolver.explain.oversizes import oversizes_alone
from fitsolver.records.base import Level, RuleId
from fitsolver.records.job import Terms
from fitsolver.solving.by_itself import fits_alone
from fitsolver.solving.competing_rings import too_few_rings, too_few_rings_of_any_size
from fitsolver.solving.least_terms import least_terms
from fitsolver.solving.possible import JOINING, OWN_RULES, alone, possible
from fitsolver.solving.problem import Problem, problem
from fitsolver.solving.solve import best
from tests.oracle.dice import THEMES, Dice
from tests.oracle.generate import draw_case

SETS: tuple[frozenset[RuleId], ...] = tuple(
    frozenset(some) for count in range(5) for some in combinations(sorted(JOINING), count)
)


def drawn(seed: int, draws: int) -> Iterator[Problem]:
    dice = Random(seed)
    for _ in range(draws):
        theme = THEMES[dice.choice(("sets", "supply", "everything"))]
        yield problem(*draw_case(theme, dice.randbytes(Dice.SIZE)))


def with_terms(task: Problem, terms: Terms) -> Problem:
    return replace(task, job=task.job.model_copy(update={"terms": terms}))


def test_every_set_of_joining_rules_is_answered_as_by_a_model_of_its_own() -> None:
    dice, seen = Random(1), Counter[bool]()
    for task in drawn(1, 120):
        joined = Joined(task)
        for rules in dice.sample(SETS, len(SETS)):
            told = joined.possible(rules)
            assert told == possible(task, OWN_RULES | rules), rules
            seen[told] += 1
        free = with_terms(task, Terms())
        assert joined.possible(terms=frozenset()) == possible(free)
    assert min(seen.values()) > 200


def test_the_least_price_and_days_are_those_of_the_search() -> None:
    seen = 0
    for task in drawn(2, 80):
        free, joined, arithmetic = with_terms(task, Terms()), Joined(task), least_terms(task)
        levels: tuple[Level, Level] = ("price", "days")
        for level in levels:
            first = replace(free, job=free.job.model_copy(update={"best": (level,)}))
            found = best(first)
            value = next((each.value for each in found.levels if each.level == level), None)
            assert (joined.least("price") if level == "price" else joined.least("days")) == value
            if value is not None:
                assert getattr(arithmetic, level) <= value
                seen += 1
    assert seen > 60


def test_what_arithmetic_denies_has_no_plan() -> None:
    denied, priceless = 0, 0
    for task in drawn(3, 300):
        if too_few_of_any_size(task):
            assert not possible(task, OWN_RULES | {"same_size", "availability"})
            denied += 1
        if least_terms(task).price == inf:
            assert not possible(with_terms(task, Terms()), OWN_RULES | {"availability"})
            priceless += 1
    assert min(denied, priceless) > 5


def test_oversizes_of_a_cylinder_are_those_with_a_plan_by_itself() -> None:
    seen = Counter[bool]()
    for task in drawn(4, 120):
        for state in task.cylinders:
            found = oversizes_alone(task, state)
            lone = alone(task, state.name)
            for size in {option.piston.candidate.part.oversize for option in options(state)}:
                [own] = lone.cylinders
                sized = tuple(p for p in own.pistons if p.candidate.part.oversize == size)
                of_size = replace(lone, cylinders=(replace(own, pistons=sized),))
                serves = fits_alone(of_size, OWN_RULES) and possible(of_size, ALL_RULES)
                assert (size in found) == serves
                seen[serves] += 1
    assert min(seen.values()) > 20


def test_where_counting_finds_too_few_rings_there_is_no_plan() -> None:
    dice, short, sized = Random(5), 0, 0
    for task in drawn(5, 400):
        stock = {ring.number: dice.randrange(2) for ring in task.catalogue.rings}
        rings = tuple(
            ring.model_copy(update={"stock": stock[ring.number], "lead_days": None})
            for ring in task.catalogue.rings
        )
        scarce = task.catalogue.model_copy(update={"rings": rings, "kits": ()})
        few = problem(task.job, scarce)
        if too_few_rings(few):
            assert not possible(few, OWN_RULES | {"availability"})
            short += possible(few, OWN_RULES)
        elif too_few_rings_of_any_size(few):
            assert not possible(few, OWN_RULES | {"availability", "same_size"})
            sized += 1
    assert short > 20
    assert sized > 2
