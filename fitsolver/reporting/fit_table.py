"""Every fit of a cylinder against its window, with the slack on both sides.

A number behind a fit is the groove of its ring.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import NONE, Figures
from fitsolver.records.words import fit_name
from fitsolver.reporting.layout import Columns, indented, pairs
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.base import FitName
    from fitsolver.records.plan import Fit

_COLUMNS: Final[Columns] = (
    ("fit", "text"),
    ("window\nlowest", "figure"),
    ("\nhighest", "figure"),
    ("expected\nleast", "figure"),
    ("\nmost", "figure"),
    ("slack\nbelow", "figure"),
    ("\nabove", "figure"),
    ("\nsee", "word"),
)


def fit_table(
    fits: Sequence[Fit],
    figures: Figures,
    open_fits: Collection[tuple[FitName, int | None, str]] = (),
) -> list[RenderableType]:
    """Return the table of the fits, and the notes it refers to by letter: source and guard.

    A fit that does not hold is named as missed, except the `open_fits` (fit, groove, port).
    """
    notes = dict.fromkeys(note for fit in fits if (note := _note(fit, figures)))
    letters = {note: _mark(place) for place, note in enumerate(notes)}
    rows = [
        (_label(fit, figures), *figures.fit(fit), letters.get(_note(fit, figures), NONE))
        for fit in fits
    ]
    parts: list[RenderableType] = [table(_COLUMNS, rows)]
    if letters:
        parts.append(pairs((f" {letter}", note) for note, letter in letters.items()))
    judged = [fit for fit in fits if (fit.fit, fit.groove, fit.port) not in open_fits]
    missed = [_name(fit) for fit in judged if not fit.holds]
    if missed:
        parts.append(indented(f"MISSED: {', '.join(missed)}", "bold red"))
    return parts


def _note(fit: Fit, figures: Figures) -> str:
    """Return the source of the window, and its guard for measurement uncertainty."""
    windowed = fit.low is not None or fit.high is not None
    said = [fit.said_by] if fit.said_by else []
    if fit.guard:
        said.append(f"measuring allowance {figures.up(fit.guard)} on each side")
    if fit.service and windowed:
        said.append("limit for kept parts")
    if not windowed:
        said.append("no window given: nothing was asked")
    return "; ".join(said)


def _label(fit: Fit, figures: Figures) -> str:
    return f"{_name(fit)}\n  filed {figures.up(fit.filed)}" if fit.filed else _name(fit)


def _name(fit: Fit) -> str:
    return fit_name(fit.fit, fit.groove, fit.port)


def _mark(place: int) -> str:
    """Return a to z, then aa, ab, ..."""
    first, last = divmod(place, 26)
    return (_mark(first - 1) if first else "") + chr(ord("a") + last)
