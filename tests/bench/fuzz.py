"""Mutated inputs of every kind of file that the program reads, and what it makes of them.

    python -m tests.bench.fuzz [COUNT] [SEED] [WORKERS]

Each input is read by the command that reads such files, in a worker process with limits. It
fails where there is a traceback, an exit code other than 0, 2, 3 or 4, more than ten seconds
or 500 MB, a line that does not print, or a file that was not asked for. What fails is kept,
with the command, in the folder that is named at the end.
"""

from __future__ import annotations

import contextlib
import io
import multiprocessing
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter, defaultdict
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any, Final

from tests.bench.fuzz_kinds import KINDS, ROOT, Kind

SECONDS, MEGABYTES = 10, 500
CODES: Final = (0, 2, 3, 4)
_WORKERS: Final = 2

_CHUNKS: Final = (
    b"", b"0", b"-1", b"1e999", b"nan", b"99999999999999999999", b"0.000001", b"62.31", b"\x1b[2J",
    "\u202e".encode(), b"\0", b"\xff\xfe", b'"', b"'", b",", b";", b"\n", b"[[", b"]]",
    b"[[cylinder]]", b"= ", b"\n\n[finish]\n", b"mm", b"thou", b"true", b"{}", b"null", b"#",
    b"1/0", b"0x1F", b"1_000",
    b"2024-13-45", b"a" * 3000, b"PP-025A", b"iron", b"\r\n", b"\t", b"+", b"1e-5", b"-0", b"inf",
)  # fmt: skip


#: Files that a command may leave besides those it was given.
MAY_LEAVE: Final = {"b.sqlite", "b.sqlite-wal", "b.sqlite-shm", "all.jsonl", "book.sqlite-wal",
                    "book.sqlite-shm"}  # fmt: skip


def mutated(content: bytes, draw: random.Random) -> bytes:
    """Return bytes with a few places changed, more often whole cells and lines than single bits."""
    found = bytearray(content)
    for _ in range(draw.choice((1, 1, 1, 2, 3, 8))):
        if not found:
            break
        at, how = draw.randrange(len(found)), draw.randrange(10)
        if how == 0:
            found[at] ^= 1 << draw.randrange(8)
        elif how == 1:
            found[at] = draw.randrange(256)
        elif how < 5:  # a cell or word is replaced
            end = at
            while end < len(found) and chr(found[end]) not in ',;\n"= []':
                end += 1
            found[at:end] = draw.choice(_CHUNKS)
        elif how == 5:
            found[at:at] = draw.choice(_CHUNKS)
        else:  # lines are taken out, repeated, swapped, cut
            lines = bytes(found).split(b"\n")
            one, other = draw.randrange(len(lines)), draw.randrange(len(lines))
            if how == 6:
                del lines[one]
            elif how == 7:
                lines.insert(other, lines[one])
            elif how == 8:
                lines[one], lines[other] = lines[other], lines[one]
            else:
                lines[one] = lines[one][: draw.randrange(len(lines[one]) + 1)]
            found = bytearray(b"\n".join(lines))
    return bytes(found)


class _OverTimeError(BaseException):
    """Ten seconds are over."""


def _alarm(*_: object) -> None:
    raise _OverTimeError


def run(arguments: list[str]) -> tuple[int, str, str]:
    """Run a command in this process; return its exit code and what it printed."""
    from fitsolver.cli.app import main

    out, err = io.StringIO(), io.StringIO()
    sys.argv = ["fitsolver", *arguments]
    code: Any = 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main()
        except SystemExit as left:
            code = left.code or 0
    return int(code), out.getvalue(), err.getvalue()


