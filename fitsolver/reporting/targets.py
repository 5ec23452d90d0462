"""The finish sizes of a cylinder to aim at, with what is permitted around each."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from fitsolver.records.figures import Figures
    from fitsolver.records.plan import CylinderPlan


class Target(NamedTuple):
    """A finish size to aim at (ticks), for one end of the piston's tolerance or for all of it."""

    end: Literal["", "smallest", "largest"]
    size: int
    lowest: int | None
    highest: int | None
    skirt: int | None


class Shown(NamedTuple):
    """The lowest and the highest permitted size and the aim, as they are shown."""

    lowest: str
    highest: str
    aim: str


def targets(plan: CylinderPlan) -> list[Target]:
    """Return one size to aim at, or one for each end of the tolerance of an unmeasured piston."""
    size, skirt = plan.finish_large, plan.skirt
    one_skirt = skirt.high if skirt.known else None
    if plan.finish_small == size:  # one size for every piston: the smallest sets the highest
        highest = min(
            (edge for edge in (plan.highest, plan.highest_small) if edge is not None), default=None
        )
        return [Target("", size, plan.lowest, highest, one_skirt)]
    small = plan.finish_small  # the smallest that the lower bounds permit, so also the lowest
    return [
        Target("smallest", small, small, plan.highest_small, skirt.low),
        Target("largest", size, plan.lowest, plan.highest, skirt.high),
    ]


def size_row(label: str, target: Target, zero: int, figures: Figures) -> tuple[str, str, str, str]:
    """Return lowest, highest and aim behind a label: the size less the gauge's zero (0 = all)."""
    return label, *sizes(target, zero, figures)


def sizes(target: Target, zero: int, figures: Figures) -> Shown:
    """Return the lowest and highest permitted size and the aim, less the gauge's zero (0 = all)."""
    sign = bool(zero)
    low = None if target.lowest is None else target.lowest - zero
    high = None if target.highest is None else target.highest - zero
    lowest, highest = figures.permitted(low, high, sign=sign)
    return Shown(lowest, highest, figures.aim(target.size - zero, low, high, sign=sign))
