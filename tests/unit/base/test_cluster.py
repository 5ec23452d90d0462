"""Pieces of work in order: here, on this machine's cores, and on a Dask cluster."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from fitsolver import allot_shop, screen
from fitsolver.base.cluster import run
from fitsolver.base.errors import InputError
from fitsolver.reading import chunks as tables
from tests.bench.allot_instances import families
from tests.signals import HEARS

ROOT = Path(__file__).parents[3]
INTERRUPTED = """
from fitsolver.base.cluster import run
from tests.unit.base.test_cluster import wait_a_minute
if __name__ == "__main__":
    print("started", flush=True)
    list(run(wait_a_minute, [bytes(SIZE)] * 8, workers=2))
"""


@contextmanager
def of_its_own(*command: str) -> Iterator[subprocess.Popen[str]]:
    """Run Python in a session of its own; whatever of it is left in the end is killed."""
    process = subprocess.Popen(
        [sys.executable, *command],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        start_new_session=True,
        **HEARS,
    )
    try:
        yield process
    finally:
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()


def slow_square(number: int) -> int:
    time.sleep(0.05)
    return number * number


def wait_a_minute(_item: bytes) -> None:
    time.sleep(60)


def fails(number: int) -> int:
    raise InputError("no such number", found=number)


@pytest.mark.parametrize("workers", [1, 2])
def test_results_come_in_the_order_of_the_items(workers: int) -> None:
    assert list(run(slow_square, iter(range(12)), workers=workers)) == [n * n for n in range(12)]
    assert list(run(slow_square, [], workers=workers)) == []


@pytest.mark.parametrize("workers", [1, 2])
def test_items_are_drawn_as_they_are_needed(workers: int) -> None:
    drawn: list[int] = []

    def items() -> Iterator[int]:
        for number in range(100):
            drawn.append(number)
            yield number

    results = run(abs, items(), workers=workers)
    assert next(results) == 0
    assert len(drawn) <= 6
    if isinstance(results, Iterator) and hasattr(results, "close"):
        results.close()


@pytest.mark.parametrize("workers", [1, 2])
def test_what_fails_there_is_raised_here(workers: int) -> None:
    with pytest.raises(InputError, match="no such number"):
        list(run(fails, [1, 2, 3], workers=workers))


def test_no_workers() -> None:
    with pytest.raises(InputError, match="workers"):
        run(abs, [1], workers=0)


@pytest.mark.skipif(sys.platform == "win32", reason="signals")
@pytest.mark.parametrize("size", [1, 5_000_000])  # also while an item is half sent
def test_an_interrupt_ends_the_processes(tmp_path: Path, size: int) -> None:
    script = tmp_path / "sleeps.py"
    script.write_text(INTERRUPTED.replace("SIZE", str(size)), encoding="utf-8")
    with of_its_own(str(script)) as process:
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(3)
        os.killpg(process.pid, signal.SIGINT)  # as a terminal does
        process.communicate(timeout=20)  # ends when nobody holds the pipe any more
    assert process.returncode != 0


def test_a_scheduler_that_does_not_answer() -> None:
    pytest.importorskip("distributed")
    with socket.socket() as mute:
        mute.bind(("127.0.0.1", 0))
        silent = mute.getsockname()[1]
        for address in (f"tcp://127.0.0.1:{silent}", "nonsense", "tcp://127.0.0.1:1"):
            started = time.monotonic()
            with pytest.raises(InputError, match=r"no scheduler answers.*done on this machine"):
                list(run(abs, [1], scheduler=address))
            assert time.monotonic() - started < 10
        mute.listen()
        with pytest.raises(InputError, match="no scheduler answers"):
            list(run(abs, [1], scheduler=f"tcp://127.0.0.1:{silent}"))


@pytest.fixture
def scheduler() -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """A real scheduler and two worker processes on loopback, ended afterwards."""
    pytest.importorskip("distributed")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    address = f"tcp://127.0.0.1:{port}"
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    main = subprocess.Popen(
        [sys.executable, "-m", "distributed.cli.dask_scheduler", "--host", "127.0.0.1",
         "--port", str(port), "--no-dashboard", "--no-show"], env=env, **quiet,
    )  # fmt: skip
    processes = [main]
    try:
        for _ in range(100):
            try:
                socket.create_connection(("127.0.0.1", port), timeout=1).close()
                break
            except OSError:
                time.sleep(0.1)
        workers = [
            subprocess.Popen(
                [sys.executable, "-m", "distributed.cli.dask_worker", address, "--nthreads", "1",
                 "--no-nanny", "--no-dashboard", "--host", "127.0.0.1"], env=env, **quiet,
            )
            for _ in range(2)
        ]  # fmt: skip
        processes += workers
        yield address, workers
    finally:
        for process in reversed(processes):
            process.kill()
            process.wait()


def test_screening_there_is_screening_here(
    scheduler: tuple[str, list[subprocess.Popen[bytes]]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    address, workers = scheduler
    monkeypatch.setattr(tables, "ROWS", 5)
    table = tmp_path / "bores.csv"
    rows = [f"{62 + step / 50:.2f}" for step in range(60)]
    table.write_text("bore\n" + "\n".join(rows) + "\n", encoding="utf-8")
    pump = ROOT / "catalogs_demo" / "pump"

    def kill_one(_what: str, _gone: float) -> None:
        workers[0].kill()

    here = screen(table, pump, pump / "job.toml", out=tmp_path / "here.csv", workers=1)
    there = screen(
        table,
        pump,
        pump / "job.toml",
        out=tmp_path / "there.csv",
        scheduler=address,
        progress=kill_one,
    )
    assert (there.rows, there.fits) == (here.rows, here.fits)
    assert (tmp_path / "there.csv").read_bytes() == (tmp_path / "here.csv").read_bytes()


def test_a_worker_lost_in_mid_run_changes_nothing(
    scheduler: tuple[str, list[subprocess.Popen[bytes]]],
) -> None:
    address, workers = scheduler
    from distributed import Client

    with Client(address, timeout=20) as client:
        client.wait_for_workers(2, timeout=30)
    results = run(slow_square, range(60), scheduler=address)
    found = [next(results) for _ in range(10)]
    workers[0].kill()
    found += results
    assert found == [n * n for n in range(60)]


def test_allotting_there_is_allotting_here(
    scheduler: tuple[str, list[subprocess.Popen[bytes]]],
) -> None:
    """Components of a shop in this process, in two, and on a cluster that loses a worker."""
    address, workers = scheduler
    shop = families(4, 3, plenty=0.9)
    here = allot_shop(shop, workers=1)

    def kill_one(what: str, _gone: float) -> None:
        if what.endswith("components"):
            workers[0].kill()

    there = allot_shop(shop, scheduler=address, progress=kill_one)
    beside = allot_shop(shop, workers=2)
    assert workers[0].wait(timeout=5) != 0
    assert len(here.components) > 1
    for other in (there, beside):
        assert (other.status, other.serving, other.objective) == (
            here.status,
            here.serving,
            here.objective,
        )
        assert other.components == here.components
        assert other.jobs == here.jobs


@pytest.mark.skipif(sys.platform == "win32", reason="signals")
def test_ctrl_c_keeps_the_components_that_are_done() -> None:
    with of_its_own("-m", "tests.unit.allot_interrupted") as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "1 of 3 components\n"
        os.killpg(process.pid, signal.SIGINT)  # as a terminal does
        rest = process.communicate(timeout=100)[0]
    assert process.returncode == 0
    assert rest.splitlines()[-1].startswith("best found, ")
