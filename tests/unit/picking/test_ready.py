"""A job is made ready once for each time that it is decided."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from fitsolver import decide, how_firm, load, sheet_of, sizes_left, when_arrived
from fitsolver.picking import decide as deciding
from fitsolver.picking.decide import decided
from fitsolver.picking.ready import made_ready
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from tests.unit.cli.run import BRUSHSAW, DEMOS

GUARDED = DEMOS / "brushsaw" / "guarded.toml"
VERBS: dict[str, Callable[[Job, Catalogue], object]] = {
    "decide": decide,
    "ladder": sizes_left,
    "firm": how_firm,
    "arrived": lambda job, parts: when_arrived(job, parts, decide(job, parts)),
    "sheet": lambda job, parts: sheet_of(job, parts, made_on=date(2027, 3, 1)),
}
#: Times that each decides a job: a sheet tries decisive readings again, of which there are none.
DECIDES = {"arrived": 2}


def test_decided_is_the_answer_and_the_job_it_was_decided_from() -> None:
    job, parts = load(GUARDED)
    found = decided(job, parts)
    assert found.ready == made_ready(job, parts)
    assert found.ready.job != job  # it is guarded, and at 20 °C
    plain = load(BRUSHSAW)
    assert decided(*plain).answer == decide(*plain)


@pytest.mark.parametrize("verb", VERBS)
def test_once_for_each_time(verb: str, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[str] = []

    def counted(job: Job, *more: Any) -> Any:
        made.append(job.name)
        return made_ready(job, *more)

    monkeypatch.setattr(deciding, "made_ready", counted)
    monkeypatch.setattr("fitsolver.picking.ready.made_ready", counted)
    VERBS[verb](*load(GUARDED))
    assert len(made) == DECIDES.get(verb, 1)
