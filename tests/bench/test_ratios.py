"""Speed as ratios of two things measured side by side. Run with `pytest -m bench -s`."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

import pytest
from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.choices.options import every_option
from fitsolver.choices.ring_options import offered, ring_option
from fitsolver.solving.problem import Problem, built, problem
from fitsolver.solving.search import Search
from fitsolver.solving.solve import best
from fitsolver.solving.variables import Choices, Model
from tests.bench import large
from tests.oracle.brute import best_plan

pytestmark = pytest.mark.bench
ROOT = Path(__file__).parents[2]
JOB = ROOT / "catalogs_demo" / "launch" / "job.toml"
BARE = "from ortools.sat.python import cp_model; import pydantic"


def seconds(run: Callable[[], object]) -> float:
    started = time.perf_counter()
    run()
    return time.perf_counter() - started


def process(*arguments: str) -> None:
    done = subprocess.run(
        [sys.executable, *arguments], cwd=ROOT, stdout=subprocess.DEVNULL, check=False
    )
    assert done.returncode == 0


def side_by_side(one: Callable[[], object], other: Callable[[], object], rounds: int) -> float:
    """The median of the ratios one/other, each pair run one right after the other."""
    one(), other()  # both warm
    return median(seconds(one) / seconds(other) for _ in range(rounds))


def full_model(task: Problem) -> Model:
    """Return the unreduced model: every piston, route and ring, fitting or not."""
    found = []
    for state in task.cylinders:
        options = tuple(every_option(state))
        rings = [
            ring_option(state, ring_class, groove, candidate)
            for ring_class in dict.fromkeys(option.piston.ring_class for option in options)
            for groove in ring_class.grooves
            for candidate in offered(state, task.shelf.rings, groove.number)
        ]
        found.append(Choices(state, options, rings))
    return built(task, found)


def test_pick_as_a_whole_process() -> None:
    """At most 1.5 times an interpreter that imports the solver and the records' library."""
    ratio = side_by_side(
        lambda: process("-m", "fitsolver", "pick", str(JOB)), lambda: process("-c", BARE), 15
    )
    print(f"\npick / bare import: {ratio:.2f}")
    assert ratio <= 1.5


@pytest.mark.parametrize(
    ("cylinders", "rows"), [(2, (200, 60, 10)), (4, (500, 120, 20)), (8, (2_000, 500, 60))]
)
def test_narrowing_pays(cylinders: int, rows: tuple[int, int, int]) -> None:
    """Against the same job as one full model: every piston, route and ring.

    The full model is given two minutes; where it is not proven by then, the ratio is a
    lower bound.
    """
    task = problem(large.job(cylinders), large.catalogue(*rows))
    narrow, full = best(task), None

    def whole() -> None:
        nonlocal full
        full = Search(full_model(task), Clock(limit=120)).first()

    ratio = seconds(whole) / seconds(lambda: best(task))
    proven = full is not None and full.found is not None and full.found.proven
    if full is not None and full.found is not None and proven:
        assert [(v.level, v.value) for v in full.found.levels] == [
            (v.level, v.value) for v in narrow.levels
        ]
    print(f"\n{cylinders} cylinders, {rows}: full / narrowed {ratio:.1f} (full proven: {proven})")
    assert ratio > 2


@pytest.mark.parametrize("rows", [(6, 8, 2), (12, 16, 4), (24, 32, 6)])
def test_against_trying_everything(rows: tuple[int, int, int]) -> None:
    """Against the independent search of tests/oracle, one cylinder, ever more parts."""
    job, parts = large.job(1), large.catalogue(*rows)
    searched, found = None, None

    def search() -> None:
        nonlocal searched
        searched = best_plan(job, parts)

    def decide() -> None:
        nonlocal found
        found = best(problem(job, parts))

    ratio = seconds(search) / seconds(decide)
    print(f"\n{rows}: trying everything / solver {ratio:.1f}")
    assert found is not None
    assert (searched is None) == (found.selection is None)
    if searched is not None:
        assert dict(searched.levels) == {
            v.level: v.value for v in found.levels if v.level != "part_number"
        }


def test_cost_grows_near_linearly() -> None:
    """From 1,000 to 10,000 rows the cost grows by no more than 20 times."""
    cost = {}
    for rows in (100, 1_000, 10_000):
        catalogue = large.catalogue(rows * 3 // 4, rows // 5, rows // 20)
        job = large.job(4)
        cost[rows] = seconds(lambda job=job, parts=catalogue: best(problem(job, parts)))
    print(f"\nseconds by rows: {cost}")
    assert cost[10_000] / cost[1_000] < 20


def test_a_large_job_is_proven() -> None:
    """8 cylinders against 2,000 pistons, 500 rings and 60 gaskets."""
    task = problem(large.job(8), large.catalogue(2_000, 500, 60))
    assert best(task).proven


@pytest.mark.skipif(sys.platform == "win32", reason="peak memory is read from the system")
def test_peak_memory() -> None:
    """The large job takes no more than 3 times the memory of the bare imports."""
    script = (
        "from tests.bench import large; from fitsolver.solving.problem import problem;"
        "from fitsolver.solving.solve import best;"
        "best(problem(large.job(8), large.catalogue(2000, 500, 60)))"
    )
    ratio = _peak(script) / _peak(BARE)
    print(f"\npeak memory, large job / bare import: {ratio:.2f}")
    assert ratio < 3


def _peak(script: str) -> int:
    """Peak resident memory (kB) of an interpreter that runs the script."""
    measured = "print(open('/proc/self/status').read().split('VmHWM:')[1].split()[0])"
    done = subprocess.run(
        [sys.executable, "-c", f"{script}\n{measured}"],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    return int(done.stdout.split()[-1])


def test_the_solver_is_there() -> None:
    """A bench that measured an empty loop would pass: the full model really is solved."""
    task = problem(large.job(2), large.catalogue(200, 60, 10))
    model = full_model(task)
    assert len(model.cp.proto.variables) > 1_000
    assert cp_model.CpSolver().solve(model.cp) == cp_model.OPTIMAL
