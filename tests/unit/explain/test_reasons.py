"""Why nothing fits, held against the brute force: is every conflict one, and a minimal one?"""

from __future__ import annotations

import random
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from fitsolver.base.lengths import parse_length
from fitsolver.explain.reasons import no_fit
from fitsolver.records.base import RULES, RuleId
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import GasketPlace, InHand, Job, MassMatch, PinnedRing, SameSize, Terms
from fitsolver.records.plan import NoFit
from fitsolver.records.windows import Window
from fitsolver.solving.possible import OWN_RULES, alone, conflict, possible
from fitsolver.solving.problem import Problem, problem
from tests.oracle.brute import best_plan
from tests.oracle.brute_cylinder import TooManyError
from tests.oracle.dice import THEMES, Dice
from tests.oracle.generate import draw_case
from tests.unit.rules import small

JOINING: frozenset[RuleId] = frozenset({"same_size", "mass_match", "displacement", "availability"})


def hopeless(seed: int, draws: int, themes: Sequence[str] = tuple(THEMES)) -> Iterator[Problem]:
    """Yield those of so many drawn jobs in which nothing fits."""
    dice = random.Random(seed)
    for _ in range(draws):
        theme = THEMES[dice.choice(themes)]
        task = problem(*draw_case(theme, dice.randbytes(Dice.SIZE)))
        if not possible(task):
            yield task


def test_every_hopeless_job_has_its_reasons() -> None:
    asked: Counter[str] = Counter()
    for task in hopeless(seed=1, draws=200):
        found = no_fit(task)
        assert found.reasons
        for reason in found.reasons:
            asked[reason.rule] += 1
            assert reason.sentence
            assert bool(reason.cylinder) == (reason.rule not in JOINING)
        for miss in found.near_misses:
            assert miss.short_by >= 0
    assert len(asked) > 10


def test_a_cylinders_conflict_is_minimal() -> None:
    asked = 0
    for task in hopeless(seed=2, draws=200):
        for state in task.cylinders:
            rules = frozenset(conflict(alone(task, state.name), OWN_RULES))
            if not rules:
                continue
            job, catalogue = _unlimited(alone(task, state.name))
            others = frozenset(RULES) - rules - {"availability"}
            try:
                assert best_plan(job, catalogue, others) is None
                for rule in rules:
                    assert best_plan(job, catalogue, others | {rule}) is not None
            except TooManyError:
                continue
            asked += 1
    assert asked > 60


def test_a_jobs_conflict_is_minimal() -> None:
    """Money, time and parts cannot be left out of the brute force, so that end stays open."""
    asked: Counter[RuleId] = Counter()
    for task in hopeless(seed=3, draws=250, themes=("sets", "everything")):
        rules = {reason.rule for reason in no_fit(task).reasons}
        if not rules <= JOINING:
            continue
        job, catalogue = task.job, task.catalogue
        others = JOINING - rules - {"availability"}
        if "availability" not in rules:
            job, catalogue = _unlimited(task)
        try:
            assert best_plan(job, catalogue, others) is None
            for rule in rules - {"availability"}:
                assert best_plan(job, catalogue, others | {rule}) is not None
                asked[rule] += 1
        except TooManyError:
            continue
    assert set(asked) == JOINING - {"availability"}


def test_every_way_left_is_one() -> None:
    """Each way is taken by hand, and the brute force finds a plan on it."""
    asked: Counter[str] = Counter()
    for task in hopeless(seed=4, draws=200, themes=("sets", "finish", "supply")):
        for way in no_fit(task).ways_left:
            changed = _taken(way, task.job, task.catalogue)
            if changed is None:
                assert all(route.kind != "restore" for route in task.catalogue.routes)
                continue
            try:
                assert best_plan(changed, task.catalogue) is not None, way
            except TooManyError:
                continue
            asked[way.split("(")[0]] += 1
    assert len(asked) >= 4


def _with_pistons(way: str, job: Job) -> Job:
    """The job with as many pistons more in hand as are named, of the largest sizes named."""
    said = re.findall(r"(\d+) x (\S+) of (?:\S+ to )?(\S+) mm", way)
    more = [
        InHand(number=number, size=parse_length(high, "mm"))
        for count, number, high in said
        for _ in range(int(count))
    ]
    assert more
    return job.model_copy(update={"in_hand": (*job.in_hand, *more)})


