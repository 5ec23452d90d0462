"""Processes forked from the test: they start at once, whatever was loaded."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import BinaryIO

Tell = Callable[[str], None]


def child(work: Callable[[Tell], None]) -> tuple[int, BinaryIO]:
    """Fork a process that does `work`; return its id, and a stream of the lines it tells."""
    reading, writing = os.pipe()
    pid = os.fork()
    if pid:
        os.close(writing)
        return pid, os.fdopen(reading, "rb")

    def tell(line: str) -> None:
        os.write(writing, f"{line}\n".encode())

    code = 1
    try:
        os.close(reading)
        work(tell)
        code = 0
    finally:
        os._exit(code)


def told(stream: BinaryIO) -> list[str]:
    """Return the lines a child tells until it ends; the last one may be cut off with it."""
    with stream:
        return [line.decode() for line in stream.read().split(b"\n")[:-1]]
