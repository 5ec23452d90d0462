"""The risks of a batch, from a job: against drawn batches, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from fitsolver.base.errors import InputError
from fitsolver.usecases import files as service
from tests.unit.cli.run import DEMOS

JOB = DEMOS / "brushsaw" / "guarded.toml"


def test_a_drawn_batch_has_the_risks_that_are_told() -> None:
    answer = service.budget(JOB, batch_spread="4 um")
    (clearance,) = (item for item in answer.budgets if item.fit == "clearance")
    random = np.random.default_rng(1)
    assert [row.decision for row in answer.batch] == ["plain", "guarded"]
    for row in answer.batch:
        assert (row.spread, row.cylinder) == (400, "1")
        half = 750  # the window of the demo: 0.040 to 0.055
        true = random.normal(0, row.spread, 1_000_000)
        seen = true + random.normal(0, clearance.combined, true.size)
        inside, taken = abs(true) <= half, abs(seen) <= half - row.guard
        drawn = (taken.mean(), (taken & ~inside).mean(), (inside & ~taken).mean())
        assert (row.accepted, row.consumer, row.producer) == pytest.approx(drawn, abs=0.003)


def test_a_batch_about_another_mean_fails_more() -> None:
    middle, off = (
        service.budget(JOB, batch_spread="4 um", batch_mean=mean).batch[0]
        for mean in (None, "0.053 mm")
    )
    assert off.mean == 5_300 and off.accepted < middle.accepted and off.consumer > middle.consumer


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"batch_mean": "0.05"}, "a batch has a spread"),
        ({"batch_spread": "0"}, "must be above zero"),
        ({"batch_spread": "wide"}, "batch spread"),
    ],
)
def test_what_no_batch_is(given: dict[str, str], said: str) -> None:
    with pytest.raises(InputError, match=said):
        service.budget(JOB, **given)


def test_without_a_batch_none_is_told() -> None:
    assert service.budget(JOB).batch == ()
