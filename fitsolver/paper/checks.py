"""What is to be measured before a cylinder is closed: limits, and a field beside each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitsolver.paper.parts import BLANK, Column, Table
from fitsolver.records.figures import NONE, Figures
from fitsolver.records.form import BoreForm
from fitsolver.records.plan import CylinderPlan, Fit
from fitsolver.records.words import axis_words, fit_name

_GUARDED = (
    "Limits have the measuring allowance taken off: what reads inside them is inside the window."
)
#: Depths that a page is wide enough for.
_MOST_ACROSS = 7
_WHICH = "The line of the piston that came holds; between the two, pick again with its size."


def check_table(plan: CylinderPlan, figures: Figures) -> Table:
    """Return every fit with the limits that a measured value has to keep."""
    columns = (
        Column("Fit", "text"),
        Column("Part", "word"),
        Column("Lowest"),
        Column("Highest"),
        Column("To expect"),
        Column("Measured", "blank"),
        Column("OK", "narrow blank"),
        Column("See", "word"),
    )
    notes = list(dict.fromkeys(fit.said_by for fit in plan.fits if fit.said_by))
    rows = tuple(_fit(fit, notes, figures) for fit in plan.fits)
    sources = "; ".join(f"{place}: {note}" for place, note in enumerate(notes, start=1))
    guarded = _GUARDED if any(fit.guard for fit in plan.fits) else ""
    said = tuple(line for line in (guarded, sources) if line)
    return Table(
        "Check before assembly",
        columns,
        (_skirt(plan, figures), *rows),
        said,
    )


def _skirt(plan: CylinderPlan, figures: Figures) -> tuple[str, ...]:
    skirt = plan.skirt
    limits = (NONE, NONE) if skirt.known else (figures.near(skirt.low), figures.near(skirt.high))
    size = figures.nominal(skirt.low, skirt.high)
    return ("skirt size", plan.piston.marked, *limits, size, BLANK, BLANK, NONE)


def _fit(fit: Fit, notes: Sequence[str], figures: Figures) -> tuple[str, ...]:
    low, high, *_ = figures.fit(_guarded(fit))
    _, _, least, most, *_ = figures.fit(fit)
    expected = least if least == most else f"{least} to {most}"
    see = str(notes.index(fit.said_by) + 1) if fit.said_by else NONE
    name = fit_name(fit.fit, fit.groove, fit.port)
    return (name, fit.part, low, high, expected, BLANK, BLANK, see)


def _guarded(fit: Fit) -> Fit:
    """Return a fit whose edges have their guard taken off."""
    low = None if fit.low is None else fit.low + fit.guard
    high = None if fit.high is None else fit.high - fit.guard
    return fit.model_copy(update={"low": low, "high": high, "guard": 0})


def filing_table(plan: CylinderPlan, figures: Figures) -> Table | None:
    """Return how far each ring is filed; None without rings."""
    if not plan.rings:
        return None
    gaps = {fit.groove: fit for fit in plan.fits if fit.fit == "end_gap"}
    rows = []
    for ring in plan.rings:
        gap = gaps.get(ring.groove)
        low, high = (NONE, NONE) if gap is None else figures.fit(_guarded(gap))[:2]
        filing = figures.up(ring.filing) if ring.filing else "no filing"
        rows.append((str(ring.groove), ring.marked, low, high, filing, BLANK, BLANK))
    columns = (
        Column("Groove"),
        Column("Ring", "text"),
        Column("Gap, lowest"),
        Column("Gap, highest"),
        Column("File off, at most"),
        Column("Gap as supplied", "blank"),
        Column("Gap when done", "blank"),
    )
    notes = []
    if any(ring.filing for ring in plan.rings):
        notes.append(
            "File to the lowest gap, in the finished bore where it is smallest; what was filed "
            "off cannot be put back."
        )
    return Table("Ring filing", columns, tuple(rows), tuple(notes))


def bore_table(plan: CylinderPlan, form: BoreForm | None, figures: Figures) -> Table | None:
    """Return fields for the finished bore, place by place as it was read before; None if never."""
    if form is None:
        return None
    axes = [axis.angle for axis in form.by_axis]
    depths = [figures.near(at.depth) for at in form.by_depth]
    across = [axis_words(angle) for angle in axes]
    # The longer side runs down the page, unless both are short.
    down, heads, first = (across, depths, "Axis, depth")
    if len(depths) > _MOST_ACROSS:
        down, heads, first = (depths, across, "Depth, axis")
    columns = (Column(first, "word"), *(Column(head, "blank") for head in heads))
    rows = tuple((name, *[BLANK] * len(heads)) for name in down)
    return Table("Finished bore, at 20 °C", columns, rows, tuple(_bore_notes(plan, figures)))


def _bore_notes(plan: CylinderPlan, figures: Figures) -> Iterator[str]:
    unit = figures.symbol
    if not plan.machined:
        low, high = figures.down(plan.bore_low), figures.up(plan.bore_high)
        yield f"The bore stays as it is: {low} to {high} {unit} were read."
        return
    for which, lowest, highest in _targets(plan, figures):
        low, high = _local(lowest, highest, plan.half_width, figures)
        yield f"Permitted everywhere{which}: {low} to {high} {unit}."
    if plan.finish_small != plan.finish_large:
        yield _WHICH


def _targets(plan: CylinderPlan, figures: Figures) -> Sequence[tuple[str, int | None, int | None]]:
    tops = [top for top in (plan.highest, plan.highest_small) if top is not None]
    if plan.finish_small == plan.finish_large:
        return [("", plan.lowest, min(tops, default=None))]
    small = f", smallest piston ({figures.near(plan.skirt.low)})"
    large = f", largest piston ({figures.near(plan.skirt.high)})"
    return [(small, plan.finish_small, plan.highest_small), (large, plan.lowest, plan.highest)]


def _local(
    lowest: int | None, highest: int | None, half_width: int, figures: Figures
) -> tuple[str, str]:
    """Return the local sizes that the permitted finish sizes leave."""
    return figures.permitted(
        None if lowest is None else lowest - half_width,
        None if highest is None else highest + half_width,
    )
