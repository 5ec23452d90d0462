"""Rings and gaskets of a plan: the place of each, and the gap to file to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import NONE, Figures
from fitsolver.records.told import names_together
from fitsolver.reporting.layout import Columns, heading
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.plan import ChosenRing, CylinderPlan

_RINGS: Final[Columns] = (
    ("\ncylinder", "text"),
    ("\ngroove", "word"),
    ("\nring", "text"),
    ("file the\ngap to", "figure"),
    ("file off\nat most", "figure"),
)
_GASKETS: Final[Columns] = (
    ("cylinder", "text"),
    ("place", "word"),
    ("gaskets", "text"),
)


def ring_table(plans: Sequence[CylinderPlan], figures: Figures) -> list[RenderableType]:
    """Return rings by groove and gaskets by place, what is alike told together."""
    rings = _together((plan.cylinder, cells) for plan in plans for cells in _rings(plan, figures))
    gaskets = _together(
        (plan.cylinder, (item.place, f"{item.count} x {item.number}"))
        for plan in plans
        for item in plan.gaskets
    )
    parts: list[RenderableType] = []
    if rings:
        parts += [heading("Rings"), table(_RINGS, rings)]
    if gaskets:
        parts += [heading("Gaskets"), table(_GASKETS, gaskets)]
    return parts


def _rings(plan: CylinderPlan, figures: Figures) -> list[tuple[str, ...]]:
    """Return the rings of a cylinder, grooves that are alike in one row."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for ring in plan.rings:
        groove, *cells = _ring(plan, ring, figures)
        alike.setdefault(tuple(cells), []).append(groove)
    return [(names_together(grooves), *cells) for cells, grooves in alike.items()]


def _ring(plan: CylinderPlan, ring: ChosenRing, figures: Figures) -> tuple[str, ...]:
    if not ring.filing:
        return str(ring.groove), ring.marked, NONE, NONE
    return str(ring.groove), ring.marked, gap_to_file(plan, ring, figures), figures.up(ring.filing)


def gap_to_file(plan: CylinderPlan, ring: ChosenRing, figures: Figures) -> str:
    """Return the gap to file to: the least one permitted at the smallest size of the bore."""
    gaps = [f.least for f in plan.fits if f.fit == "end_gap" and f.groove == ring.groove]
    return figures.up(gaps[0]) if gaps else NONE


def _together(rows: Iterable[tuple[str, tuple[str, ...]]]) -> list[tuple[str, ...]]:
    """Return rows behind the cylinders that they hold for."""
    found: dict[tuple[str, ...], list[str]] = {}
    for name, cells in rows:
        found.setdefault(cells, []).append(name)
    return [(names_together(names), *cells) for cells, names in found.items()]
