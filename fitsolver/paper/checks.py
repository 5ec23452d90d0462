"""The measurements before a cylinder is closed: limits, and a field for every cylinder."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from fitsolver.base.lengths import Unit, format_length, shop_step
from fitsolver.paper.parts import BLANK, Column, Field, Matrix, Table
from fitsolver.records.figures import NONE, Figures
from fitsolver.records.form import BoreForm
from fitsolver.records.plan import CylinderPlan, Fit
from fitsolver.records.words import FIT_WORDS, axis_words, fit_name

_GUARDED: Final = (
    "Limits have the measuring allowance taken off: what reads inside them is inside the window."
)
_FILED: Final = (
    "Lowest gap where the bore is smallest; what is off is off. Small figure: the most to file off."
)
#: Fields that half the width of a page has room for.
_MOST_ACROSS: Final = 6
#: Cylinders that stand side by side in one table.
ACROSS: Final = 8


@dataclass(slots=True)
class _Line:
    """A row that several cylinders share: its subject, its limits, the expected values."""

    limits: tuple[str, str]
    see: str
    grooves: list[int] = field(default_factory=list)
    least: str = ""
    most: str = ""
    hints: dict[str, str] = field(default_factory=dict)

    def take(self, cylinder: str, least: str, most: str, hint: str = "") -> None:
        self.least = min(self.least or least, least, key=Decimal)
        self.most = max(self.most or most, most, key=Decimal)
        self.hints[cylinder] = hint

    @property
    def expected(self) -> str:
        return self.least if self.least == self.most else f"{self.least} to {self.most}"


def check_tables(plans: Sequence[CylinderPlan], figures: Figures) -> Iterator[Matrix]:
    """Yield every fit but the end gaps of rings, with the limits a measured value has to keep."""
    for some in _chunks(plans):
        notes = list(dict.fromkeys(f.said_by for p in some for f in p.fits if f.said_by))
        lines: dict[tuple[object, ...], _Line] = {}
        for plan in some:
            _take_skirt(lines, plan, figures)
            for fit in _checked(plan):
                _take(lines, plan.cylinder, fit, notes, figures)
        names = tuple(plan.cylinder for plan in some)
        rows = tuple(
            ((str(key[0]), *line.limits, line.expected, line.see), _fields(names, line.hints))
            for key, line in _named(lines)
        )
        sources = "; ".join(f"{place}: {note}" for place, note in enumerate(notes, start=1))
        guarded = _GUARDED if any(fit.guard for plan in some for fit in plan.fits) else ""
        yield Matrix(
            "Check before assembly",
            (
                Column("Fit", "text"),
                Column("Lowest"),
                Column("Highest"),
                Column("To expect"),
                Column("See", "word"),
            ),
            names,
            rows,
            tuple(filter(None, (guarded, sources))),
        )


def _take_skirt(
    lines: dict[tuple[object, ...], _Line], plan: CylinderPlan, figures: Figures
) -> None:
    """Add the skirt: a measured piece has its size in its field, any other its limits."""
    skirt, piston = plan.skirt, plan.piston
    where = "" if plan.gauge_height is None else f" at {figures.near(plan.gauge_height)}"
    low, high = figures.stated(skirt.low), figures.stated(skirt.high)
    measured = skirt.known and bool(piston.piece)
    limits = (NONE, NONE) if measured else (low, high)
    name = f"skirt {piston.number}{' in hand' if measured else ''}{where}"
    line = lines.setdefault((name, *limits), _Line(limits, NONE))
    line.take(plan.cylinder, low, high, low if measured else "")


def _checked(plan: CylinderPlan) -> Iterator[Fit]:
    """Yield the fits that do not stand in the table of rings."""
    grooves = {ring.groove for ring in plan.rings}
    yield from (fit for fit in plan.fits if fit.fit != "end_gap" or fit.groove not in grooves)


def _take(
    lines: dict[tuple[object, ...], _Line],
    cylinder: str,
    fit: Fit,
    notes: Sequence[str],
    figures: Figures,
) -> None:
    low, high, *_ = figures.fit(guarded(fit))
    _, _, least, most, *_ = figures.fit(fit)
    see = str(notes.index(fit.said_by) + 1) if fit.said_by else NONE
    # A ring over its bore is no reading of its own: grooves with the same limits share a line.
    shared = fit.fit == "ring_seat" and fit.groove is not None
    name = FIT_WORDS[fit.fit] if shared else fit_name(fit.fit, fit.groove, fit.port)
    # One limit is one row, with a plus sign or without.
    line = lines.setdefault((name, _bare(low), _bare(high), see), _Line((low, high), see))
    line.limits = (max(line.limits[0], low, key=len), max(line.limits[1], high, key=len))
    if shared and fit.groove is not None and fit.groove not in line.grooves:
        line.grooves.append(fit.groove)
    line.take(cylinder, least, most)


def _bare(limit: str) -> str:
    return limit.removeprefix("+")


def _named(lines: dict[tuple[object, ...], _Line]) -> Iterator[tuple[tuple[object, ...], _Line]]:
    for key, line in lines.items():
        grooves = ", ".join(map(str, sorted(line.grooves)))
        yield ((f"{key[0]} {grooves}", *key[1:]) if grooves else key), line


def guarded(fit: Fit) -> Fit:
    """Return a fit whose edges have their guard taken off."""
    low = None if fit.low is None else fit.low + fit.guard
    high = None if fit.high is None else fit.high - fit.guard
    return fit.model_copy(update={"low": low, "high": high, "guard": 0})


def _fields(names: Sequence[str], hints: dict[str, str]) -> tuple[Field, ...]:
    return tuple(Field(name in hints, hints.get(name, "")) for name in names)


def _chunks(plans: Sequence[CylinderPlan]) -> Iterator[Sequence[CylinderPlan]]:
    return (plans[start : start + ACROSS] for start in range(0, len(plans), ACROSS))


def ring_tables(plans: Sequence[CylinderPlan], figures: Figures) -> Iterator[Matrix]:
    """Yield the rings of every groove, their gaps, and how far each is filed; none without."""
    for some in _chunks(plans):
        lines: dict[tuple[object, ...], _Line] = {}
        for plan in some:
            gaps = {fit.groove: fit for fit in plan.fits if fit.fit == "end_gap"}
            for ring in plan.rings:
                gap = gaps.get(ring.groove)
                low, high = (NONE, NONE) if gap is None else _permitted(gap, figures)
                filing = f"≤ {figures.up(ring.filing)}" if ring.filing else "no filing"
                key = (ring.groove, ring.marked, low, high)
                line = lines.setdefault(key, _Line((low, high), NONE))
                line.hints[plan.cylinder] = filing
        if not lines:
            continue
        names = tuple(plan.cylinder for plan in some)
        rows = tuple(
            ((str(key[0]), str(key[1]), *line.limits), _fields(names, line.hints))
            for key, line in sorted(lines.items(), key=lambda item: int(str(item[0][0])))
        )
        filed = [_FILED] if any(ring.filing for plan in some for ring in plan.rings) else []
        yield Matrix(
            "Rings: gap when done",
            (
                Column("Groove"),
                Column("Ring", "text"),
                Column("Lowest"),
                Column("Highest"),
            ),
            names,
            rows,
            tuple(filed),
        )


def _permitted(gap: Fit, figures: Figures) -> tuple[str, str]:
    """Return the edges of an end gap in the decimals that a shop reads, to the safe side."""
    held = guarded(gap)
    return figures.permitted(held.low, held.high)


def bore_fields(forms: Sequence[BoreForm], unit: Unit) -> Iterator[Table]:
    """Yield fields for finished bores, place by place as they were read before; `unit` is the
    job's, in which depths were typed.

    Bores that were read at the same depths share a table; many depths run down the page.
    """
    alike: dict[tuple[int, ...], list[BoreForm]] = {}
    for form in forms:
        alike.setdefault(tuple(at.depth for at in form.by_depth), []).append(form)
    for depths, some in alike.items():
        axes = [
            f"{form.cylinder}, {axis_words(axis.angle).removesuffix(' axis')}"
            for form in some
            for axis in form.by_axis
        ]
        down, across, first = axes, [_depth(depth, unit) for depth in depths], "Cylinder, axis"
        if len(depths) > _MOST_ACROSS:
            down, across, first = across, axes, "Depth"
        columns = (Column(first, "word"), *(Column(head, "blank") for head in across))
        rows = tuple((name, *[BLANK] * len(across)) for name in down)
        yield Table("Finished bore, at 20 °C", columns, rows)


def _depth(depth: int, unit: Unit) -> str:
    """Return a depth as it was typed: in the job's unit, or in the one that it is a round figure
    of.
    """
    for each in (unit, "mm", "in"):
        if depth % shop_step(each) == 0:
            figure = Decimal(format_length(depth, each)).normalize()
            return f"{figure:f} {'mm' if each == 'mm' else each}"
    return format_length(depth, unit, symbol=True)


def half_wide(table: Table) -> bool:
    """Tell whether fields for bores go into half the width of a page."""
    return len(table.columns) - 1 <= _MOST_ACROSS
