"""`why` with an end of time: what is found out by then is a beginning of the whole answer."""

from __future__ import annotations

import os
import random
import signal
import threading
import time
from collections import Counter

import pytest

from fitsolver.base.deadline import Clock
from fitsolver.base.running import TimeOverError, look, within
from fitsolver.explain.why import NothingFits, nothing_fits
from fitsolver.records.job import MassMatch
from fitsolver.solving.problem import problem
from fitsolver.usecases.why import reasons
from tests.bench import large
from tests.unit.explain.test_reasons import hopeless

from ..rules import small


class Looks(Clock):
    """A clock whose time is over after so many looks at it."""

    def __init__(self, left: int) -> None:
        super().__init__()
        self.looks = left

    @property
    def over(self) -> bool:
        self.looks -= 1
        return self.looks < 0


def begins(part: NothingFits, whole: NothingFits) -> bool:
    pairs = (
        (part.conflicts, whole.conflicts),
        (part.near_misses, whole.near_misses),
        (part.openings, whole.openings),
    )
    return all(some == every[: len(some)] for some, every in pairs)


def test_broken_off_after_every_look_it_is_a_beginning() -> None:
    seen: Counter[str] = Counter()
    for task in hopeless(seed=11, draws=25, themes=("sets", "supply", "gaskets", "rings")):
        whole = nothing_fits(task)
        assert whole.complete
        looks = 0
        while True:
            part = nothing_fits(task, clock=Looks(looks))
            assert begins(part, whole)
            if part.complete:
                assert part == whole
                break
            seen["without a change"] += not part.openings
            seen["with some"] += 0 < len(part.openings) < len(whole.openings)
            looks += max(1, looks // 4)
    assert min(seen["without a change"], seen["with some"]) > 5


def test_of_a_plan_not_proven_best_nothing_is_explained() -> None:
    answer = reasons(large.job(4), large.catalogue(100, 40, 10), time_limit=0.001)
    assert answer.status in {"undecided", "best found"}
    assert (answer.complete, answer.choices) == (False, ())


def test_with_time_enough_the_answer_is_the_same() -> None:
    job, parts = small.job(), small.catalogue()
    answer = reasons(job, parts, time_limit=600)
    assert answer.complete
    assert answer == reasons(job, parts)


def test_progress_is_told() -> None:
    told: list[str] = []
    reasons(small.job(), small.catalogue(rings=()), progress=lambda what, _: told.append(what))
    assert "rules in conflict" in told


def test_a_look_is_free_where_no_time_is_in_force() -> None:
    look()
    with within(Clock()):
        look()
    clock = Clock()
    clock.interrupt()
    with pytest.raises(TimeOverError), within(clock):
        look()


@pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")
def test_ctrl_c_tells_what_is_known() -> None:
    """Rings of which there is one each: finding out what would open it takes many seconds."""
    parts = large.catalogue(100, 40, 10)
    rings = tuple(r.model_copy(update={"stock": 1, "lead_days": None}) for r in parts.rings)
    names = tuple(cylinder.name for cylinder in large.job(4).cylinders)
    job = large.job(4).model_copy(update={"mass_match": (MassMatch(cylinders=names, limit=100),)})
    task = problem(job, parts.model_copy(update={"rings": rings, "kits": ()}))
    before = signal.signal(signal.SIGINT, lambda *_: None)
    sent: list[float] = []

    def send() -> None:
        sent.append(time.monotonic())
        os.kill(os.getpid(), signal.SIGINT)

    timer = threading.Timer(random.Random(1).uniform(0.3, 0.6), send)
    try:
        timer.start()
        answer = nothing_fits(task)
        ended = time.monotonic()
    finally:
        timer.cancel()
        timer.join()
        signal.signal(signal.SIGINT, before)
    assert not answer.complete
    assert ended - sent[0] < 2
