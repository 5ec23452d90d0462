"""The verbs that all front ends call."""

from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path
from random import Random

import pytest

import fitsolver
from fitsolver import (
    Answer,
    Catalogue,
    CheckError,
    InputError,
    Job,
    bore,
    decide,
    load,
    part_sets,
    pick,
    review_catalogue,
    sets_for,
)
from fitsolver.base.deadline import Clock
from fitsolver.checking.check import violations
from fitsolver.planning.plan import make_plan
from fitsolver.records.base import LEVELS
from fitsolver.records.plan import Plan
from fitsolver.solving.problem import problem
from fitsolver.solving.solve import best
from tests.bench import large
from tests.oracle.dice import THEMES, Dice
from tests.oracle.generate import draw_case

ROOT = Path(__file__).parents[3]
DEMOS = ROOT / "catalogs_demo"
PUMP = DEMOS / "pump" / "job.toml"
LARGE = large.job(4), large.catalogue(400, 100, 40)


def plan_of(answer: Answer) -> Plan:
    assert answer.plan is not None
    return answer.plan


def test_load_takes_the_catalogue_that_the_job_names() -> None:
    job, parts = load(PUMP)
    assert (job.family, parts.family) == ("portable pump P62", "portable pump P62")
    assert load(str(PUMP), str(PUMP.parent)) == (job, parts)


def test_load_refuses_a_job_without_a_catalogue(tmp_path: Path) -> None:
    text = PUMP.read_text(encoding="utf-8").replace('catalogue = "."', "")
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    readings = (PUMP.parent / "readings.csv").read_bytes()
    (tmp_path / "readings.csv").write_bytes(readings)
    with pytest.raises(InputError) as caught:
        load(tmp_path / "job.toml")
    assert (caught.value.field, bool(caught.value.allowed)) == ("catalogue", True)
    assert load(tmp_path / "job.toml", PUMP.parent)[0].family == "portable pump P62"


def test_load_refuses_another_family() -> None:
    with pytest.raises(InputError) as caught:
        load(PUMP, DEMOS / "brushsaw")
    assert caught.value.field == "family"


def test_pick_is_decide_on_files() -> None:
    answer = pick(PUMP)
    assert answer == decide(*load(PUMP))
    assert (answer.status, answer.no_fit) == ("proven best", None)
    told = [form.model_copy(update={"next_reading": None}) for form in bore(PUMP).forms]
    assert list(answer.forms) == told


def test_decide_says_why_nothing_fits() -> None:
    answer = pick(DEMOS / "pump" / "worn_out.toml")
    assert (answer.status, answer.plan) == ("nothing fits", None)
    assert answer.no_fit is not None
    assert answer.no_fit.reasons
    assert answer.no_fit.near_misses[0].short_by > 0


@pytest.mark.parametrize("seconds", [0, -1, math.nan, -math.inf])
def test_decide_refuses_a_time_that_is_none(seconds: float) -> None:
    with pytest.raises(InputError) as caught:
        decide(*LARGE, time_limit=seconds)
    assert caught.value.field == "time limit"


def test_progress_is_told_every_level_in_order() -> None:
    told: list[tuple[str, float]] = []
    decide(*load(PUMP), progress=lambda what, gone: told.append((what, gone)))
    words = [level.replace("_", " ") for level in LEVELS]
    assert [what for what, _ in told][-len(words) :] == words
    assert [gone for _, gone in told] == sorted(gone for _, gone in told)


def test_no_time_is_undecided() -> None:
    """Nothing is known yet: neither a plan nor that there is none."""
    answer = decide(*LARGE, time_limit=1e-6)
    assert (answer.status, answer.plan, answer.no_fit) == ("undecided", None, None)


def test_enough_time_is_proven() -> None:
    assert decide(*LARGE, time_limit=600).plan == decide(*LARGE).plan


def stopped(job: Job, parts: Catalogue, after: int) -> Plan | None:
    """The plan of a search whose time is over when so many levels were begun."""
    begun = 0
    clock = Clock()

    def tell(what: str, gone: float) -> None:
        nonlocal begun
        begun += 1
        if begun > after:
            clock.limit = 0.0

    clock.progress = tell
    task = problem(job, parts)
    found = best(task, clock)
    if found.selection is None:
        assert not found.settled
        return None
    plan = make_plan(job, parts, task.shelf, task.cylinders, found.selection, found.levels)
    assert violations(job, parts, plan) == ()
    assert found.proven == all(level.proven for level in plan.objective)
    return plan


