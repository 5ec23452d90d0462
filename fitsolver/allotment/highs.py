"""HiGHS as a searcher: it counts in floating point, so what it finds is checked, no proof."""

from __future__ import annotations

from threading import Thread
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitsolver.allotment.pool import Flags, Ints, step_of
from fitsolver.base.deadline import Clock

#: With more columns than this it does not heed its time.
_MOST_COLUMNS: Final = 60_000
#: How often a wait looks up (seconds).
_LOOK_UP: Final = 0.05


class Sparse(NamedTuple):
    """Columns, 0 or 1 (`whole` 0: it is so by itself), their cost; entries of rows, low to high."""

    cost: Ints
    whole: Ints
    at_row: Ints
    at_column: Ints
    value: Ints
    low: NDArray[np.float64]
    high: NDArray[np.float64]


def search(model: Sparse, seconds: float, clock: Clock) -> Flags | None:
    """Return which columns the best solution that is found in the time takes; None without one."""
    if len(model.cost) > _MOST_COLUMNS:
        return None
    most = clock.at_most(seconds)
    found: list[Flags | None] = []
    failed: list[BaseException] = []

    def work() -> None:
        try:
            found.append(_solved(model, most))
        except BaseException as error:
            failed.append(error)

    # Beside this thread, which hears signals; HiGHS does not, and is left to its own end.
    beside = Thread(target=work, name="HiGHS", daemon=True)
    beside.start()
    while beside.is_alive() and not clock.interrupted:
        beside.join(_LOOK_UP)
    if failed:
        raise failed[0]
    return found[0] if found else None


def _solved(model: Sparse, seconds: float) -> Flags | None:
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    shape = len(model.low), len(model.cost)
    matrix = csr_array((model.value, (model.at_row, model.at_column)), shape=shape)
    found = milp(
        (model.cost // step_of(model.cost)).astype(np.float64),
        constraints=LinearConstraint(matrix, model.low, model.high),
        bounds=Bounds(0, 1),
        integrality=model.whole,
        options={"time_limit": seconds, "mip_rel_gap": 0.0},
    )
    return None if found.x is None else found.x > 0.5
