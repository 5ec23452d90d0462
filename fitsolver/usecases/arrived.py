"""The verb `arrived` on records: whether ordered parts serve as they were measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitsolver.base.deadline import Progress
from fitsolver.picking.decide import decide, decided
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.heading import parts_head
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer

if TYPE_CHECKING:
    from fitsolver.records.arrived import ArrivedAnswer


def when_arrived(
    job: Job, catalogue: Catalogue, ordered: Answer, *, progress: Progress | None = None
) -> ArrivedAnswer:
    """Return whether what was ordered by an answer serves as it was measured; see `arrived`.

    Raises InputError for an answer without a plan, and for one of other cylinders.
    """
    from fitsolver.records.arrived import ArrivedAnswer
    from fitsolver.usecases import parts_arrived as bench

    then = bench.ordered_plan(ordered)
    bench.check_same(job, then)
    here = bench.on_the_bench(job, then, catalogue)
    task, bare = bench.as_ordered(here, then), bench.nothing_for_sale(catalogue, here)
    ready, answer = decided(task, bare, progress=progress, rows_back=False)
    found = ArrivedAnswer(
        **parts_head(job, catalogue),
        currency=catalogue.currency,
        status="ordered parts serve" if answer.plan else "undecided",
        cylinders=bench.compared(then, answer.plan),
        plan=answer.plan,
        cautions=answer.cautions,
    )
    if answer.no_fit is None:
        return found
    from fitsolver.explain.piece_reasons import true_reasons

    other = decide(bench.unpinned(here, then), catalogue, progress=progress, rows_back=False)
    changed: dict[str, object] = {
        "status": {"nothing fits": "nothing fits", "undecided": "undecided"}.get(
            other.status, "order again"
        ),
        "cylinders": bench.compared(then, other.plan),
        "reasons": true_reasons(ready.job, bare, answer.no_fit),
        "plan": other.plan,
        "cautions": other.cautions,
    }
    if other.plan is not None:
        changed["again"] = tuple(line for line in other.plan.order if line.source != "in hand")
        changed["left_over"] = bench.left_over(job, then, other.plan, catalogue)
    return found.model_copy(update=changed)