def attack(kind: Kind, seed: int) -> str:
    """Try one mutated file; return what failed, or nothing."""
    draw = random.Random(f"{kind.name} {seed}")
    with tempfile.TemporaryDirectory() as work:
        folder = Path(work)
        file = kind.source(folder)
        target = file if file.is_file() else folder / kind.file
        target.write_bytes(mutated(target.read_bytes(), draw))
        command = draw.choice(kind.commands)
        arguments = [part.format(file=target, folder=folder) for part in command]
        before = set(folder.rglob("*"))
        os.chdir(folder)
        why = _tried(arguments)
        more = {path.name for path in set(folder.rglob("*")) - before} - MAY_LEAVE
        if more and not why:
            why = f"left {sorted(more)}"
        os.chdir(ROOT)
        if why:
            kept = Path(tempfile.gettempdir()) / "fitsolver_fuzz" / f"{kind.name} {seed}"
            shutil.rmtree(kept, ignore_errors=True)
            shutil.copytree(folder, kept)
            return f"{kind.name} {seed}: {' '.join(command)}: {why}"
    return ""


def _tried(arguments: list[str]) -> str:
    # Seconds of work: the machine may be busy with other things.
    signal.signal(signal.SIGPROF, _alarm)
    signal.setitimer(signal.ITIMER_PROF, SECONDS)
    try:
        code, out, err = run(arguments)
    except _OverTimeError:
        return f"over {SECONDS} s"
    except MemoryError:
        return f"over {MEGABYTES} MB"
    except BaseException:
        return traceback.format_exc()[-1500:]
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
    if code not in CODES:
        return f"exit code {code}: {err[-300:]}"
    if code == 2 and not err.startswith(("fitsolver: ", "Usage: ")) and not out:
        return f"no message: {err[-300:]!r}"
    odd = [line for line in (out + err).split("\n") if not line.isprintable()]
    return f"a line that does not print: {odd[0]!r}" if odd else ""


def _limit() -> None:
    """Load what the commands need, then hold this process to so much more memory."""
    import openpyxl  # noqa: F401
    import pyarrow.parquet  # noqa: F401

    import fitsolver.cli.app
    import fitsolver.solving.solve  # noqa: F401

    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith("VmSize:"):
            most = int(line.split()[1]) * 1024 + MEGABYTES * 1024 * 1024
            resource.setrlimit(resource.RLIMIT_DATA, (most, most))


def _work(task: tuple[int, int]) -> tuple[str, str, float]:
    at, seed = task
    begun = time.process_time()
    found = attack(KINDS[at], seed)
    return KINDS[at].name, found, time.process_time() - begun


def fuzz(count: int, seed: int, workers: int = _WORKERS) -> Iterator[tuple[str, str, float]]:
    """Yield kind, failure and seconds of so many attacks, the kinds in turn."""
    tasks = [(n % len(KINDS), seed + n // len(KINDS)) for n in range(count)]
    context = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(workers, context, _limit)
    try:
        yield from pool.map(_work, tasks, chunksize=4)
    finally:
        pool.shutdown(wait=False, cancel_futures=True)


def main() -> None:
    """Attack, and print the table."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    tries: Counter[str] = Counter()
    failures: defaultdict[str, list[str]] = defaultdict(list)
    longest: defaultdict[str, float] = defaultdict(float)
    workers = int(sys.argv[3]) if len(sys.argv) > 3 else _WORKERS
    attacks = fuzz(count, seed, workers)
    with contextlib.suppress(KeyboardInterrupt):  # the table of what was done until then
        for name, failed, seconds in attacks:
            tries[name] += 1
            longest[name] = max(longest[name], seconds)
            if failed:
                failures[name].append(failed)
                print(failed, file=sys.stderr, flush=True)
            if tries.total() % 500 == 0:
                print(f"{tries.total()} of {count}", file=sys.stderr, flush=True)
    print("| attack: mutated | tries | failed | longest, s |\n|---|---|---|---|")
    for kind in KINDS:
        name = kind.name
        print(f"| {name} | {tries[name]} | {len(failures[name])} | {longest[name]:.1f} |")
    print(f"| in all | {tries.total()} | {sum(map(len, failures.values()))} | |")


if __name__ == "__main__":
    main()
