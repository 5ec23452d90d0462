"""Fifty people at once on the demo job for a minute, against the least page around the solve.

Each person has a job of their own, thinks for some seconds, changes a figure that was not asked
before, and waits for what it comes to. Both pages are up, and the people are at one and at the
other in turn: whatever else the machine does falls on both. `pytest -m bench -s
tests/bench/test_page_load.py` tells the figures, with the processor time of an answer;
FITSOLVER_LOAD_SECONDS sets the time for each of the two pages.
"""

from __future__ import annotations

import asyncio
import os
import random
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Awaitable, Callable, Collection, Iterator
from contextlib import AsyncExitStack, contextmanager
from pathlib import Path
from statistics import median, quantiles

import httpx
import pytest

from tests.bench.processor import children, processor
from tests.page.serving import served

pytestmark = pytest.mark.bench

USERS, THINK = 50, (3.0, 9.0)
STEPS = 40  # of one person: more than fit into all turns
#: Turns of a minute, between which the people change from one page to the other.
TURNS = 4
SECONDS = float(os.environ.get("FITSOLVER_LOAD_SECONDS", "60"))
#: The page reads a form, keeps the job on the disk, and shows the plan: worth so much of a solve.
MOST = 1.5
#: The same in processor time, which does not depend on what else the machine does.
MOST_PROCESSOR = 1.3

Change = Callable[[int], Awaitable[httpx.Response]]
Visit = Callable[[httpx.AsyncClient], Awaitable[Change]]


@contextmanager
def bare() -> Iterator[str]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "tests.bench.bare_page", str(port)]
    process = subprocess.Popen(command, start_new_session=True)
    try:
        for _ in range(200):
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.1)
        yield f"http://127.0.0.1:{port}"
    finally:
        os.killpg(process.pid, signal.SIGKILL)  # with its workers
        process.wait(20)


class Crowd:
    """Everybody, each at a page of one's own job; how long each answer took (s), and what all of
    them took of the processor (s).
    """

    def __init__(self, address: str, visit: Visit, process: int) -> None:
        self.address, self.visit, self.process = address, visit, process
        self.changes: list[Change] = []
        self.took: list[float] = []
        self.used = 0.0

    async def come(self, stack: AsyncExitStack) -> None:
        """Let everybody in."""
        clients = [httpx.AsyncClient(base_url=self.address, timeout=60) for _ in range(USERS)]
        for client in clients:
            await stack.enter_async_context(client)
        self.changes = await asyncio.gather(*map(self.visit, clients))

    async def turn(self, turn: int, seconds: float) -> None:
        """Have everybody at work for some seconds."""
        before, end = processor(self.process), time.monotonic() + seconds
        await asyncio.gather(*(self._person(number, turn, end) for number in range(USERS)))
        self.used += processor(self.process) - before

    async def _person(self, number: int, turn: int, end: float) -> None:
        dice = random.Random(number * TURNS + turn)
        await asyncio.sleep(dice.uniform(0, THINK[1]))
        step = turn * (STEPS // TURNS)
        while time.monotonic() < end:
            begun = time.monotonic()
            answer = await self.changes[number](number * STEPS + step)
            self.took.append(time.monotonic() - begun)
            assert answer.status_code == 200, answer.text
            assert "PP-" in answer.text
            step += 1
            await asyncio.sleep(dice.uniform(*THINK))


async def on_the_page(client: httpx.AsyncClient) -> Change:
    made = await client.post("/jobs/example", data={"which": "pump/job"})
    job = made.headers["location"]
    shown = await client.get(job)
    assert shown.status_code == 200, shown.text
    version = shown.text.split('name="version" value="')[1].split('"')[0]

    async def change(fresh: int) -> httpx.Response:
        nonlocal version
        sent = {"version": version, "window.6.high": f"0.0{2000 + fresh:04d}"}
        answer = await client.post(f"{job}/keep", data=sent, headers={"hx-request": "true"})
        version = answer.text.split('name="version" value="')[1].split('"')[0]
        return await client.get(f"{job}/strip")

    return change


def on_the_bare_page(text: str) -> Visit:
    async def visit(client: httpx.AsyncClient) -> Change:
        async def change(fresh: int) -> httpx.Response:
            return await client.post(
                "/solve", content=text.replace("%FRESH%", f"0.0{2000 + fresh:04d}")
            )

        return change

    return visit


async def in_turn(crowds: Collection[Crowd]) -> None:
    async with AsyncExitStack() as stack:
        for crowd in crowds:
            await crowd.come(stack)
        for turn in range(TURNS):
            for crowd in crowds:
                await crowd.turn(turn, SECONDS / TURNS)


def test_fifty_people_for_a_minute(tmp_path: Path) -> None:
    others = children()
    with served(tmp_path) as ours:
        [page] = children() - others
        with httpx.Client(base_url=ours) as client:
            job = client.post("/jobs/example", data={"which": "pump/job"}).headers["location"]
            text = client.get(f"{job}/job.toml").text
        [line] = [line for line in text.splitlines() if line.startswith("high = 0.02")]
        with bare() as least:
            [other] = children() - others - {page}
            visit = on_the_bare_page(text.replace(line, "high = %FRESH%"))
            crowds = {
                "page": Crowd(ours, on_the_page, page),
                "bare": Crowd(least, visit, other),
            }
            asyncio.run(in_turn(crowds.values()))
    p95 = {name: quantiles(crowd.took, n=20)[-1] for name, crowd in crowds.items()}
    each = {name: crowd.used / len(crowd.took) for name, crowd in crowds.items()}
    for name, crowd in crowds.items():
        print(
            f"\n{name}: {len(crowd.took)} answers, median {median(crowd.took):.3f} s, "
            f"p95 {p95[name]:.3f} s, processor {1000 * each[name]:.0f} ms an answer"
        )
    print(f"page / bare: p95 {p95['page'] / p95['bare']:.2f}", end=", ")
    print(f"processor {each['page'] / each['bare']:.2f}")
    assert p95["page"] <= MOST * p95["bare"]
    assert each["page"] <= MOST_PROCESSOR * each["bare"]
