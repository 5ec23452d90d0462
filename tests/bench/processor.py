"""Processor time of other processes, which does not depend on what else the machine does."""

from __future__ import annotations

import os
from pathlib import Path


def processor(pid: int) -> float:
    """Return the processor time (s) of a process and all that it started."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
        threads = Path(f"/proc/{pid}/task").iterdir()
        started = [n for thread in threads for n in (thread / "children").read_text().split()]
    except OSError:
        return 0.0
    own = (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
    return own + sum(processor(int(number)) for number in started)


def children() -> set[int]:
    """Return the processes that this one started."""
    threads = Path("/proc/self/task").iterdir()
    return {int(n) for thread in threads for n in (thread / "children").read_text().split()}
