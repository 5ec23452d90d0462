"""What the worked cases share. Lengths in their workings are in mm.

Unless a case says otherwise the bore is 62.000 mm, the clearance window 0.05 to 0.08 mm, and the
hone holds its size without any half-width.
"""

from __future__ import annotations

from typing import Final

from .brute import BrutePlan
from .brute_cylinder import Option
from .small import mm, piston, ring, window

CLEARANCE: Final = window("clearance", mm("0.05"), mm("0.08"))
STANDARD: Final = piston("P-0", mm("62"), mm("61.94"))
OVER: Final = piston("P-25", mm("62.25"), mm("62.19"), base=mm("62"))
RING: Final = ring("R-0", mm("62"), mm("0.20"))


def levels(plan: BrutePlan | None) -> dict[str, int]:
    """Return the value of every level."""
    assert plan is not None, "a plan was expected"
    return dict(plan.levels)


def only(plan: BrutePlan | None) -> Option:
    """Return the option of the only cylinder."""
    assert plan is not None, "a plan was expected"
    assert len(plan.cylinders) == 1
    return plan.cylinders[0]
