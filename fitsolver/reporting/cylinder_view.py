"""One cylinder of a plan: what to do, to which size, what the dial reads, what is left."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.records.figures import NONE, Figures, likely, odds
from fitsolver.records.words import FIT_WORDS
from fitsolver.reporting.fit_table import fit_table
from fitsolver.reporting.form_view import read_next
from fitsolver.reporting.layout import Kind, heading, indented, pairs, table
from fitsolver.reporting.stack_view import stack_rows

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.final import FinalCylinder
    from fitsolver.records.plan import (
        Aim,
        ChosenRing,
        CylinderPlan,
        HotFit,
    )

_SIZES: Final[tuple[tuple[str, Kind], ...]] = (
    ("", "text"),
    ("lowest\npermitted", "figure"),
    ("highest\npermitted", "figure"),
    ("\naim at", "figure"),
)
#: A fit that is likelier than this to conform is not named by itself.
_SURE: Final = 0.999
_AS_OTHERS: Final = "were it as bores of its kind are: too few readings to know"
_MEASURE: Final = (
    "Measure the piston first: its size decides between the two. With the size in the job, pick "
    "again for the one figure."
)


class _Target(NamedTuple):
    """A finish size to aim at (ticks), for one end of the piston's tolerance or for all of it."""

    which: str
    size: int
    lowest: int | None
    highest: int | None
    skirt: int | None


def cylinder_view(plan: CylinderPlan, figures: Figures) -> list[RenderableType]:
    """Return everything a person at the machine needs for one cylinder."""
    parts: list[RenderableType] = [heading(f"Cylinder {plan.cylinder}")]
    parts.append(pairs(_to_do(plan, figures)))
    if plan.machined:
        parts += ["", table(_SIZES, _finish_rows(plan, figures))]
        if plan.finish_small != plan.finish_large:
            parts.append(indented(_MEASURE))
    parts += ["", pairs(_metal(plan, figures)), ""]
    parts += fit_table(plan.fits, figures)
    rest = [*odds_facts(plan, figures), *_hot(plan.hot, figures)]
    rest += [*stack_rows(plan.stack, figures), *_left(plan, figures)]
    if rest:
        parts += ["", pairs(rest)]
    return parts


def _to_do(plan: CylinderPlan, figures: Figures) -> Iterator[tuple[str, str]]:
    if plan.restored:
        yield "to do", f"{plan.route} (the bore is restored)"
    elif plan.machined:
        yield "to do", plan.route
    else:
        yield "to do", "nothing is cut: the bore stays as it is"
    skirt = f"skirt {figures.nominal(plan.skirt.low, plan.skirt.high)}"
    oversize = f"oversize {figures.near(plan.oversize, sign=True)}"
    yield "piston", f"{plan.piston.name}: {oversize}, {skirt}{_where(plan, figures)}"
    for ring in plan.rings:
        yield f"ring, groove {ring.groove}", f"{ring.name}: {_filing(plan, ring, figures)}"
    for gasket in plan.gaskets:
        yield f"gasket, {gasket.place}", f"{gasket.count} x {gasket.number}"


def _filing(plan: CylinderPlan, ring: ChosenRing, figures: Figures) -> str:
    """Return how far the gap is to be opened: to the least it may be where the bore is smallest."""
    if not ring.filing:
        return "no filing"
    gaps = [f.least for f in plan.fits if f.fit == "end_gap" and f.groove == ring.groove]
    target = f" to {figures.up(gaps[0])}" if gaps else ""
    return f"file the gap open{target} (by {figures.up(ring.filing)} at most)"


def _where(plan: CylinderPlan, figures: Figures) -> str:
    height = plan.gauge_height
    return "" if height is None else f" measured at gauge height {figures.near(height)}"


def _targets(plan: CylinderPlan, figures: Figures) -> list[_Target]:
    """Return one size to aim at, or one for each end of the tolerance of an unmeasured piston."""
    size, skirt = plan.finish_large, plan.skirt
    one_skirt = skirt.high if skirt.known else None
    if plan.finish_small == size:  # one size for every piston: the smallest sets the highest
        highest = min(
            (edge for edge in (plan.highest, plan.highest_small) if edge is not None), default=None
        )
        return [_Target("", size, plan.lowest, highest, one_skirt)]
    small = plan.finish_small  # the smallest that the lower bounds permit, so also the lowest
    return [
        _Target(
            f"smallest piston, {figures.near(skirt.low)}",
            small,
            small,
            plan.highest_small,
            skirt.low,
        ),
        _Target(
            f"largest piston, {figures.near(skirt.high)}",
            size,
            plan.lowest,
            plan.highest,
            skirt.high,
        ),
    ]


