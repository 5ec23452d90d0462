"""HiGHS as it is used, against scipy; it prints nothing and hears an interrupt."""

from __future__ import annotations

import signal
import time
from random import Random
from threading import Timer

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from scipy.sparse import csc_array, csr_array

from fitsolver.base.deadline import Clock
from fitsolver.mip.highs import LinearProgram, SparseModel, binary_solution


@pytest.mark.parametrize("seed", range(20))
def test_a_grown_program_is_that_of_linprog(seed: int) -> None:
    dice = np.random.default_rng(seed)
    matrix = dice.integers(0, 4, (5, 8)).astype(np.float64)
    cost, most = dice.integers(1, 9, 8).astype(np.float64), dice.integers(4, 9, 5).astype(float)
    program = LinearProgram()
    program.add_rows(np.full(3, -np.inf), most[:3])
    program.add_columns(-cost[:5], csc_array(matrix[:3, :5]))
    assert program.solve(10.0)
    first = linprog(-cost[:5], matrix[:3, :5], most[:3], method="highs")
    if first.status == 0:
        assert program.value == pytest.approx(first.fun)
    program.add_columns(-cost[5:], csc_array(matrix[:3, 5:]))
    program.add_rows(np.full(2, -np.inf), most[3:], csr_array(matrix[3:]))
    program.add_rows(np.array([-np.inf]), np.array([6.0]), csr_array(np.ones((1, 8))))
    assert program.solve(10.0)
    whole, limits = np.vstack([matrix, np.ones(8)]), np.append(most, 6.0)
    found = linprog(-cost, whole, limits, method="highs")
    assert program.value == pytest.approx(found.fun)
    assert program.duals() == pytest.approx(-found.ineqlin.marginals)
    assert (whole @ program.values() <= limits + 1e-7).all()

    basis = program.basis()
    every = np.hstack([whole, np.eye(6)])[:, np.where(basis >= 0, basis, 7 - basis)]
    inverse = np.array([program.inverse_row(at) for at in range(6)])
    assert inverse @ every == pytest.approx(np.eye(6), abs=1e-7)


def knapsacks(count: int, rows: int, seed: int) -> SparseModel:
    """Return a model of several knapsacks over the same variables."""
    dice = Random(seed)
    coefs = csr_array([[dice.randrange(20, 100) for _ in range(count)] for _ in range(rows)])
    at = coefs.tocoo()
    return SparseModel(
        -np.array([dice.randrange(20, 100) for _ in range(count)], dtype=np.int64),
        np.ones(count, dtype=np.int64),
        at.coords[0],
        at.coords[1],
        at.data,
        np.full(rows, -np.inf),
        np.full(rows, 15.0 * count),
    )


@pytest.mark.parametrize("seed", range(10))
def test_binary_solutions_are_those_of_milp(seed: int) -> None:
    model = knapsacks(12, 3, seed)
    matrix = csr_array((model.value, (model.at_row, model.at_column)), shape=(3, 12))
    rows = LinearConstraint(matrix, model.low, model.high)
    found = milp(model.cost, constraints=rows, integrality=model.integer, bounds=Bounds(0, 1))
    ones = binary_solution(model, 10.0, Clock(None))
    assert ones is not None
    assert model.cost @ ones == round(found.fun)
    assert (matrix @ ones.astype(int) <= model.high).all()


def test_none_without_a_solution() -> None:
    model = knapsacks(5, 1, 0)
    assert binary_solution(model._replace(high=np.array([-1.0])), 10.0, Clock(None)) is None


def test_an_interrupted_clock_ends_it_soon() -> None:
    """Some 200 variables in 30 knapsacks keep it busy for far longer than the test."""
    clock = Clock(None)
    timer = Timer(0.5, clock.interrupt)
    timer.start()
    begun = time.monotonic()
    binary_solution(knapsacks(200, 30, 1), 120.0, clock)
    assert clock.interrupted
    assert time.monotonic() - begun < 20


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="signals of POSIX")
def test_a_signal_is_heard_while_it_runs() -> None:
    clock = Clock(None)
    before = signal.signal(signal.SIGALRM, lambda *_: clock.interrupt())
    signal.setitimer(signal.ITIMER_REAL, 0.5)
    begun = time.monotonic()
    try:
        binary_solution(knapsacks(200, 30, 1), 120.0, clock)
    finally:
        signal.signal(signal.SIGALRM, before)
    assert clock.interrupted
    assert time.monotonic() - begun < 20


def test_time_ends_it() -> None:
    begun = time.monotonic()
    binary_solution(knapsacks(200, 30, 1), 0.3, Clock(None))
    assert time.monotonic() - begun < 20


def test_nothing_is_printed(capfd: pytest.CaptureFixture[str]) -> None:
    binary_solution(knapsacks(8, 2, 0), 10.0, Clock(None))
    program = LinearProgram()
    program.add_rows(np.zeros(1), np.ones(1))
    program.add_columns(np.ones(1), csc_array(np.ones((1, 1))))
    program.solve()
    assert capfd.readouterr() == ("", "")
