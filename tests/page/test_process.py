"""The processes of a page: they take turns, and end when it does, however it ends."""

from __future__ import annotations

import asyncio
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import httpx
import pytest

from fitsolver.page.pool import BusyError, Solving
from tests.signals import HEARS

from .serving import DEMOS

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
        solving = Solving(workers=1, seconds=60, waiting=10, each=10)
        try:
            with pytest.raises(BusyError, match="broken off"):
                await solving.ask("a", "dies", die)
            return await solving.ask("a", "lives", os.getpid)
        finally:
            solving.close()

    assert isinstance(asyncio.run(ask()), int)


def test_an_idle_process_that_was_killed_is_replaced() -> None:
    async def ask() -> object:
        solving = Solving(workers=1, seconds=60, waiting=10, each=10)
        try:
            os.kill(await solving.ask("a", "who", os.getpid), signal.SIGKILL)
            for attempt in range(600):  # until it is noticed, a question may still be broken off
                try:
                    return await solving.ask("a", ("again", attempt), os.getpid)
                except BusyError:
                    await asyncio.sleep(0.1)
            return None
        finally:
            solving.close()

    assert isinstance(asyncio.run(ask()), int)


def test_visitors_take_turns() -> None:
    """One who asks nine things is not served before one who asks one thing."""
    order: list[str] = []

    async def crowd() -> None:
        solving = Solving(workers=1, seconds=60, waiting=100, each=20)

        async def ask(who: str, what: int) -> None:
            await solving.ask(who, (who, what), time.sleep, 0.01)
            order.append(who)

        try:
            await asyncio.gather(
                *(ask("many", n) for n in range(9)), ask("one", 0), ask("other", 0)
            )
        finally:
            solving.close()

    asyncio.run(crowd())
    assert sorted(order) == ["many"] * 9 + ["one", "other"]
    assert {"one", "other"} <= set(order[:5])  # two were begun before they came
