"""That nothing fits is told when the time is over, also where the reasons were not found yet."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import pytest

from fitsolver.base.deadline import Clock
from fitsolver.picking.decide import NOT_FOUND, _decided
from fitsolver.picking.ready import made_ready
from fitsolver.reporting.schema import to_json
from tests.unit.rules import small


@dataclass
class Looks(Clock):
    """A clock that is over after so many looks at it, whatever the time."""

    looks: int = 10**9

    @property
    def over(self) -> bool:
        self.looks -= 1
        return self.looks < 0


def test_at_every_look_the_answer_is_what_was_found_out() -> None:
    """Two windows that no part can keep, so that there is something to explain."""
    tight = small.Window(fit="clearance", low=100_000, high=100_100)
    job, catalogue = small.job(tight), small.catalogue()
    ready = made_ready(job, catalogue)
    whole = _decided(ready, catalogue, Clock(), rows_back=False)
    assert whole.status == "nothing fits" and whole.no_fit is not None and whole.no_fit.reasons
    seen: Counter[str] = Counter()
    for looks in range(200):
        answer = _decided(ready, catalogue, Looks(looks=looks), rows_back=False)
        if answer.status == "undecided":
            seen["undecided"] += 1
        elif answer.no_fit == NOT_FOUND:
            seen["not found out"] += 1
            assert "the time was over" in to_json(answer)
        else:
            assert to_json(answer) == to_json(whole)
            seen["whole"] += 1
            break
    assert seen["whole"] == 1 and seen["not found out"] > 0, seen


def test_ctrl_c_while_the_reasons_are_looked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    from fitsolver.explain import reasons

    tight = small.Window(fit="clearance", low=100_000, high=100_100)
    job, catalogue = small.job(tight), small.catalogue()
    clock = Clock()
    found = reasons.no_fit

    def slow(*asked: object) -> object:
        clock.interrupt()  # what the handler of the signal calls
        return found(*asked)  # type: ignore[arg-type]

    monkeypatch.setattr(reasons, "no_fit", slow)
    answer = _decided(made_ready(job, catalogue), catalogue, clock, rows_back=False)
    assert (answer.status, answer.no_fit) == ("nothing fits", NOT_FOUND)
