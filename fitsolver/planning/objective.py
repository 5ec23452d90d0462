"""The value of every level of the objective for a plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from fitsolver.records.base import Level
from fitsolver.records.plan import CylinderPlan, ObjectiveValue


def settled(
    levels: Iterable[ObjectiveValue],
    cylinders: Sequence[CylinderPlan],
    price: int,
    days: int,
    lost: int = 0,
) -> tuple[ObjectiveValue, ...]:
    """Return the levels with the value that the plan comes to where the search was broken off.

    The search value of an unsettled level may exceed the value of the selection. Its bound still
    holds. Lengths in ticks, `price` in hundredths; `lost` rebuilds, where they count.
    """
    removals = [cylinder.removal for cylinder in cylinders]
    values: dict[Level, int] = {
        "restored": sum(cylinder.restored for cylinder in cylinders),
        "largest_removal": max(removals),
        "total_removal": sum(removals),
        "filing": sum(ring.filing for cylinder in cylinders for ring in cylinder.rings),
        "price": price,
        "days": days,
        "part_number": 0,
        "rebuilds_left": lost,
    }
    return tuple(
        item if item.proven else item.model_copy(update={"value": values[item.level]})
        for item in levels
    )