def _taken(way: str, job: Job, catalogue: Catalogue) -> Job | None:
    """The job on a way left; None where the way leads out of this shop."""
    restoring = [route.name for route in catalogue.routes if route.kind == "restore"]
    routes = {"as is", *(route.name for route in catalogue.routes)}
    if way.startswith(("piston more in hand: ", "pistons more in hand: ")):
        return _with_pistons(way, job)
    if way.startswith("sleeving or re-plating the bore is"):
        return None
    if way.startswith("sleeving or re-plating the bore ('"):
        assert _taken_routes(job, routes - set(restoring), catalogue) is None
        return _with_routes(job, routes)
    if way.startswith("with other routes"):
        return _with_routes(job, routes - set(restoring))
    updates: dict[str, dict[str, Any]] = {
        "if the bore may be machined": {"finishing": "piston in hand"},
        "without one size": {"same_size": ()},
        "without matched masses": {"mass_match": ()},
        "with a larger budget": {"terms": job.terms.model_copy(update={"budget": None})},
        "with more time": {"terms": job.terms.model_copy(update={"needed_in_days": None})},
        "with other parts": {"cylinders": tuple(_unpinned(c) for c in job.cylinders)},
    }
    [update] = [value for start, value in updates.items() if way.startswith(start)]
    return job.model_copy(update=update)


def _taken_routes(job: Job, routes: set[str], catalogue: Catalogue) -> object:
    try:
        return best_plan(_with_routes(job, routes), catalogue)
    except TooManyError:
        return None


def _with_routes(job: Job, routes: set[str]) -> Job:
    cylinders = tuple(c.model_copy(update={"routes": (), "route": None}) for c in job.cylinders)
    return job.model_copy(update={"routes": tuple(sorted(routes)), "cylinders": cylinders})


def _unpinned(cylinder: Any) -> Any:
    bare = {"piston": None, "piston_size": None, "piston_mass": None, "piston_kept": False}
    return cylinder.model_copy(update={**bare, "rings": ()})


def _unlimited(task: Problem) -> tuple[Job, Catalogue]:
    """The job without limits of money, time and pieces for sale."""
    names = {cylinder.name for cylinder in task.job.cylinders}
    held = tuple(i for i in task.job.in_hand if i.cylinder is None or i.cylinder in names)
    tables = {
        table: tuple(
            part.model_copy(update={"price": 0, "stock": 99})
            for part in getattr(task.catalogue, table)
        )
        for table in ("pistons", "rings", "gaskets")
    }
    job = task.job.model_copy(update={"terms": Terms(), "in_hand": held})
    return job, task.catalogue.model_copy(update={**tables, "kits": ()})


def reasons(job: Job, catalogue: Catalogue) -> NoFit:
    task = problem(job, catalogue)
    assert not possible(task)
    return no_fit(task)


def test_a_groove_without_any_ring_is_named() -> None:
    [reason] = reasons(small.job(), small.catalogue(rings=())).reasons
    assert (reason.rule, reason.cylinder) == ("compatibility", "1")
    assert "no ring for groove 1" in reason.sentence


def test_a_place_without_any_gasket_is_named() -> None:
    job = small.job(gaskets=(GasketPlace(place="head"),))
    [reason] = reasons(job, small.catalogue(gaskets=())).reasons
    assert (reason.rule, reason.cylinder) == ("squish", "1")
    assert "no gasket" in reason.sentence


def test_a_ring_out_of_reach_is_a_matter_of_the_end_gap() -> None:
    far = small.part(small.RING, gauge_diameter=8_200_000)
    job = small.job(Window(fit="clearance", low=4_000, high=8_000))
    found = reasons(job, small.catalogue(rings=(far,)))
    assert "end_gap" in {reason.rule for reason in found.reasons}


