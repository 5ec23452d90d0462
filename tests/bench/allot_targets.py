"""A week's targets, side by side: `python -m tests.bench.allot_targets [WHAT ...]`.

WHAT is one or more of demo, kits, drawn, thousand, catalogue, nothing (all without one). Every
line is a ratio of two things measured in this run; `drawn` is followed by how many shops to draw.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Final

from fitsolver.allotment.allot import allot
from fitsolver.picking.decide import decide
from fitsolver.records.allotment import Shop
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

from . import large
from .allot_instances import families, shop, with_kits

ROOT = Path(__file__).parents[2]
#: Jobs, and the most picks that a shop of so many with kits may cost.
KITS: Final = ((21, 6), (42, 10), (81, 20))
KIT_SEEDS, KIT_SHELVES = (1, 2, 3), (0.8, 1.2)
#: No drawn shop is unproven after so many seconds (of the processor; other work may go on).
DRAWN, SECONDS = 200, 10.0
#: Seconds of wall time that end one allotment.
LONGEST: Final = 150.0


def processor(*arguments: str) -> float:
    """Return the seconds of the processor that a whole process takes."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(
        [sys.executable, *arguments], cwd=ROOT, stdout=subprocess.DEVNULL, check=False
    )
    assert done.returncode in (0, 3), done.returncode
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def pick() -> float:
    """Return the seconds of one `pick` of a demo job, the least of three."""
    return min(processor("-m", "fitsolver", "pick", "catalogs_demo/pump/job.toml") for _ in "123")


def demo() -> Iterator[str]:
    one = pick()
    whole = min(processor("-m", "fitsolver", "allot", "catalogs_demo/workshop") for _ in "123")
    yield f"demo of 40 jobs: {whole / one:.1f} x one pick (target 4)"


def kits() -> Iterator[str]:
    """Shops of three families with a kit for every piston, from the records to the plans."""
    one = pick()
    yield f"one pick: {one:.2f} s of the processor"
    for jobs, target in KITS:
        for seed in KIT_SEEDS:
            for shelf in KIT_SHELVES:
                told = _allotted(families(3, jobs // 3, seed, shelf, kits=True))
                what = f"{jobs} jobs, kits, seed {seed}, shelf {shelf}"
                yield f"{what}: {told[0] / one:.1f} x one pick (target {target}), {told[1]}"


def drawn(count: int = DRAWN) -> Iterator[str]:
    """Shops of up to 40 jobs, one family or two, with and without kits, scarce to loose."""
    late = []
    slowest = 0.0
    for number in range(count):
        name, one = drawn_shop(number)
        seconds, status = _allotted(one)
        slowest = max(slowest, seconds)
        if status != "proven best" or seconds > SECONDS:
            late.append(name)
            yield f"{name}: {seconds:.1f} s, {status}"
    yield (
        f"{count} shops drawn: {len(late)} not proven in {SECONDS:.0f} s; the slowest took "
        f"{slowest:.1f} s"
    )


def drawn_shop(number: int) -> tuple[str, Shop]:
    """Return a shop and what it is."""
    dice = Random(number)
    jobs, shelf = dice.randrange(4, 41), dice.choice((0.4, 0.6, 0.8, 1.0, 1.2, 1.6, 2.0, 3.0))
    kitted, two = number % 2 == 1, number % 4 >= 2
    name = f"number {number}: {jobs} jobs, shelf {shelf}, kits {kitted}, families {1 + two}"
    if two:
        return name, families(2, max(2, jobs // 2), number, shelf, kits=kitted)
    one = shop(jobs, number, shelf)
    return name, with_kits(one, number) if kitted else one


def thousand() -> Iterator[str]:
    """1 000 jobs: from the records to the plans against until the search is done."""
    begun: dict[str, float] = {}
    started = time.monotonic()
    answer = allot(shop(1000, 1, 2.0), time_limit=3600, progress=begun.__setitem__)
    seconds = time.monotonic() - started
    ratio = seconds / begun["plans"]
    yield f"1 000 jobs: {ratio:.2f} x the search (target 1.3), {seconds:.0f} s, {answer.status}"


def catalogue() -> Iterator[str]:
    """`pick` of 8 cylinders against catalogues of 2 000 and of 8 000 pistons."""
    job = large.job(8)
    small, big = large.catalogue(2000, 500, 60), large.catalogue(8000, 2000, 240)
    few = _seconds(lambda: decide(job, small))
    many = _seconds(lambda: decide(job, big))
    yield f"catalogue four times as large: {many / few:.1f} x (target 4.5), {few:.1f} s at first"


def nothing() -> Iterator[str]:
    """A job of 4 cylinders in which nothing fits against one that fits, 100 pistons."""
    parts = large.catalogue(100, 40, 10)
    job = large.job(4)
    for name, bad, other in hopeless(job, parts):
        fitting = _seconds(lambda: decide(job, parts))
        seconds = _seconds(lambda bad=bad, other=other: decide(bad, other))
        yield f"nothing fits ({name}): {seconds / fitting:.1f} x a job that fits (target 5)"


def hopeless(job: Job, parts: Catalogue) -> Iterator[tuple[str, Job, Catalogue]]:
    """Yield the job so that nothing fits."""
    narrow = tuple(
        w.model_copy(update={"low": w.high}) if w.fit == "clearance" else w for w in job.windows
    )
    yield "clearance", job.model_copy(update={"windows": narrow}), parts
    gaps = tuple(
        w.model_copy(update={"low": large.MM // 100, "high": 2 * large.MM // 100})
        if w.fit == "end_gap"
        else w
        for w in job.windows
    )
    yield "end gap", job.model_copy(update={"windows": gaps}), parts
    terms = job.terms.model_copy(update={"budget": 1000})
    yield "budget", job.model_copy(update={"terms": terms}), parts
    cheapest = decide(job.model_copy(update={"best": ("price",)}), parts).plan
    assert cheapest is not None
    price = next(level.value for level in cheapest.objective if level.level == "price")
    terms = job.terms.model_copy(update={"budget": price - 1})
    yield "budget missed by a hundredth", job.model_copy(update={"terms": terms}), parts
    once = {"stock": 1, "lead_days": None}
    few = tuple(piston.model_copy(update=once) for piston in parts.pistons)
    bare = parts.model_copy(update={"pistons": few, "kits": ()})
    yield "one piston of each size", job, bare
    rings = tuple(ring.model_copy(update=once) for ring in parts.rings)
    yield "one ring of each number", job, parts.model_copy(update={"rings": rings, "kits": ()})


def _allotted(one: Shop) -> tuple[float, str]:
    """Return the seconds of the processor of one allotment, its children included."""
    before = os.times()
    answer = allot(one, time_limit=LONGEST)
    after = os.times()
    return sum(after[:4]) - sum(before[:4]), answer.status


def _seconds(run: Callable[[], object]) -> float:
    run()
    before = time.process_time()
    run()
    return time.process_time() - before


ALL: Final[dict[str, Callable[[], Iterator[str]]]] = {
    "demo": demo,
    "kits": kits,
    "drawn": drawn,
    "thousand": thousand,
    "catalogue": catalogue,
    "nothing": nothing,
}


def main(words: list[str]) -> None:
    """Print a line as soon as it is measured."""
    for at, word in enumerate(words):
        if word.isdigit():
            continue
        count = words[at + 1] if word == "drawn" and at + 1 < len(words) else ""
        for line in drawn(int(count)) if count.isdigit() else ALL[word]():
            print(line, flush=True)
    print(f"load of the machine: {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main(sys.argv[1:] or list(ALL))
