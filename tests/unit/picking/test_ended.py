"""Ended at any moment a pick tells what is known by then, and soon: the time, Ctrl-C, SIGTERM.

An engine whose bores have readings a little off their neighbours is solved once for itself and
once for each of them; rows that are left out for a doubt cost another search.
"""

from __future__ import annotations

import os
import signal
import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

import pytest

from fitsolver.base.deadline import Clock
from fitsolver.cli.output import ended_as_by_ctrl_c
from fitsolver.picking import decide as decided_in
from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer
from tests.bench import large

SAID = "not known whether one of these alone decides"


@dataclass
class Looks(Clock):
    """A clock that is over at a look at it, whatever the time: by itself or as Ctrl-C does it."""

    looks: int = 10**9
    by_ctrl_c: bool = False

    @property
    def over(self) -> bool:
        self.looks -= 1
        if self.looks < 0 and self.by_ctrl_c:
            self.interrupt()
        return self.looks < 0


@pytest.fixture(scope="module")
def engine() -> tuple[Job, Catalogue]:
    return large.job(2, seed=4), large.catalogue(60, 60, 10)


def ended(
    engine: tuple[Job, Catalogue], at: Looks, monkeypatch: pytest.MonkeyPatch
) -> Answer | None:
    """Return the answer of a pick that is ended at a look; None where Ctrl-C leaves none."""
    with monkeypatch.context() as patched:
        patched.setattr(decided_in, "Clock", lambda *_: at)
        try:
            return decide(*engine, doubting=True)
        except KeyboardInterrupt:
            assert at.by_ctrl_c
            return None


@pytest.mark.parametrize("by_ctrl_c", [False, True])
def test_at_every_look_the_answer_is_what_is_known(
    engine: tuple[Job, Catalogue], by_ctrl_c: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every plan is checked without the solver where it is written out."""
    uncut = Looks()
    whole = ended(engine, uncut, monkeypatch)
    assert whole is not None and whole.status == "proven best" and not cut_short(whole)
    seen: Counter[str] = Counter()
    looks = 10**9 - uncut.looks
    for at in (0, 8, looks // 3, 2 * looks // 3, looks):
        answer = ended(engine, Looks(looks=at, by_ctrl_c=by_ctrl_c), monkeypatch)
        if answer is None or answer.plan is None:
            assert (answer is None) == by_ctrl_c
            seen["none yet"] += 1
            continue
        seen["with a plan"] += 1
        if answer.status == "proven best":
            assert answer.plan == whole.plan
        assert cut_short(answer) or answer == whole
    assert seen["none yet"] and seen["with a plan"], seen


def cut_short(answer: Answer) -> bool:
    return any(SAID in said for said in answer.cautions)


@pytest.mark.skipif(sys.platform == "win32", reason="no signals to a process")
def test_ctrl_c_in_the_search(
    engine: tuple[Job, Catalogue], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The best so far is shown, and no trial with other readings begins."""
    calls = counted(monkeypatch, lambda _: None)

    def end(level: str, _: float) -> None:
        if level == "part number":
            os.kill(os.getpid(), signal.SIGINT)

    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        answer = decide(*engine, doubting=True, progress=end)
    finally:
        signal.signal(signal.SIGINT, before)
    assert answer.status == "best found" and cut_short(answer)
    assert len(calls) == 1


def counted(monkeypatch: pytest.MonkeyPatch, told: Callable[[int], None]) -> list[object]:
    """Return the solves of jobs as they come; `told` is called with how many there are."""
    solved, calls = decided_in._solved, list[object]()

    def count(*asked: object) -> object:
        calls.append(asked)
        told(len(calls))
        return solved(*asked)  # type: ignore[arg-type]

    monkeypatch.setattr(decided_in, "_solved", count)
    return calls


@pytest.mark.skipif(sys.platform == "win32", reason="no signals to a process")
@pytest.mark.parametrize("sent", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_after_the_plan_is_known(
    engine: tuple[Job, Catalogue], sent: signal.Signals, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It comes while a reading is tried as its neighbours say: no further one is."""
    whole = decide(*engine, doubting=True)
    calls = counted(monkeypatch, lambda count: os.kill(os.getpid(), sent) if count == 2 else None)
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        with ended_as_by_ctrl_c():
            answer = decide(*engine, doubting=True)
        assert signal.getsignal(signal.SIGTERM) == signal.SIG_DFL
    finally:
        signal.signal(signal.SIGINT, before)
    assert len(calls) == 2
    assert (answer.status, answer.plan) == (whole.status, whole.plan)
    assert cut_short(answer)


def test_sigterm_ends_where_ctrl_c_is_ignored() -> None:
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        with ended_as_by_ctrl_c():
            assert signal.getsignal(signal.SIGTERM) == signal.SIG_DFL
    finally:
        signal.signal(signal.SIGINT, before)
