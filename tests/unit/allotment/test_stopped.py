"""An allotment ended early: at any moment the best so far with its gap, every plan checked."""

from __future__ import annotations

import signal
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from random import Random

import pytest

from fitsolver.allotment import allot as allotting
from fitsolver.allotment.allot import allot
from fitsolver.allotment.serving import serving_levels
from fitsolver.allotment.supply import with_stock
from fitsolver.base.deadline import Clock
from fitsolver.records.allotment import AllotmentAnswer, Shop
from tests.bench.allot_instances import shop, with_kits
from tests.oracle.test_allot_equals_brute import keeps

ROOT = Path(__file__).parents[3]
DEMO = ROOT / "catalogs_demo" / "workshop"


@dataclass(slots=True)
class Looks(Clock):
    """A clock whose time is over after so many looks at it, however long they take."""

    looks: int = 0

    @property
    def left(self) -> float | None:  # type: ignore[override]
        self.looks -= 1
        if self.looks < 0:
            self.interrupt()
            return 0.0
        return None


def stopped(
    whole: Shop, looks: int, monkeypatch: pytest.MonkeyPatch, last: AllotmentAnswer | None = None
) -> tuple[AllotmentAnswer, bool]:
    """Return the answer after so many looks, and whether it was ended by them."""
    clock = Looks(looks=looks)
    with monkeypatch.context() as patched:
        patched.setattr(allotting, "Clock", lambda *_: clock)
        answer = allot(whole, last=last)
    return answer, clock.looks < 0


def checked(whole: Shop, answer: AllotmentAnswer) -> None:
    """Hold every plan against the solver-free check, with what was counted in stock."""
    counts = {line.number: line.count for line in whole.shelf or ()}
    stocked = tuple(with_stock(catalogue, counts) for catalogue in whole.catalogues)
    keeps(whole.model_copy(update={"catalogues": stocked}), answer)


def told(whole: Shop, answer: AllotmentAnswer) -> list[int]:
    """Return what an answer comes to: every job that is not served counts as left out."""
    served = {item.job for item in answer.jobs if item.status == "served"}
    out = [entry for entry in whole.jobs if entry.job.name not in served]
    levels = [sum(map(level.counts, out)) for level in serving_levels(whole.jobs)]
    return levels + [level.value for level in answer.objective]


def holds(whole: Shop, answer: AllotmentAnswer, best: AllotmentAnswer) -> None:
    """Hold an answer against the check, the shelf, and what is known to be best."""
    checked(whole, answer)
    assert {item.job for item in answer.jobs} == {item.job for item in best.jobs}
    mine, least = told(whole, answer), told(whole, best)
    assert mine >= least
    if answer.status == "proven best":
        assert mine == least
    shown = {(level.priority, level.due): level for level in answer.serving}
    levels = [tuple(level) for level in serving_levels(whole.jobs)]
    bounds = [shown[level].bound if level in shown else 0 for level in levels]
    for bound, own, value in zip(
        [*bounds, *(level.bound for level in answer.objective)], mine, least, strict=True
    ):
        assert bound <= value
        if own != value:
            break


CASES = [(3, 4, 0.8, False), (3, 3, 0.5, True), (5, 2, 0.5, False)]


@pytest.mark.parametrize(("jobs", "seed", "plenty", "kits"), CASES)
def test_after_every_so_many_looks(
    jobs: int, seed: int, plenty: float, kits: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = shop(jobs, seed, plenty)
    whole = with_kits(whole, seed) if kits else whole
    best = allot(whole)
    assert best.status == "proven best"
    fewer = whole.model_copy(update={"jobs": whole.jobs[1:]})
    earlier = allot(fewer)
    for last in (None, earlier, best):
        looks, step, ended = 0, 1, True
        while ended:
            answer, ended = stopped(whole, looks, monkeypatch, last)
            holds(whole, answer, best)
            looks, step = looks + step, max(1, looks // 5)
        assert answer.status == "proven best"


@pytest.mark.parametrize("limit", [1e-9, 0.02, 0.2])
@pytest.mark.parametrize("seed", range(3))
def test_a_short_time_of_drawn_shops(limit: float, seed: int) -> None:
    whole = with_kits(shop(3 + seed, seed, 0.8), seed)
    checked(whole, allot(whole, time_limit=limit))


def _start() -> subprocess.Popen[str]:
    return subprocess.Popen(
        [
            sys.executable,
            "-c",
            "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"
            "from fitsolver.__main__ import main; main()",
            "allot",
            str(DEMO),
        ],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


@pytest.mark.skipif(sys.platform == "win32", reason="no signals to another process")
@pytest.mark.parametrize("case", range(12))
def test_a_signal_at_a_random_moment(case: int) -> None:
    dice = Random(case)
    number = dice.choice((signal.SIGINT, signal.SIGTERM))
    with _start() as process:
        try:
            process.communicate(timeout=dice.uniform(0.8, 4.0))
        except subprocess.TimeoutExpired:
            process.send_signal(number)
        out, errors = process.communicate(timeout=60)
    assert "Traceback" not in errors
    # Before the search is begun there is nothing to show: ended by the signal, without a word.
    assert process.returncode in (0, 4, 130, -number)
    if process.returncode in (0, 4):
        assert "Result: " in out
