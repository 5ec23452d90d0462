"""Fifty people at once on the demo job for a minute, against the least page around the solve.

Each person has a job of their own, thinks for some seconds, changes a figure that was not asked
before, and waits for what it comes to. `pytest -m bench -s tests/bench/test_page_load.py` tells the
figures; FITSOLVER_LOAD_SECONDS sets the time for each of the two pages.
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
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median, quantiles

import httpx
import pytest

from tests.page.serving import served

pytestmark = pytest.mark.bench

USERS, THINK = 50, (3.0, 9.0)
STEPS = 20  # of one person: more than fit into a minute
SECONDS = float(os.environ.get("FITSOLVER_LOAD_SECONDS", "60"))
#: The page reads a form, keeps the job on the disk, and shows the plan: worth so much of a solve.
MOST = 1.5

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


async def crowd(address: str, visit: Visit) -> list[float]:
    """Let everybody in, and return how long each answer took (s)."""
    took: list[float] = []

    async def person(number: int) -> None:
        dice = random.Random(number)
        async with httpx.AsyncClient(base_url=address, timeout=60) as client:
            change = await visit(client)
            await asyncio.sleep(dice.uniform(0, THINK[1]))
            step = 0
            while time.monotonic() < end and step < STEPS:
                begun = time.monotonic()
                answer = await change(number * STEPS + step)
                took.append(time.monotonic() - begun)
                assert answer.status_code == 200, answer.text
                assert "PP-" in answer.text
                step += 1
                await asyncio.sleep(dice.uniform(*THINK))

    end = time.monotonic() + SECONDS
    await asyncio.gather(*(person(number) for number in range(USERS)))
    return took


async def on_the_page(client: httpx.AsyncClient) -> Change:
    made = await client.post("/jobs/example", data={"which": "pump/job"})
    job = made.headers["location"]
    shown = await client.get(job)
    assert shown.status_code == 200, shown.text
    version = shown.text.split('name="version" value="')[1].split('"')[0]

    async def change(fresh: int) -> httpx.Response:
        nonlocal version
        sent = {"version": version, "window.6.high": f"0.02{fresh:03d}"}
        answer = await client.post(f"{job}/keep", data=sent, headers={"hx-request": "true"})
        version = answer.text.split('name="version" value="')[1].split('"')[0]
        return await client.get(f"{job}/strip")

    return change


def on_the_bare_page(text: str) -> Visit:
    async def visit(client: httpx.AsyncClient) -> Change:
        async def change(fresh: int) -> httpx.Response:
            return await client.post("/solve", content=text.replace("%FRESH%", f"0.02{fresh:03d}"))

        return change

    return visit


def test_fifty_people_for_a_minute(tmp_path: Path) -> None:
    with served(tmp_path) as address:
        with httpx.Client(base_url=address) as client:
            job = client.post("/jobs/example", data={"which": "pump/job"}).headers["location"]
            text = client.get(f"{job}/job.toml").text
        ours = asyncio.run(crowd(address, on_the_page))
    [line] = [line for line in text.splitlines() if line.startswith("high = 0.02")]
    with bare() as address:
        least = asyncio.run(crowd(address, on_the_bare_page(text.replace(line, "high = %FRESH%"))))
    report = {}
    for name, took in (("page", ours), ("bare", least)):
        report[name] = p95 = quantiles(took, n=20)[-1]
        print(f"\n{name}: {len(took)} answers, median {median(took):.3f} s, p95 {p95:.3f} s")
    print(f"p95 page / bare: {report['page'] / report['bare']:.2f}")
    assert report["page"] <= MOST * report["bare"]
