"""`allot` ended by signals at random moments: what it shows, what it leaves, how soon it ends.

    python -m tests.bench.stopped [COUNT] [SEED]

Each run is a process of its own, of the demo workshop or a drawn shop, with one or two workers,
ended by SIGINT or SIGTERM, sent to it alone or, as a terminal does, to its workers too. It fails
where there is a traceback, another exit code than the moment allows, an answer that the
solver-free check refuses, a process left after a second, or an end that takes over two; seconds
in which others had the cores of a busy machine do not count for that.
"""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random
from threading import Thread
from typing import Final

from fitsolver.allotment.supply import with_stock
from fitsolver.checking.check import violations
from fitsolver.records.allotment import AllotmentAnswer, Shop
from tests.bench.stopped_shops import DEMO, SHOPS
from tests.signals import HEARS

ROOT: Final = Path(__file__).parents[2]
#: Seconds until the program has ended, and until nothing of it is left after that.
PROMPT, GONE = 2.0, 1.0
#: Seconds until a run is given up.
LONGEST: Final = 300.0
INTERRUPTED: Final = 130


@dataclass(frozen=True)
class Case:
    """One run: which shop, how many workers, which signal, to whom, after which share of it."""

    shop: str
    workers: int
    sent: signal.Signals
    to_all: bool
    moment: float

    def __str__(self) -> str:
        whom = "all" if self.to_all else "the first"
        return f"{self.shop}, {self.workers}: {self.sent.name} to {whom} at {self.moment:.2f}"


@dataclass(frozen=True)
class Ended:
    """What a run came to; `moments` are those that it told, by monotonic time.

    Of the `seconds` from the signal to the end it `waited` so many for a core of a busy machine.
    """

    code: int
    out: str
    err: str
    sent_at: float
    seconds: float
    waited: float
    left: list[str]
    moments: dict[str, float]

    @property
    def own(self) -> float:
        """Seconds until the end, without those in which others had the cores."""
        return max(0.0, self.seconds - self.waited)

    @property
    def phase(self) -> str:
        """Tell in which part of the run the signal came."""
        before = [name for name, at in self.moments.items() if at <= self.sent_at]
        return {"search": "search", "over": "writing"}[before[-1]] if before else "start"


