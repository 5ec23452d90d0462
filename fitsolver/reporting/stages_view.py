"""A machining plan as the person at the machine reads it: stage by stage, depth by depth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from fitsolver.records.told import dial_reading
from fitsolver.reporting.layout import Columns, Kind, bullets, heading, indented, pairs
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.figures import Figures
    from fitsolver.records.stages import CylinderStages, GoAhead, StageCut, Target

_DEPTHS: Final[Columns] = (
    ("depth", "figure"),
    ("metal at the\nlargest size", "figure"),
    ("metal at the\nsmallest size", "figure"),
)
_MEASURE: Final = (
    "The piston is not measured: its size decides between the two. Measure it, put the size in "
    "the job, and ask again for the one figure."
)


def cylinder_stages(plan: CylinderStages, figures: Figures) -> Iterator[RenderableType]:
    """Yield the stages of one cylinder, what may go ahead, and where the metal is."""
    yield heading(f"Cylinder {plan.cylinder}")
    if not plan.machined:
        yield indented("Nothing is cut: the bore stays as it is.")
        return
    yield pairs(_facts(plan, figures))
    for target in plan.targets:
        yield ""
        yield from _target(plan, target, figures)
    if plan.ahead is not None:
        yield indented(_MEASURE)
        yield ""
        yield from _ahead(plan, plan.ahead, figures)
    if plan.depths:
        yield ""
        which = " of the largest piston" if len(plan.targets) > 1 else ""
        yield indented(f"Where the metal is, for the finish size{which}:")
        yield table(
            _DEPTHS,
            [
                (figures.near(at.depth), figures.down(at.least), figures.up(at.most))
                for at in plan.depths
            ],
        )
        yield bullets(plan.dwell)


def _facts(plan: CylinderStages, figures: Figures) -> Iterator[tuple[str, str]]:
    yield "route", plan.route
    low, high = plan.start.low, plan.start.high
    tight = f"{figures.down(low)} at the tightest"
    yield "start", tight if low == high else f"{tight}, {figures.up(high)} at the largest"
    if plan.dial_zero is not None:
        on = "a piston of " if plan.dial_zero_on_piston else ""
        yield "dial", f"gauge zeroed on {on}{figures.stated(plan.dial_zero)}"


def _target(plan: CylinderStages, target: Target, figures: Figures) -> Iterator[RenderableType]:
    if target.skirt is not None and target.piston != "any":
        yield indented(f"For the {target.piston} piston, {figures.stated(target.skirt)}:")
    yield _cuts(plan, target.cuts, figures)
    taken, start = figures.up(target.finish - target.start), figures.stated(target.start)
    last = target.cuts[-1]
    finish = figures.aim(target.finish, last.lowest, last.highest)
    yield indented(f"The stages take {taken} together, from {start} to {finish}.")
    uncut = [cut.stage for cut in target.cuts if cut.diameter < plan.start.high]
    if uncut:
        yield indented(f"The largest places are not reached by: {', '.join(uncut)}.")
    for left in target.left_out:
        size = figures.near(left.diameter)
        yield indented(f"Left out: {left.stage}; it goes to {size}, the bore is past that.")


def _cuts(plan: CylinderStages, cuts: Sequence[StageCut], figures: Figures) -> RenderableType:
    columns: list[tuple[str, Kind]] = [
        ("stage", "text"),
        ("takes", "figure"),
        ("lowest\npermitted", "figure"),
        ("highest\npermitted", "figure"),
        ("stop at", "figure"),
    ]
    as_zeroed = plan.dial_zero is not None
    on_piston = any(cut.dial_on_piston is not None for cut in cuts)
    if as_zeroed:
        columns.append(("dial", "figure"))
    if plan.warm_bore is not None:
        columns.append((f"dial, bore\nat {plan.warm_bore / 1000:g} °C", "figure"))
    if on_piston:
        columns.append(("dial, new\npiston", "figure"))
    rows = []
    for cut in cuts:
        row = [
            cut.stage,
            figures.up(cut.stock),
            *figures.permitted(cut.lowest, cut.highest),
            figures.aim(cut.diameter, cut.lowest, cut.highest),
        ]
        row += [dial_reading(cut, cut.dial, figures)] * as_zeroed
        row += [dial_reading(cut, cut.dial_warm, figures)] * (plan.warm_bore is not None)
        row += [dial_reading(cut, cut.dial_on_piston, figures)] * on_piston
        rows.append(row)
    return table(columns, rows)


def _ahead(plan: CylinderStages, ahead: GoAhead, figures: Figures) -> Iterator[RenderableType]:
    if not ahead.cuts:
        yield indented("Nothing is cut before that.")
        return
    yield indented("What may go ahead before that, to a size that is safe for both:")
    yield _cuts(plan, ahead.cuts, figures)
    if not ahead.serves_both:
        last = ahead.cuts[-1].stage
        yield indented(f"For the largest piston the stage '{last}' may then be needed once more.")
    if ahead.waits:
        yield indented(f"These wait for the piston: {', '.join(ahead.waits)}.")
