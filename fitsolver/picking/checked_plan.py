"""A solution written out as a plan, checked without the solver: the only way a plan gets out."""

from __future__ import annotations

from fitsolver.checking.check import check
from fitsolver.planning.plan import make_plan
from fitsolver.records.plan import Plan
from fitsolver.solving.levels import level_order
from fitsolver.solving.problem import Problem
from fitsolver.solving.solve import Solution


def checked_plan(task: Problem, solution: Solution) -> Plan:
    """Return the plan of a solution, with its odds where the job states its instruments.

    Temperatures alone give no uncertainty of a reading.

    Raises CheckError when the check disagrees.
    """
    assert solution.selection is not None
    order = level_order(task.job)
    levels = sorted(solution.levels, key=lambda item: order.index(item.level))
    plan = make_plan(
        task.job, task.catalogue, task.shelf, task.cylinders, solution.selection, levels
    )
    check(task.job, task.catalogue, plan)
    if task.job.measuring is None or not task.job.measuring.instruments:
        return plan
    from fitsolver.planning.odds import with_odds

    return with_odds(task.job, task.cylinders, solution.selection, plan)
