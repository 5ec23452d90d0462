"""Ended at any moment a pick tells what is known by then, and soon: the time, Ctrl-C, SIGTERM.

An engine whose bores have readings a little off their neighbours is solved once for itself and
once for each of them; rows that are left out for a doubt cost another search.
"""

from __future__ import annotations

import os
import signal
import sys
from collections import Counter
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

LOOKS = 400
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
    return large.job(2), large.catalogue(60, 60, 10)


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
    whole = decide(*engine, doubting=True)
    assert whole.status == "proven best" and not any(SAID in said for said in whole.cautions)
    seen: Counter[str] = Counter()
    for looks in range(0, LOOKS, 3):
        answer = ended(engine, Looks(looks=looks, by_ctrl_c=by_ctrl_c), monkeypatch)
        if answer is None or answer.plan is None:
            assert answer is None if by_ctrl_c else answer is not None
            seen["none yet"] += 1
            continue
        cut = any(SAID in said for said in answer.cautions)
        seen["not tried" if cut else "whole"] += 1
        if answer.status == "proven best":
            assert answer.plan == whole.plan
        if not cut:
            assert answer == whole
            break
    assert min(seen["none yet"], seen["not tried"]) > 2 and seen["whole"] == 1, seen


@pytest.mark.skipif(sys.platform == "win32", reason="no signals to a process")
@pytest.mark.parametrize("sent", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_after_the_plan_is_known(
    engine: tuple[Job, Catalogue], sent: signal.Signals, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It comes while a reading is tried as its neighbours say: no further one is."""
    whole, solved = decide(*engine, doubting=True), decided_in._solved
    calls: list[object] = []

    def told(*asked: object) -> object:
        calls.append(asked)
        if len(calls) == 2:
            os.kill(os.getpid(), sent)
        return solved(*asked)  # type: ignore[arg-type]

    monkeypatch.setattr(decided_in, "_solved", told)
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        with ended_as_by_ctrl_c():
            answer = decide(*engine, doubting=True)
        assert signal.getsignal(signal.SIGTERM) == signal.SIG_DFL
    finally:
        signal.signal(signal.SIGINT, before)
    assert len(calls) == 2
    assert (answer.status, answer.plan) == (whole.status, whole.plan)
    assert any(SAID in said for said in answer.cautions)


def test_sigterm_ends_where_ctrl_c_is_ignored() -> None:
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        with ended_as_by_ctrl_c():
            assert signal.getsignal(signal.SIGTERM) == signal.SIG_DFL
    finally:
        signal.signal(signal.SIGINT, before)