def test_a_shared_stack_that_cannot_suit_all() -> None:
    """One base asks for a gasket of 0.5 mm, the other for one of 0.8; the stack is shared."""
    thick = small.part(small.GASKET, number="H", compressed=small.Range(low=79_000, high=81_000))
    cylinders = tuple(
        small.cylinder(name=name, squish=small.Squish(base_low=base, base_high=base))
        for name, base in (("1", 3_450_000), ("2", 3_420_000))
    )
    place = GasketPlace(place="head", shared=True)
    window = Window(fit="squish", low=99_000, high=101_000)
    job = small.job(window, cylinders=cylinders, gaskets=(place,))
    parts = small.catalogue(gaskets=(small.GASKET, thick))
    [reason] = reasons(job, parts).reasons
    assert (reason.rule, reason.cylinder) == ("squish", "")
    apart = job.model_copy(update={"gaskets": (GasketPlace(place="head"),)})
    assert small.plan_of(apart, parts) is not None


def test_an_unknown_mass_is_not_called_a_difference_of_nothing() -> None:
    parts = small.catalogue(pistons=(small.part(small.PISTON, mass=None),))
    both = (small.CYLINDER, small.cylinder(name="2"))
    job = small.job(cylinders=both, mass_match=(MassMatch(cylinders=("1", "2"), limit=2_000),))
    [reason] = reasons(job, parts).reasons
    assert "not known" in reason.sentence
    assert "between the pistons" not in reason.sentence


def test_a_size_that_no_ring_goes_with_is_not_one_it_could_take() -> None:
    """+0.25 has rings for cylinder 1 only by its groove; cylinder 2 is worn out of standard."""
    over = small.part(
        small.PISTON,
        number="P25",
        oversize=25_000,
        nominal_bore=6_225_000,
        skirt=small.Range(low=6_220_500, high=6_220_600),
        grooves=(small.Groove(number=2, width=small.Range(low=203_000, high=204_000)),),
    )
    wide = small.part(small.RING, number="R25", grooves=(2,), gauge_diameter=6_225_000)
    worn = small.Reading(depth=1_000_000, angle=0, size=6_224_000)
    pin = PinnedRing(groove=2, number="R")
    cylinders = (small.cylinder(rings=(pin,)), small.cylinder(name="2", readings=(worn,)))
    job = small.job(
        Window(fit="clearance", low=4_000, high=8_000),
        Window(fit="end_gap", low=20_000, high=60_000),
        cylinders=cylinders,
        same_size=(SameSize(cylinders=("1", "2")),),
    )
    parts = small.catalogue(pistons=(small.PISTON, over), rings=(small.RING, wide))
    [reason] = reasons(job, parts).reasons
    assert reason.rule == "same_size"
    assert "0.000 for cylinder 1; +0.250 for cylinder 2 (mm)" in reason.sentence


def test_restoring_is_not_named_where_another_route_does() -> None:
    """The job permits a route that cuts too much; the shop's hone would do, and it restores."""
    deep = small.part(small.HONE, name="deep", min_cut=50_000, max_cut=90_000)
    sleeve = small.part(small.HONE, name="sleeve", kind="restore", restored_bore=6_190_000)
    window = Window(fit="clearance", low=4_000, high=8_000)
    job = small.job(window, routes=("deep",))
    parts = small.catalogue(routes=(deep, small.HONE, sleeve))
    assert reasons(job, parts).ways_left == ("with other routes of this shop there is a plan",)
    bare = small.catalogue(routes=(deep, sleeve.model_copy(update={"max_cut": 20_000})))
    torn = job.model_copy(update={"cylinders": (small.cylinder(scratch=9_000),)})
    assert reasons(torn, bare).ways_left == (
        "sleeving or re-plating the bore ('sleeve') is the way left",
    )


def test_a_material_that_no_route_is_for_is_the_way_left() -> None:
    """It may be a slip of the hand, or the table of routes lacks the work; a plating stays."""
    parts = small.catalogue(routes=(small.part(small.HONE, materials=("steel",)),))
    scratched = small.job(cylinders=(small.cylinder(scratch=100),))
    assert reasons(scratched, parts).ways_left == (
        "with work for iron there is a plan: list it in routes.csv, or put the material right "
        "(work here is for steel)",
    )
    plated = small.job(cylinders=(small.cylinder(material="plated", scratch=100),))
    assert not any("routes.csv" in way for way in reasons(plated, parts).ways_left)