def _finish_rows(plan: CylinderPlan, figures: Figures) -> Iterator[tuple[str, str, str, str]]:
    for target in _targets(plan, figures):
        indent = ""
        if target.which:
            yield target.which, "", "", ""
            indent = "  "
        yield _size_row(f"{indent}finish size", target, 0, figures)
        if plan.dial_zero is not None:
            on = "a piston of " if plan.dial_zero_on_piston else ""
            label = f"{indent}dial, gauge zeroed on {on}{figures.near(plan.dial_zero)}"
            yield _size_row(label, target, plan.dial_zero, figures)
            if plan.warm_dial is not None:
                from fitsolver.metrology.correct import dial_on

                shown = dial_on(plan.warm_dial, plan.dial_zero, target.size)
                label = f"{indent}dial, the same, on the bore at {plan.warm_dial.bore / 1000:g} °C"
                yield _size_row(label, target, target.size - shown, figures)
        label = f"{indent}dial, gauge zeroed on the new piston"
        if target.skirt is not None:
            yield _size_row(label, target, target.skirt, figures)
        else:
            dial = plan.dial_on_piston
            reading = figures.expected(dial.low, dial.high, sign=True)
            yield label, NONE, NONE, reading.replace(" to ", " to\n")


def _size_row(
    label: str, target: _Target, zero: int, figures: Figures
) -> tuple[str, str, str, str]:
    """Return a row of the finish table: the size less the gauge's zero (0 = the size itself)."""
    sign = bool(zero)
    low = None if target.lowest is None else target.lowest - zero
    high = None if target.highest is None else target.highest - zero
    lowest, highest = figures.permitted(low, high, sign=sign)
    return label, lowest, highest, figures.aim(target.size - zero, low, high, sign=sign)


def _metal(plan: CylinderPlan, figures: Figures) -> Iterator[tuple[str, str]]:
    if plan.stock_worst is not None and plan.stock_tightest is not None:
        worst, tightest = figures.down(plan.stock_worst), figures.up(plan.stock_tightest)
        yield "stock", f"{worst} at the worst reading, {tightest} at the tightest"
    if plan.machined:
        yield "removal", f"{figures.up(plan.removal)} at most"
        after = f"{figures.expected(plan.bore_low, plan.bore_high)} (local sizes, "
        yield (
            "bore afterwards",
            f"{after}{figures.near(plan.half_width)} either side of the finish)",
        )
    else:
        yield "bore", f"{figures.expected(plan.bore_low, plan.bore_high)} (local sizes)"
        dial = figures.expected(plan.dial_on_piston.low, plan.dial_on_piston.high, sign=True)
        yield "dial", f"{dial}, gauge zeroed on the new piston"


def odds_facts(plan: CylinderPlan | FinalCylinder, figures: Figures) -> Iterator[tuple[str, str]]:
    """Yield the odds of a cylinder; none where the job does not state its instruments."""
    if plan.probability is not None:
        yield "all fits conform", likely(plan.probability, plan.odds_of)
    weak = [fit for fit in plan.fits if fit.probability is not None and fit.probability < _SURE]
    for fit in sorted(weak, key=lambda fit: fit.probability or 0.0):
        groove = "" if fit.groove is None else f" {fit.groove}"
        yield f"  {FIT_WORDS[fit.fit]}{groove}", f"{odds(fit.probability or 0.0)} likely"
    if (surer := getattr(plan, "surer", None)) is not None:
        yield "  aimed higher", _surer(surer, figures)
    if plan.whole_probability is not None:
        yield "  in the whole bore", f"{odds(plan.whole_probability)} likely, {_AS_OTHERS}"
    if (cut := getattr(plan, "cut_everywhere", None)) is not None:
        yield "cut everywhere", f"{odds(cut)} likely"
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
