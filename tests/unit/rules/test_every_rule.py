"""Each rule, run through each of its parts with a job it refuses, and without one of them."""

from __future__ import annotations

import subprocess
import sys
from importlib import import_module
from pathlib import Path
from typing import get_args

import pytest

from fitsolver.checking.rules import CHECKS, Check
from fitsolver.choices import ring_options
from fitsolver.choices.demands import DEMANDS, OF_PAIRS, OF_THE_BORE
from fitsolver.explain import job_openings
from fitsolver.explain.job_openings import RELAXATIONS
from fitsolver.records.rules import LOCAL, REGISTRY, RULES, RuleId
from fitsolver.solving.build import POSTS

from . import exercise, small


def cases(rule: RuleId) -> tuple[small.Case, small.Case]:
    """A job that keeps the rule and one that it refuses, from the rule's own tests."""
    tests = import_module(f"tests.unit.rules.test_{rule}")
    return tests.KEPT, tests.REFUSED


def test_the_registry_holds_every_id_once() -> None:
    assert get_args(RuleId) == RULES == tuple(rule.id for rule in REGISTRY.values())
    assert set(RULES) == LOCAL | exercise.COUPLING
    assert not LOCAL & exercise.COUPLING


@pytest.mark.parametrize("part", exercise.PARTS, ids=lambda part: part.__name__)
@pytest.mark.parametrize("rule", RULES)
def test_every_part_of_a_rule_refuses_its_job(rule: RuleId, part: exercise.Part) -> None:
    part(rule, *cases(rule))


@pytest.mark.parametrize("rule", sorted(DEMANDS.keys() - POSTS.keys() - OF_PAIRS))
def test_forgotten_demands_are_found(rule: RuleId, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ring_options, "_KNOWN", ring_options.Known())
    monkeypatch.delitem(DEMANDS, rule)
    parts = [exercise.solver]
    if rule not in OF_THE_BORE and rule != "form":  # what rows are asked one by one
        parts.append(exercise.screening)
    if REGISTRY[rule].at_counter != "never" and not REGISTRY[rule].fits:  # fits are judged as well
        parts.append(exercise.counter)
    for part in parts:
        with pytest.raises(AssertionError):
            part(rule, *cases(rule))


@pytest.mark.parametrize("rule", sorted(POSTS.keys() - {"end_gap"}))
def test_a_forgotten_post_is_found(rule: RuleId, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(POSTS, rule)
    with pytest.raises(AssertionError):
        exercise.solver(rule, *cases(rule))


@pytest.mark.parametrize("rule", RULES)
def test_a_forgotten_check_is_found(rule: RuleId, monkeypatch: pytest.MonkeyPatch) -> None:
    kept, refused = cases(rule)
    with monkeypatch.context() as patch:
        patch.delitem(CHECKS, rule)
        with pytest.raises(KeyError):
            exercise.check(rule, kept, refused)
    monkeypatch.setitem(CHECKS, rule, Check(lambda view: iter(())))
    with pytest.raises(AssertionError):
        exercise.check(rule, kept, refused)


@pytest.mark.parametrize("rule", sorted(exercise.COUPLING))
def test_a_forgotten_relaxation_is_found(rule: RuleId, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(RELAXATIONS, rule)
    monkeypatch.setattr(job_openings, "route_openings", lambda task: iter(()))
    with pytest.raises(AssertionError):
        exercise.relaxation(rule, *cases(rule))


def test_a_piston_that_the_check_of_rebuilds_forgets_is_found(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(CHECKS, "compatibility", CHECKS["compatibility"]._replace(refuses=None))
    with pytest.raises(AssertionError):
        exercise.later("compatibility", *cases("compatibility"))


def test_an_invented_rule_is_added_through_the_registry_alone() -> None:
    """Solver, counter, screening, check and sentence have it; a page of its own it has not."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.unit.rules.double"],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).parents[3],
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout == (
        "groove count: P has 2 ring grooves; at the counter: P has 2 ring grooves\n"
    )
