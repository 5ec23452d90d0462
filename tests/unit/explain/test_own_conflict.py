"""Rules of one cylinder in conflict: by arithmetic as by the solver."""

from __future__ import annotations

from random import Random

import pytest

from fitsolver.records.job import Job
from fitsolver.solving.by_itself import fits_alone, own_conflict
from fitsolver.solving.possible import OWN_RULES, alone, conflict, possible
from fitsolver.solving.problem import problem
from tests.bench import large

UM = large.UM


def _tight(job: Job, dice: Random) -> Job:
    """The job with some of its windows narrow, or out of the reach of any part."""
    windows = []
    for window in job.windows:
        if dice.random() < 0.5:
            low = (window.low or 0) + dice.choice((-400, -30, 0, 30, 400)) * UM
            windows.append(
                window.model_copy(update={"low": low, "high": low + dice.choice((0, 4, 30)) * UM})
            )
        else:
            windows.append(window)
    return job.model_copy(update={"windows": tuple(windows)})


@pytest.mark.parametrize("seed", range(16))
def test_as_the_solver_has_it(seed: int) -> None:
    dice = Random(seed)
    parts = large.catalogue(16, 12, 40, seed)
    task = problem(_tight(large.job(2, seed), dice), parts)
    for state in task.cylinders:
        single = alone(task, state.name)
        assert fits_alone(single, OWN_RULES) == possible(single, OWN_RULES)
        assert fits_alone(single, frozenset()) == possible(single, frozenset())
        assert own_conflict(single) == conflict(single, OWN_RULES)
