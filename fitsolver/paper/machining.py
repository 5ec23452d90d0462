"""The machining of one cylinder: stages with their dial readings, and fields for what is read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitsolver.paper.parts import BLANK, Column, Pairs, Table
from fitsolver.records.figures import Figures
from fitsolver.records.plan import CylinderPlan
from fitsolver.records.stages import CylinderStages, GoAhead, StageCut, Target
from fitsolver.records.told import dial_reading

_MEASURE = (
    "The piston is not measured yet: its size decides which of these tables holds. Measure it, "
    "put its size in the job, and print the sheet again for the one figure."
)


def to_do(plan: CylinderPlan, figures: Figures) -> Pairs:
    """Return what goes into a cylinder and what is done to it."""
    return tuple(_to_do(plan, figures))


def _finish(plan: CylinderPlan, figures: Figures) -> str:
    """Return the size to aim at as the stages round it; two for a piston not measured yet."""
    large = figures.aim(plan.finish_large, plan.lowest, plan.highest)
    small = figures.aim(plan.finish_small, plan.finish_small, plan.highest_small)
    return large if plan.finish_small == plan.finish_large else f"{small} to {large}"


def _to_do(plan: CylinderPlan, figures: Figures) -> Iterator[tuple[str, str]]:
    unit = figures.symbol
    if plan.machined:
        finish = _finish(plan, figures)
        restored = ", the bore is sleeved or re-plated" if plan.restored else ""
        yield "Work", f"{plan.route}{restored}: finish size {finish} {unit}"
        yield "Removal", f"{figures.up(plan.removal)} {unit} at most, on diameter"
    else:
        bore = figures.expected(plan.bore_low, plan.bore_high)
        yield "Work", f"nothing is cut: the bore stays as it is, {bore} {unit}"
    where = "" if plan.gauge_height is None else f" at height {figures.near(plan.gauge_height)}"
    skirt = figures.nominal(plan.skirt.low, plan.skirt.high)
    oversize = figures.near(plan.oversize, sign=True)
    yield "Piston", f"{plan.piston.marked}, oversize {oversize}, skirt {skirt} {unit}{where}"
    for ring in plan.rings:
        yield f"Ring, groove {ring.groove}", ring.marked
    for gasket in plan.gaskets:
        yield f"Gasket, {gasket.place}", f"{gasket.count} x {gasket.number}"


def stage_tables(plan: CylinderStages, figures: Figures) -> tuple[Table, ...]:
    """Return a table for every finish size, and one of what may go ahead; none where uncut."""
    tables = [_target(plan, target, figures) for target in plan.targets]
    if plan.ahead is not None:
        tables.append(_ahead(plan, plan.ahead, figures))
    return tuple(tables)


def _target(plan: CylinderStages, target: Target, figures: Figures) -> Table:
    which = ""
    if target.piston != "any" and target.skirt is not None:
        which = f" for the {target.piston} piston, {figures.near(target.skirt)}"
    notes = [
        f"Left out: {left.stage}, the bore is past its size of {figures.near(left.diameter)}."
        for left in target.left_out
    ]
    if target is plan.targets[-1]:
        low, high = figures.near(plan.start.low), figures.near(plan.start.high)
        notes.append(
            f"Before: {low} where tightest, {high} where largest. {_zeroed(plan, figures)}"
        )
        where = [f"{line[0].upper()}{line[1:]}." for line in plan.dwell]
        notes += [" ".join(where)] if where else []
    return _table(f"Machining stages{which}", target.cuts, figures, tuple(notes))


def _zeroed(plan: CylinderStages, figures: Figures) -> str:
    if plan.dial_zero is None:
        return "Dial: the gauge zeroed on the new piston."
    on = "a piston of " if plan.dial_zero_on_piston else ""
    return f"Dial: the gauge zeroed on {on}{figures.near(plan.dial_zero)}."


def _ahead(plan: CylinderStages, ahead: GoAhead, figures: Figures) -> Table:
    notes = [_MEASURE]
    if not ahead.cuts:
        notes.append("Nothing is cut before that.")
    elif not ahead.serves_both:
        last = ahead.cuts[-1].stage
        notes.append(f"For the largest piston the stage '{last}' may be needed once more.")
    if ahead.waits:
        notes.append(f"These wait for the piston: {', '.join(ahead.waits)}.")
    caption = "What may go ahead before the piston is measured"
    return _table(caption, ahead.cuts, figures, tuple(notes))


def _table(
    caption: str, cuts: Sequence[StageCut], figures: Figures, notes: tuple[str, ...]
) -> Table:
    zeroed = any(cut.dial is not None for cut in cuts)
    on_piston = any(cut.dial_on_piston is not None for cut in cuts)
    columns = [
        Column("Stage", "text"),
        Column("Takes"),
        Column("Lowest"),
        Column("Highest"),
        Column("Stop at"),
        *[Column("Dial")] * zeroed,
        *[Column("Dial, new piston")] * on_piston,
        Column("Read, least", "blank"),
        Column("Read, most", "blank"),
    ]
    rows = tuple(
        (
            cut.stage,
            figures.near(cut.stock),
            *figures.permitted(cut.lowest, cut.highest),
            figures.aim(cut.diameter, cut.lowest, cut.highest),
            *[dial_reading(cut, cut.dial, figures)] * zeroed,
            *[dial_reading(cut, cut.dial_on_piston, figures)] * on_piston,
            BLANK,
            BLANK,
        )
        for cut in cuts
    )
    return Table(caption, tuple(columns), rows, notes)
