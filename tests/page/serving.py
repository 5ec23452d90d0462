"""The page as a process of its own, as a shop runs it; and as an application in this process."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from pathlib import Path

from fastapi.testclient import TestClient

from fitsolver.page.app import create_app
from fitsolver.page.pool import Solving
from fitsolver.page.settings import Settings
from fitsolver.page.shelf import Shelf
from fitsolver.page.shelf_read import catalogue_of
from tests.signals import HEARS

ROOT = Path(__file__).parents[2]
DEMOS = ROOT / "catalogs_demo"
CATALOGUES = {name: DEMOS / name for name in ("pump", "launch", "brushsaw")}


@contextmanager
def served(data: Path, *more: str) -> Iterator[str]:
    """Run `fitsolver page` on a free port, and give its address."""
    folders = [part for folder in CATALOGUES.values() for part in ("--catalogue", str(folder))]
    command = [sys.executable, "-m", "fitsolver", "page", *folders, "--data", str(data)]
    process = subprocess.Popen(
        [*command, "--port", "0", *more],
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
        **HEARS,
    )
    assert process.stderr is not None
    try:
        line = process.stderr.readline()
        assert " at http://" in line, line + process.stderr.read()
        threading.Thread(target=process.stderr.read, daemon=True).start()
        yield line.split(" at ")[1].split("/  ")[0]
    finally:
        process.send_signal(signal.SIGINT)
        process.wait(20)


def kept(shelf: Shelf, files: list[tuple[str, bytes]]) -> str:
    """Keep a catalogue from its files, read in this process; return its key."""
    named = shelf.named(files)
    return shelf.keep(named, catalogue_of(named))


@contextmanager
def asked(data: Path, **settings: object) -> Iterator[TestClient]:
    """Give a client of the page in this process; redirects are shown, not followed."""
    chosen = {"data": data, "catalogues": CATALOGUES, "workers": 1, "each": 100, **settings}
    app = create_app(Settings(**chosen))  # type: ignore[arg-type]
    with TestClient(app, base_url="http://localhost", follow_redirects=False) as client:
        yield client


def example(client: TestClient, which: str = "pump/job") -> str:
    """Return the address of a copy of a demonstration job."""
    return str(client.post("/jobs/example", data={"which": which}).headers["location"])


def version(client: TestClient, job: str) -> str:
    """Return the version of a job that a change is to be made from."""
    found = re.search(r'name="version" value="(\w+)"', client.get(job).text)
    assert found
    return found[1]


#: How a part of a page is asked for while one types.
PARTIAL = {"hx-request": "true"}


def typed(client: TestClient, job: str, **fields: str) -> str:
    """Send fields as they are typed; return what is wrong with them, and the new verdict."""
    sent = {"version": version(client, job), **{k.replace("__", "."): v for k, v in fields.items()}}
    kept = client.post(f"{job}/keep", data=sent, headers=PARTIAL)
    assert kept.status_code == 200, kept.text
    return kept.text + client.get(f"{job}/strip").text


@asynccontextmanager
async def queue(
    *, workers: int = 1, seconds: float = 60, waiting: int = 10, each: int = 10
) -> AsyncIterator[Solving]:
    """Give a queue of questions with its processes, and end them."""
    solving = Solving(workers, seconds, waiting, each)
    try:
        yield solving
    finally:
        solving.close()
