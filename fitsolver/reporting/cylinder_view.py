"""One cylinder of a plan: the work, the size, the dial reading, the metal left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import NONE, Figures, likely, odds
from fitsolver.records.plan import CylinderPlan
from fitsolver.records.told import cylinder_words
from fitsolver.records.words import FIT_WORDS
from fitsolver.reporting.fit_table import fit_table
from fitsolver.reporting.form_view import read_next
from fitsolver.reporting.layout import Columns, heading, indented, pairs
from fitsolver.reporting.ring_table import gap_to_file
from fitsolver.reporting.sections import Opened, Section
from fitsolver.reporting.stack_view import stack_rows
from fitsolver.reporting.tables import table
from fitsolver.reporting.targets import size_row, targets

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.final import FinalCylinder
    from fitsolver.records.plan import (
        Aim,
        ChosenRing,
        HotFit,
    )

_SIZES: Final[Columns] = (
    ("", "text"),
    ("lowest\npermitted", "figure"),
    ("highest\npermitted", "figure"),
    ("\naim at", "figure"),
)
#: Probability of conformity above which a fit is not named by itself.
_SURE: Final = 0.999
_AS_OTHERS: Final = "were it as bores of its kind are: too few readings to know"
#: The sections of a cylinder, in their order.
_PARTS: Final = ("work", "fits", "left")
#: Fields in which cylinders of a group may differ, with the value shown for all.
_DIFFERING: Final[dict[str, object]] = {
    "cylinder": "",
    "removal": 0,
    "stock_worst": None,
    "stock_tightest": None,
}
_MEASURE: Final = (
    "Measure the piston first: its size decides between the two. With the size in the job, pick "
    "again for the one figure."
)


def cylinder_blocks(
    plans: Sequence[CylinderPlan], figures: Figures, opened: Opened
) -> Iterator[RenderableType | Section]:
    """Yield the lines for the machinist; equal cylinders share a block."""
    wanted = [name for name in _PARTS if opened.has(name)]
    for group in groups_alike(plans):
        if wanted:
            words = cylinder_words([plan.cylinder for plan in group])
            yield heading(words[0].upper() + words[1:])
        first = group[0]
        yield Section("work", _work(group, figures))
        yield Section("fits", _fits(first, figures, "work" in wanted))
        yield Section("left", _of_left(first, figures, len(wanted) > 1))


def groups_alike(plans: Sequence[CylinderPlan]) -> list[list[CylinderPlan]]:
    """Return the cylinders in groups that differ in the metal to remove only."""
    groups: list[tuple[CylinderPlan, list[CylinderPlan]]] = []
    for plan in plans:
        bare = plan.model_copy(update=_DIFFERING)
        same = next((group for known, group in groups if known == bare), None)
        if same is None:
            groups.append((bare, [plan]))
        else:
            same.append(plan)
    return [group for _, group in groups]


def _work(group: Sequence[CylinderPlan], figures: Figures) -> Iterator[RenderableType]:
    plan = group[0]
    yield pairs(_to_do(plan, figures))
    if plan.machined:
        yield ""
        yield table(_SIZES, _finish_rows(plan, figures))
        if plan.finish_small != plan.finish_large:
            yield indented(_MEASURE)
    yield ""
    yield pairs(_metal(group, figures))


def _fits(plan: CylinderPlan, figures: Figures, below: bool) -> Iterator[RenderableType]:
    if below:
        yield ""
    yield from fit_table(plan.fits, figures)
    rest = [*odds_facts(plan, figures), *_hot(plan.hot, figures), *stack_rows(plan.stack, figures)]
    if rest:
        yield ""
        yield pairs(rest)


def _of_left(plan: CylinderPlan, figures: Figures, below: bool) -> Iterator[RenderableType]:
    if below:
        yield ""
    yield pairs(_left(plan, figures))


def _to_do(plan: CylinderPlan, figures: Figures) -> Iterator[tuple[str, str]]:
    if plan.restored:
        yield "to do", f"{plan.route} (the bore is sleeved or re-plated)"
    elif plan.machined:
        yield "to do", plan.route
    else:
        yield "to do", "nothing is cut: the bore stays as it is"
    skirt = f"skirt {figures.stated(plan.skirt.low, plan.skirt.high)}"
    oversize = f"oversize {figures.near(plan.oversize, sign=True)}"
    yield "piston", f"{plan.piston.marked}: {oversize}, {skirt}{_where(plan, figures)}"
    for ring in plan.rings:
        yield f"ring, groove {ring.groove}", f"{ring.marked}: {_filing(plan, ring, figures)}"
    for gasket in plan.gaskets:
        yield f"gasket, {gasket.place}", f"{gasket.count} x {gasket.number}"


def _filing(plan: CylinderPlan, ring: ChosenRing, figures: Figures) -> str:
    if not ring.filing:
        return "no filing"
    target = gap_to_file(plan, ring, figures)
    return f"file the gap open to {target} (by {figures.up(ring.filing)} at most)"


def _where(plan: CylinderPlan, figures: Figures) -> str:
    height = plan.gauge_height
    return "" if height is None else f" measured at gauge height {figures.near(height)}"


def _finish_rows(plan: CylinderPlan, figures: Figures) -> Iterator[tuple[str, str, str, str]]:
    for target in targets(plan):
        indent = ""
        if target.end and target.skirt is not None:
            yield f"{target.end} piston, {figures.stated(target.skirt)}", "", "", ""
            indent = "  "
        yield size_row(f"{indent}finish size", target, 0, figures)
        if plan.dial_zero is not None:
            on = "a piston of " if plan.dial_zero_on_piston else ""
            label = f"{indent}dial, gauge zeroed on {on}{figures.stated(plan.dial_zero)}"
            yield size_row(label, target, plan.dial_zero, figures)
            if plan.warm_dial is not None:
                from fitsolver.metrology.correct import dial_on

                shown = dial_on(plan.warm_dial, plan.dial_zero, target.size)
                label = f"{indent}dial, the same, on the bore at {plan.warm_dial.bore / 1000:g} °C"
                yield size_row(label, target, target.size - shown, figures)
        label = f"{indent}dial, gauge zeroed on the new piston"
        if target.skirt is not None:
            yield size_row(label, target, target.skirt, figures)
        else:
            dial = plan.dial_on_piston
            reading = figures.expected(dial.low, dial.high, sign=True)
            yield label, NONE, NONE, reading.replace(" to ", " to\n")


def _metal(group: Sequence[CylinderPlan], figures: Figures) -> Iterator[tuple[str, str]]:
    plan = group[0]
    for names, stock, removal in _stocks(group, figures):
        of = f", {names}" if names else ""
        yield f"metal to remove{of}", stock
        if removal:
            yield f"removal{of}", removal
    if plan.machined:
        after = f"{figures.expected(plan.bore_low, plan.bore_high)} (local sizes, "
        yield (
            "bore afterwards",
            f"{after}{figures.near(plan.half_width)} either side of the finish)",
        )
    else:
        yield "bore", f"{figures.expected(plan.bore_low, plan.bore_high)} (local sizes)"
        dial = figures.expected(plan.dial_on_piston.low, plan.dial_on_piston.high, sign=True)
        yield "dial", f"{dial}, gauge zeroed on the new piston"


def _stocks(group: Sequence[CylinderPlan], figures: Figures) -> Iterator[tuple[str, str, str]]:
    """Yield metal to remove and removal, with the cylinders where these differ in a group."""
    found: dict[tuple[str, str], list[str]] = {}
    for plan in group:
        if plan.stock_worst is None or plan.stock_tightest is None:
            continue
        worst, tightest = figures.down(plan.stock_worst), figures.up(plan.stock_tightest)
        stock = f"{worst} at the worst reading, {tightest} at the tightest"
        found.setdefault((stock, f"{figures.up(plan.removal)} at most"), []).append(plan.cylinder)
    for (stock, removal), names in found.items():
        yield cylinder_words(names) if len(found) > 1 else "", stock, removal


def odds_facts(plan: CylinderPlan | FinalCylinder, figures: Figures) -> Iterator[tuple[str, str]]:
    """Yield the odds of a cylinder; none where the job does not state its instruments."""
    if plan.probability is not None:
        yield "all fits in their windows", likely(plan.probability, plan.odds_of)
    weak = [fit for fit in plan.fits if fit.probability is not None and fit.probability < _SURE]
    for fit in sorted(weak, key=lambda fit: fit.probability or 0.0):
        groove = "" if fit.groove is None else f" {fit.groove}"
        yield f"  {FIT_WORDS[fit.fit]}{groove}", f"{odds(fit.probability or 0.0)} likely"
    planned = plan if isinstance(plan, CylinderPlan) else None
    if planned is not None and planned.surer is not None:
        yield "  aimed higher", _surer(planned.surer, figures)
    if plan.whole_probability is not None:
        yield "  in the whole bore", f"{odds(plan.whole_probability)} likely, {_AS_OTHERS}"
    if planned is not None and planned.cut_everywhere is not None:
        yield "cut everywhere", f"{odds(planned.cut_everywhere)} likely"
    if plan.next_reading is not None:
        yield "  read next", read_next(plan.next_reading, figures)


def _surer(surer: Aim, figures: Figures) -> str:
    return (
        f"{odds(surer.probability)} likely with a finish {figures.up(surer.more)} larger, which "
        f"takes so much more metal; `aim` of {figures.up(surer.aim)} in the clearance window "
        "plans it"
    )


def _hot(hot: tuple[HotFit, ...], figures: Figures) -> Iterator[tuple[str, str]]:
    for fit in hot:
        label = "clearance" if fit.what == "clearance" else f"end gap, groove {fit.groove}"
        warning = "" if fit.least > 0 else "  NOT POSITIVE, see the cautions"
        yield f"hot {label}", f"{figures.down(fit.least)} at least{warning}"


def _left(plan: CylinderPlan, figures: Figures) -> Iterator[tuple[str, str]]:
    if plan.left_to_limit is not None:
        yield "left to bore limit", figures.down(plan.left_to_limit)
    for size in plan.larger_sizes:
        nominal = figures.near(size.nominal_bore)
        said = f"{figures.down(size.metal_to_it)} to its nominal bore of {nominal}"
        if not size.within_limit:
            said += ", beyond the bore limit"
        elif not size.usable:
            said += ", out of reach of a later rebuild"
        yield f"left to {figures.near(size.oversize, sign=True)}", said
    usable = sum(size.within_limit and size.usable for size in plan.larger_sizes)
    said = f"{usable} that a later rebuild can use" if usable else "none"
    yield "larger sizes left", said
