"""Risks of a decision over a batch of cylinders finished alike (JCGM 106:2012, 9.5)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitsolver.base.errors import InputError
from fitsolver.metrology.form import extremes
from fitsolver.metrology.measured import Measured
from fitsolver.metrology.risks import risks
from fitsolver.records.budget import Batch, BatchRisk, Budget
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import Decision
from fitsolver.records.windows import Window, find_window


def batch_risks(ready: Measured, found: Sequence[Budget], batch: Batch) -> tuple[BatchRisk, ...]:
    """Return the risks of a batch like each cylinder's clearance, decided plainly and guarded.

    `found` are the budgets of `ready`. A cylinder without a guard is decided plainly only.
    Raises InputError where a cylinder has no clearance window, or the batch no mean and the
    window no middle.
    """
    return tuple(
        row for cylinder in ready.job.cylinders for row in _of(ready, cylinder, found, batch)
    )


def _of(
    ready: Measured, cylinder: Cylinder, found: Sequence[Budget], batch: Batch
) -> Iterator[BatchRisk]:
    (u,) = (
        item.combined for item in found if (item.cylinder, item.fit) == (cylinder.name, "clearance")
    )
    largest = extremes(cylinder)[1]
    for decision, window in _decisions(ready, cylinder):
        stated, inside = window.stated(largest), window.limits(largest, aimed=False)
        mean = _middle(ready.job, cylinder, stated) if batch.mean is None else batch.mean
        shares = risks(stated, inside, mean=mean, spread=batch.spread, u=u)
        yield BatchRisk(
            cylinder=cylinder.name,
            decision=decision,
            guard=window.guard,
            mean=mean,
            spread=batch.spread,
            **shares._asdict(),
        )


def _decisions(ready: Measured, cylinder: Cylinder) -> Iterator[tuple[Decision, Window]]:
    """Yield the window as it is stated, and as it is guarded where that is narrower."""
    as_stated = next(item for item in ready.stated.cylinders if item.name == cylinder.name)
    plain, guarded = _clearance(ready.stated, as_stated), _clearance(ready.job, cylinder)
    yield "plain", plain
    if guarded.guard > plain.guard:
        yield "guarded", guarded


def _clearance(job: Job, cylinder: Cylinder) -> Window:
    window = find_window(job.windows_for(cylinder), "clearance")
    if window is None or (window.low, window.high) == (None, None):
        raise _refused(job, cylinder, "a batch is judged by its clearance", "no window", "a window")
    return window


def _middle(job: Job, cylinder: Cylinder, stated: tuple[int | None, int | None]) -> int:
    low, high = stated
    if low is None or high is None:
        said = "a window that is open on one side has no middle for a batch to lie about"
        raise _refused(job, cylinder, said, "no mean", "the mean clearance of the batch")
    return (low + high) // 2


def _refused(job: Job, cylinder: Cylinder, said: str, found: str, allowed: str) -> InputError:
    row = f"cylinder '{cylinder.name}'"
    return InputError(said, file=job.name, row=row, field="clearance", found=found, allowed=allowed)