def bounds_hold(plan: Plan, true: Plan) -> None:
    """A bound is not above the best value there is, nor that above the value found.

    Both are said of one level once all before it are settled.
    """
    for said, known in zip(plan.objective, true.objective, strict=True):
        if said.level == "part_number":
            break
        assert said.bound <= known.value <= said.value, said
        if said.proven:
            assert said.value == known.value == said.bound
        elif said.value > known.value:
            break


@pytest.mark.parametrize("after", range(1, len(LEVELS) + 1))
def test_best_found_is_a_plan_with_true_bounds(after: int) -> None:
    true = plan_of(decide(*LARGE))
    plan = stopped(*LARGE, after)
    assert plan is not None
    bounds_hold(plan, true)


def test_best_found_on_drawn_jobs() -> None:
    """Wherever the time is over: a plan that passes the check, and bounds that hold."""
    dice = Random(11)
    found = 0
    for _ in range(40):
        theme = dice.choice(list(THEMES.values()))
        job, parts = draw_case(theme, dice.randbytes(Dice.SIZE))
        true = decide(job, parts)
        if true.plan is None:
            continue
        plan = stopped(job, parts, dice.randrange(1, len(LEVELS)))
        if plan is not None:
            bounds_hold(plan, true.plan)
            found += not all(level.proven for level in plan.objective)
    assert found >= 10


def test_bore_needs_no_catalogue(tmp_path: Path) -> None:
    whole = ROOT / "tests" / "format1" / "brushsaw" / "job.toml"
    text = whole.read_text(encoding="utf-8")
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    answer = bore(tmp_path / "job.toml")
    assert [form.cylinder for form in answer.forms] == ["1"]
    assert answer.unit == "mm"


def test_part_sets_is_sets_for_on_files() -> None:
    answer = part_sets(DEMOS / "brushsaw" / "job.toml")
    assert answer == sets_for(*load(DEMOS / "brushsaw" / "job.toml"))
    assert any(item.holds for item in answer.sets)


def test_review_counts_what_the_folder_holds() -> None:
    review = review_catalogue(str(PUMP.parent))
    parts = load(PUMP)[1]
    assert (review.catalogue, review.family) == (parts.name, parts.family)
    for kind in ("pistons", "rings", "gaskets", "kits", "routes"):
        assert getattr(review.counts, kind) == len(getattr(parts, kind))


def test_every_public_name_is_there() -> None:
    for name in fitsolver.__all__:
        assert getattr(fitsolver, name) is not None
    with pytest.raises(AttributeError, match="nothing_of_the_kind"):
        _ = fitsolver.nothing_of_the_kind


@pytest.mark.parametrize(
    ("line", "loaded"),
    [
        ("import fitsolver", ""),
        ("from fitsolver import pick, Job, NewJob, InputError", ""),
        (f"from fitsolver import bore; bore({str(PUMP)!r})", ""),
        (f"from fitsolver import part_sets; part_sets({str(PUMP)!r})", ""),
        (f"from fitsolver import pick; pick({str(PUMP)!r})", "ortools"),
    ],
)
def test_imports_are_lazy(line: str, loaded: str) -> None:
    """`import fitsolver` is light; the solver comes with the verb that needs it."""
    seen = "import sys; print(*[n for n in ('ortools', 'openpyxl') if n in sys.modules])"
    command = [sys.executable, "-c", f"{line}\n{seen}"]
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=60)
    assert done.stdout.strip() == loaded


@pytest.mark.parametrize("verb", ["pick", "why", "alternatives"])
def test_no_verb_shows_a_plan_that_the_check_refuses(
    verb: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise CheckError("wrong")

    monkeypatch.setattr("fitsolver.picking.checked_plan.check", refuse)
    with pytest.raises(CheckError, match="wrong"):
        getattr(fitsolver, verb)(DEMOS / "pump" / "job.toml")


def test_no_module_hides_a_verb() -> None:
    """A module of the package that is once imported would stand under its name in place of it."""
    from importlib.util import find_spec

    for name in fitsolver.__all__:
        assert find_spec(f"fitsolver.{name}") is None, name