def cases(count: int, seed: int) -> Iterator[Case]:
    """Yield so many cases: shops, workers and signals in turn, the moments drawn."""
    dice, names = Random(seed), list(SHOPS)
    for number in range(count):
        sent = (signal.SIGINT, signal.SIGTERM)[number // 2 % 2]
        shop, to_all = names[number // 4 % len(names)], dice.random() < 0.5
        yield Case(shop, 1 + number % 2, sent, to_all, dice.random())


def run(case: Case, after: float | None) -> Ended:
    """Run the command; send the signal so many seconds after it has begun (None: never)."""
    with tempfile.TemporaryFile() as told, tempfile.TemporaryFile() as said:
        command = [sys.executable, "-m", "tests.bench.stopped_program", case.shop]
        command += [str(told.fileno()), str(DEMO), "--json", "--workers", str(case.workers)]
        process = subprocess.Popen(
            command, cwd=ROOT, stdout=subprocess.PIPE, stderr=said, pass_fds=[told.fileno()],
            start_new_session=True, **HEARS,
        )  # fmt: skip
        assert process.stdout is not None and process.stdout.readline() == b"begun\n"
        sent_at = time.monotonic()
        if after is not None:
            time.sleep(after)
            sent_at = time.monotonic()
            if process.poll() is None:
                (os.killpg if case.to_all else os.kill)(process.pid, case.sent)
        out, ended_at, waited = _followed(process)
        left = _left(process.pid)
        told.seek(0)
        said.seek(0)
        lines = [line.split() for line in told.read().decode().splitlines()]
        return Ended(
            process.returncode, out, said.read().decode(), sent_at, ended_at - sent_at, waited,
            left, {what: float(at) for what, at in lines},
        )  # fmt: skip


def _followed(process: subprocess.Popen[bytes]) -> tuple[str, float, float]:
    """Return what a process writes until it ends, when that is, and how long it waited by then."""
    pieces: list[bytes] = []
    stream = process.stdout
    assert stream is not None
    reader = Thread(target=lambda: pieces.append(stream.read()))
    reader.start()
    first = last = _waited(process.pid)
    end = time.monotonic() + LONGEST
    while _state(process.pid) not in ("Z", "X"):
        last = {**last, **_waited(process.pid)}
        if time.monotonic() > end:
            os.killpg(process.pid, signal.SIGKILL)
        time.sleep(0.01)
    ended_at = time.monotonic()
    process.wait()
    reader.join(GONE)
    waited = max((until - first.get(task, 0.0) for task, until in last.items()), default=0.0)
    return b"".join(pieces).decode(), ended_at, waited


def _waited(number: int) -> dict[str, float]:
    """Return for every thread of a process the seconds in which it was ready and had no core."""
    waited = {}
    for task in Path(f"/proc/{number}/task").glob("*/schedstat"):
        with contextlib.suppress(OSError, ValueError, IndexError):
            waited[task.parent.name] = int(task.read_text().split()[1]) / 1e9
    return waited


def _state(number: int) -> str:
    try:
        return Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return "X"


def _left(session: int) -> list[str]:
    """Return the processes of a session that are there after a second; they are ended then."""
    end = time.monotonic() + GONE
    while (left := _of(session)) and time.monotonic() < end:
        time.sleep(0.02)
    for number in left:
        with contextlib.suppress(ProcessLookupError):
            os.kill(number, signal.SIGKILL)
    return [str(number) for number in left]


def _of(session: int) -> list[int]:
    found = []
    for path in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            words = path.read_text().rpartition(")")[2].split()
            if int(words[3]) == session and words[0] not in ("Z", "X"):
                found.append(int(path.parent.name))
    return found


def failed(case: Case, ended: Ended, whole: Shop) -> str:
    """Return what is wrong with how a run ended, or nothing."""
    why = ""
    if "Traceback" in ended.err or "Error" in ended.err:
        why = f"a traceback: {ended.err[-600:]}"
    elif ended.left:
        why = f"processes left after {GONE} s: {', '.join(ended.left)}"
    elif ended.own > PROMPT:
        why = f"ended after {ended.own:.1f} s"
    elif ended.code in (0, 4):
        why = _wrong(ended, whole)
    elif ended.phase == "search":
        why = f"exit code {ended.code} while it searched: {ended.err[-300:]}"
    elif ended.code not in _allowed(case.sent):
        why = f"exit code {ended.code}: {ended.err[-300:]}"
    elif ended.out and ended.phase != "writing":
        why = "half an answer"
    return why


def _allowed(sent: signal.Signals) -> tuple[int, ...]:
    """Return how a run may end where there is no search to be ended: as any command does."""
    return (INTERRUPTED,) if sent == signal.SIGINT else (-signal.SIGTERM,)


def _wrong(ended: Ended, whole: Shop) -> str:
    """Return what is wrong with the answer shown, or nothing."""
    try:
        answer = AllotmentAnswer.model_validate_json(ended.out)
        _check(whole, answer)
    except (ValueError, AssertionError) as error:
        return f"the answer does not hold: {str(error)[-300:]!r}"
    levels = [*answer.serving, *answer.objective]
    if (answer.status == "proven best") != (ended.code == 0):
        return f"{answer.status}, exit code {ended.code}"
    if ended.code == 4 and all(level.proven for level in levels):
        return "not proven, and no gap"
    return "" if all(level.bound <= level.value for level in levels) else "a bound above its value"


def _check(whole: Shop, answer: AllotmentAnswer) -> None:
    """Hold every plan against the solver-free check, and all of them against the shelf."""
    counts = {line.number: line.count for line in whole.shelf or ()}
    catalogues = [with_stock(catalogue, counts) for catalogue in whole.catalogues]
    entries = {entry.job.name: entry for entry in whole.jobs}
    assert sorted(entries) == sorted(item.job for item in answer.jobs)
    taken: Counter[str] = Counter()
    for item in answer.jobs:
        plan = item.answer and item.answer.plan
        assert (plan is not None) == (item.status == "served"), item.job
        if plan:
            entry = entries[item.job]
            assert violations(entry.job, catalogues[entry.catalogue], plan) == (), item.job
            for line in plan.order:
                taken[line.number] += line.count * (line.source == "stock")
    assert all(count <= counts.get(number, 0) for number, count in taken.items()), taken


def attacks(count: int, seed: int, tell: Callable[[str], None]) -> list[tuple[Case, Ended, str]]:
    """Return what so many runs came to, each with what failed.

    The moments lie within the time that a run takes which is left alone.
    """
    whole = {name: make() for name, make in SHOPS.items()}
    lasts: dict[tuple[str, int], float] = {}
    found = []
    for case in cases(count, seed):
        kind = case.shop, case.workers
        if kind not in lasts:
            alone = run(case, None)
            assert alone.code == 0 and not _wrong(alone, whole[case.shop]), alone
            lasts[kind] = alone.seconds
            tell(f"{case.shop}, {case.workers} workers: {alone.seconds:.1f} s")
        ended = run(case, case.moment * lasts[kind])
        why = failed(case, ended, whole[case.shop])
        took = f"{ended.seconds:.2f} s, {ended.own:.2f} of its own"
        tell(f"{case}, {ended.phase}: {ended.code} in {took} {why}".rstrip())
        found.append((case, ended, why))
    return found


def table(tried: list[tuple[Case, Ended, str]]) -> Iterator[str]:
    """Yield the lines of the table."""
    yield "| `allot` ended | signals | in the search | failed | longest, s |"
    yield "|---|---|---|---|---|"
    for name in (*SHOPS, ""):
        own = [(ended, why) for case, ended, why in tried if name in ("", case.shop)]
        searched = sum(ended.phase == "search" for ended, _ in own)
        longest = max((ended.own for ended, _ in own), default=0.0)
        wrong = sum(bool(why) for _, why in own)
        yield f"| {name or 'in all'} | {len(own)} | {searched} | {wrong} | {longest:.1f} |"


def main() -> None:
    """Run them, and print the table."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    tried = attacks(count, seed, lambda line: print(line, file=sys.stderr, flush=True))
    print("\n".join(table(tried)))


if __name__ == "__main__":
    main()
