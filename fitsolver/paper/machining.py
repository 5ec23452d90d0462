"""The table of work: the parts of each cylinder, the stop of every stage, the permitted range
there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitsolver.paper.alike import paragraphs
from fitsolver.paper.parts import Finish, Own, Stop, Work
from fitsolver.records.figures import Figures
from fitsolver.records.plan import CylinderPlan
from fitsolver.records.stages import CylinderStages, GoAhead, StageCut, Target
from fitsolver.records.told import dial_reading, names_together

_WHICH = (
    "A piston not measured yet has a line for each end of its tolerance: measure it, put its size "
    "in the job, print the sheet again for the one figure."
)


def work_groups(
    plans: Sequence[CylinderPlan], stages: Sequence[CylinderStages], figures: Figures
) -> tuple[Work, ...]:
    """Return the rows of every cylinder, one for each finish size; alike ones together.

    Groups follow the order of the plan, by their first cylinder.
    """
    work = {item.cylinder: item for item in stages}
    alike: dict[tuple[Finish, ...], list[Own]] = {}
    for plan in plans:
        rows = tuple(_rows(plan, work[plan.cylinder], figures))
        alike.setdefault(rows, []).append(_own(plan, work[plan.cylinder], figures))
    return tuple(
        Work(names_together([each.cylinder for each in own]), rows, tuple(own))
        for rows, own in alike.items()
    )


def _rows(plan: CylinderPlan, work: CylinderStages, figures: Figures) -> Iterator[Finish]:
    parts = tuple(_parts(plan, figures))
    if not work.targets:
        bore = figures.expected(plan.bore_low, plan.bore_high)
        instead = "nothing is cut: the bore stays as it is"
        yield Finish("", parts, (), instead, (("", bore),))
    for target in work.targets:
        which = ""
        if target.piston != "any" and target.skirt is not None:
            which = f"{target.piston} piston, {figures.stated(target.skirt)}"
        stops = tuple(_stop(cut, work, figures) for cut in target.cuts)
        first = target is work.targets[0]
        yield Finish(
            which,
            parts if first else (),
            stops,
            _ahead(work.ahead, figures) if first and work.ahead and work.ahead.cuts else "",
            tuple(_everywhere(plan, target, figures)),
        )


def _own(plan: CylinderPlan, work: CylinderStages, figures: Figures) -> Own:
    """Return the size now, and the metal to remove: from that at the worst reading to the most."""
    now = (("now", figures.nominal(work.start.low, work.start.high)),) if plan.machined else ()
    if not work.targets:
        return Own(plan.cylinder, now, ())
    if plan.stock_worst is None or plan.stock_tightest is None:
        return Own(plan.cylinder, now, (("removal at most", figures.up(plan.removal)),))
    most = figures.up(max(plan.stock_tightest, plan.removal))
    remove = " to ".join(dict.fromkeys((figures.down(plan.stock_worst), most)))
    return Own(plan.cylinder, now, (("to remove", remove),))


def _ahead(ahead: GoAhead, figures: Figures) -> str:
    """Return the work permitted before the piston is measured, and the work that waits for it."""
    said = []
    for cut in ahead.cuts:
        low, high = figures.permitted(cut.lowest, cut.highest)
        dial = "" if cut.dial is None else f", dial {dial_reading(cut, cut.dial, figures)}"
        size = figures.aim(cut.diameter, cut.lowest, cut.highest)
        said.append(f"{cut.stage} to {size} ({low} to {high}{dial})")
    waits = [f"wait: {', '.join(ahead.waits)}"] if ahead.waits else []
    return f"Before the piston is measured: {'; '.join((*said, *waits))}."


def _parts(plan: CylinderPlan, figures: Figures) -> Iterator[str]:
    """Yield the parts of a cylinder, the piston first, and the work on it."""
    size = figures.near(plan.oversize, sign=True) if plan.oversize else "standard"
    yield f"{plan.piston.marked} {size}"
    yield f"skirt {figures.stated(plan.skirt.low, plan.skirt.high)}"
    if plan.machined:
        yield f"{plan.route}, the bore is sleeved or re-plated" if plan.restored else plan.route
    else:
        yield "left as it is"


def _stop(cut: StageCut, work: CylinderStages, figures: Figures) -> Stop:
    low, high = figures.permitted(cut.lowest, cut.highest)
    dials = [("dial", cut.dial), ("new piston", cut.dial_on_piston)]
    if work.warm_bore is not None:
        dials.insert(1, (f"at {work.warm_bore / 1000:g} °C", cut.dial_warm))
    return Stop(
        cut.stage,
        figures.aim(cut.diameter, cut.lowest, cut.highest),
        tuple(
            (label, dial_reading(cut, reading, figures))
            for label, reading in dials
            if reading is not None
        ),
        f"{low} to {high}",
    )


def _everywhere(plan: CylinderPlan, target: Target, figures: Figures) -> Iterator[tuple[str, str]]:
    """Yield the local sizes that the permitted finish sizes leave, and what the dial reads
    there.
    """
    cut = target.cuts[-1]
    low = None if cut.lowest is None else cut.lowest - plan.half_width
    high = None if cut.highest is None else cut.highest + plan.half_width
    for label, zero in (("", 0), ("dial", plan.dial_zero), ("new piston", target.skirt)):
        if zero is None:
            continue
        edges = [None if edge is None else edge - zero for edge in (low, high)]
        yield label, " to ".join(figures.permitted(edges[0], edges[1], sign=bool(label)))


def finish_notes(
    plans: Sequence[CylinderPlan], stages: Sequence[CylinderStages], figures: Figures
) -> Iterator[str]:
    """Yield the notes on the stages: the dial's zero, the place of the metal, omitted stages,
    gaskets; equal cylinders share a note, and their notes one paragraph.
    """
    machined = [item for item in stages if item.targets]
    dwell = [(item.cylinder, "; ".join(item.dwell) + ".") for item in machined if item.dwell]
    late = [
        (item.cylinder, f"for the largest piston '{item.ahead.cuts[-1].stage}' may come once more.")
        for item in machined
        if item.ahead is not None and item.ahead.cuts and not item.ahead.serves_both
    ]
    notes = (
        *_zeroed(machined, figures),
        *_gaskets(plans),
        *_left_out(machined, figures),
        *dwell,
        *_all_waits(machined),
        *late,
    )
    yield from paragraphs(notes, [plan.cylinder for plan in plans])
    if any(len(item.targets) > 1 for item in machined):
        yield _WHICH


def _all_waits(stages: Sequence[CylinderStages]) -> Iterator[tuple[str, str]]:
    """Yield the cylinders in which nothing may be cut before the piston is measured."""
    for item in stages:
        if item.ahead is not None and not item.ahead.cuts:
            waits = ", ".join(item.ahead.waits)
            yield item.cylinder, f"nothing is cut before the piston is measured; wait: {waits}."


def _zeroed(stages: Sequence[CylinderStages], figures: Figures) -> Iterator[tuple[str, str]]:
    """Yield where the gauge is zeroed whose readings are given."""
    for plan in stages:
        cuts = [cut for target in plan.targets for cut in target.cuts]
        if plan.dial_zero is not None:
            on = "a piston of " if plan.dial_zero_on_piston else ""
            yield plan.cylinder, f"dial: the gauge zeroed on {on}{figures.stated(plan.dial_zero)}."
        if any(cut.dial_on_piston is not None for cut in cuts):
            yield plan.cylinder, "new piston: the gauge zeroed on the piston that goes in."


def _left_out(stages: Sequence[CylinderStages], figures: Figures) -> Iterator[tuple[str, str]]:
    for item in stages:
        for target in item.targets:
            for left in target.left_out:
                size = figures.near(left.diameter)
                yield item.cylinder, f"left out: {left.stage}, the bore is past its size of {size}."


def _gaskets(plans: Sequence[CylinderPlan]) -> Iterator[tuple[str, str]]:
    for plan in plans:
        if plan.gaskets:
            said = ", ".join(f"{g.place} {g.count} x {g.number}" for g in plan.gaskets)
            yield plan.cylinder, f"gaskets: {said}."
