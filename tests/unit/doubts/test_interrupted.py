"""Ctrl-C while a plan is sought: the best so far is shown, no trial with other readings begins."""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path

import pytest

from fitsolver.picking import reread
from fitsolver.usecases.files import pick
from tests.signals import hear

PUMP = Path(__file__).parents[3] / "catalogs_demo" / "pump" / "job.toml"


@pytest.mark.skipif(sys.platform == "win32", reason="no signals to a process")
def test_no_trial_begins_after_ctrl_c(monkeypatch: pytest.MonkeyPatch) -> None:
    begun: list[object] = []
    monkeypatch.setattr(reread, "refuse_decisive", lambda *given: begun.append(given) or ())
    before = signal.getsignal(signal.SIGINT)
    hear()
    signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        pick(PUMP, progress=lambda *_: None)
        assert len(begun) == 1

        def end(level: str, _: float) -> None:
            if level == "part number":
                os.kill(os.getpid(), signal.SIGINT)

        answer = pick(PUMP, progress=end)
    finally:
        signal.signal(signal.SIGINT, before)
    assert answer.plan is not None
    assert len(begun) == 1
