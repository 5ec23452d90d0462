"""The processes of a page: they take turns, and end when it does, however it ends."""

from __future__ import annotations

import asyncio
import gc
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import httpx
import pytest
from pebble.pool.channel import WorkerChannel

from fitsolver.page import pool
from fitsolver.page.pool import BusyError, Once
from tests.signals import HEARS

from .serving import DEMOS, queue

needs_proc = pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="no /proc here")


def children(pid: int) -> list[int]:
    return [int(n) for n in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


def runs(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except (FileNotFoundError, ProcessLookupError):
        return False
    return state != "Z"


def until(true: Callable[[], bool], seconds: float = 30) -> bool:
    end = time.monotonic() + seconds
    while not true() and time.monotonic() < end:
        time.sleep(0.05)
    return true()


@needs_proc
@pytest.mark.parametrize(("sent", "code"), [("SIGINT", 0), ("SIGTERM", -15), ("SIGKILL", -9)])
def test_nothing_is_left_when_the_page_ends(tmp_path: Path, sent: str, code: int) -> None:
    command = [sys.executable, "-m", "fitsolver", "page", "--port", "0"]
    command += ["--catalogue", str(DEMOS / "pump"), "--data", str(tmp_path)]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, **HEARS)
    assert process.stderr is not None
    try:
        address = process.stderr.readline().split(" at ")[1].split("/  ")[0]
        job = httpx.post(f"{address}/jobs/example", data={"which": "pump/job"})
        assert httpx.get(address + job.headers["location"], timeout=60).status_code == 200
        workers = children(process.pid)
        assert len(workers) >= 2
        process.send_signal(getattr(signal, sent))
        assert process.wait(30) == code
        assert "Traceback" not in process.stderr.read()
        assert until(lambda: not any(map(runs, workers)))
    finally:
        process.kill()
        process.wait(30)
        process.stderr.close()


def die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def test_a_process_that_was_killed_is_told_and_replaced() -> None:
    async def ask() -> object:
        async with queue() as solving:
            with pytest.raises(BusyError, match="broken off"):
                await solving.ask("a", "dies", die)
            return await solving.ask("a", "lives", os.getpid)

    assert isinstance(asyncio.run(ask()), int)


def test_an_idle_process_that_was_killed_is_replaced() -> None:
    async def ask() -> object:
        async with queue() as solving:
            os.kill(await solving.ask("a", "who", os.getpid), signal.SIGKILL)
            return await solving.ask("a", "again", os.getpid)

    assert isinstance(asyncio.run(ask()), int)


def die_with_the_lock() -> None:
    """Die as if killed in the middle of taking up a question."""
    gc.unfreeze()
    channel = next(each for each in gc.get_objects() if isinstance(each, WorkerChannel))
    channel.mutex.reader_mutex.acquire()
    die()


def test_processes_that_wait_for_one_that_was_killed_are_replaced(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pool, "_STUCK", 2)

    async def ask() -> object:
        async with queue() as solving:
            with pytest.raises(BusyError, match="broken off"):
                await solving.ask("a", "dies", die_with_the_lock)
            return await solving.ask("a", "lives", os.getpid)

    assert isinstance(asyncio.run(asyncio.wait_for(ask(), 60)), int)


def test_names_of_one_address_do_not_shut_out_another() -> None:
    """A visitor who chooses a new name for each question fills half of the queue, no more."""
    order: list[str] = []

    async def crowd() -> int:
        async with queue(waiting=20, each=3) as solving:

            async def ask(who: str, what: int) -> None:
                await solving.ask(who, (who, what), time.sleep, 0.01)
                order.append(who)

            many = [ask(f"10.0.0.1 name{n}", n) for n in range(15)]
            others = [ask("10.0.0.2 name", n) for n in range(3)]
            done = await asyncio.gather(*many, *others, return_exceptions=True)
            assert all(not isinstance(one, BaseException) for one in done[15:])
            return sum(isinstance(one, BusyError) for one in done)

    assert asyncio.run(crowd()) == 5
    last = max(place for place, who in enumerate(order) if who.startswith("10.0.0.2"))
    assert last < 9  # three of one address and ten of the other take turns


def test_an_answer_that_is_not_to_be_remembered_is_not() -> None:
    async def ask() -> tuple[int, int]:
        async with queue() as solving:
            await solving.ask("a", Once(), os.getpid)
            first = len(solving._known)
            await solving.ask("a", "kept", os.getpid)
            return first, len(solving._known)

    assert asyncio.run(ask()) == (0, 1)


@needs_proc
def test_uploads_are_read_by_the_workers(tmp_path: Path) -> None:
    """A workbook that costs 80 MB to read does not make the page's own process grow by it."""
    from tests.unit.reading.hostile import HOSTILE

    book = HOSTILE["long texts"](tmp_path / "pistons.xlsx").read_bytes()
    head = (DEMOS / "pump" / "catalogue.toml").read_bytes()
    command = [sys.executable, "-m", "fitsolver", "page", "--port", "0"]
    command += ["--catalogue", str(DEMOS / "pump"), "--data", str(tmp_path / "data")]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, **HEARS)
    assert process.stderr is not None
    try:
        address = process.stderr.readline().split(" at ")[1].split("/  ")[0]

        def send() -> httpx.Response:
            files = [("files", ("catalogue.toml", head)), ("files", ("pistons.xlsx", book))]
            return httpx.post(f"{address}/api/catalogues/upload", files=files, timeout=60)

        def used() -> int:
            text = Path(f"/proc/{process.pid}/status").read_text()
            return int(text.split("VmHWM:")[1].split()[0]) // 1024

        send()
        before = used()
        assert send().status_code == 400
        assert used() - before < 10
    finally:
        process.send_signal(signal.SIGINT)
        process.wait(30)
        process.stderr.close()


def test_visitors_take_turns() -> None:
    """One who asks nine things is not served before one who asks one thing."""
    order: list[str] = []

    async def crowd() -> None:
        async with queue(waiting=100, each=20) as solving:

            async def ask(who: str, what: int) -> None:
                await solving.ask(who, (who, what), time.sleep, 0.01)
                order.append(who)

            await asyncio.gather(
                *(ask("many", n) for n in range(9)), ask("one", 0), ask("other", 0)
            )

    asyncio.run(crowd())
    assert sorted(order) == ["many"] * 9 + ["one", "other"]
    assert {"one", "other"} <= set(order[:5])  # two were begun before they came
