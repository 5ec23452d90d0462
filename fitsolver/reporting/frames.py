"""Views of an answer as pandas frames, for reading and plotting; lengths are floats in a unit.

A column of lengths carries its unit in its name, as `least [mm]`. What is not known is NaN.
A view without rows has its columns all the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final

from fitsolver.base.lengths import Unit, in_unit
from fitsolver.records.base import THOUSANDTHS
from fitsolver.records.form import BoreForm
from fitsolver.records.plan import Fit, Plan
from fitsolver.records.verdicts import FitsAnswer

if TYPE_CHECKING:
    import pandas as pd

_FIT_LENGTHS: Final = ("low", "high", "guard", "least", "most", "slack_low", "slack_high", "filed")
_CYLINDER_LENGTHS: Final = (
    "half_width",
    "finish_small",
    "finish_large",
    "lowest",
    "highest",
    "bore_low",
    "bore_high",
    "removal",
    "stock_worst",
    "stock_tightest",
    "left_to_limit",
)
_FORM_LENGTHS: Final = ("smallest", "largest", "out_of_round", "taper", "wear", "port_excess")


def fits_frame(plan: Plan, unit: Unit = "mm") -> pd.DataFrame:
    """Return one row a fit: cylinder, fit, groove, window, expected values, slack (`unit`).

    `source` is the sheet that the window names; `owner` is who states it: job, family sheet, shop.
    `unit` does not apply to port timing (degrees of crank) and compression ratio (a plain number).
    """
    words = ("cylinder", "fit", "groove", "port", "part", "service", "source", "owner")
    rows = [
        (
            item.cylinder,
            fit.fit,
            fit.groove,
            fit.port,
            fit.part,
            fit.service,
            fit.source,
            fit.owner,
            *(_thousandths(fit) if fit.fit in THOUSANDTHS else _lengths(fit, _FIT_LENGTHS, unit)),
        )
        for item in plan.cylinders
        for fit in item.fits
    ]
    return _frame(rows, (*words, *_named(_FIT_LENGTHS, unit)))


def order_frame(plan: Plan) -> pd.DataFrame:
    """Return the order list, one row a line; prices in the currency."""
    columns = ("number", "what", "count", "from", "price_each", "price", "days")
    rows = [
        (
            line.number,
            line.what,
            line.count,
            line.source,
            line.price_each / 100,
            line.price / 100,
            line.days,
        )
        for line in plan.order
    ]
    return _frame(rows, columns)


def cylinders_frame(plan: Plan, unit: Unit = "mm") -> pd.DataFrame:
    """Return one row a cylinder: parts, route, finish, stock and metal left (`unit`)."""
    words = ("cylinder", "piston", "rings", "route")
    rows = [
        (
            item.cylinder,
            item.piston.number,
            " ".join(ring.number for ring in item.rings),
            item.route,
            *_lengths(item, _CYLINDER_LENGTHS, unit),
        )
        for item in plan.cylinders
    ]
    return _frame(rows, (*words, *_named(_CYLINDER_LENGTHS, unit)))


def forms_frame(forms: Iterable[BoreForm], unit: Unit = "mm") -> pd.DataFrame:
    """Return one row a bore: extremes, out-of-round, taper, wear (`unit`) and shape."""
    rows = [(form.cylinder, form.shape, *_lengths(form, _FORM_LENGTHS, unit)) for form in forms]
    return _frame(rows, ("cylinder", "shape", *_named(_FORM_LENGTHS, unit)))


def sets_frame(answer: FitsAnswer, unit: Unit = "mm") -> pd.DataFrame:
    """Return one row a part set, best first; the worst margin in `unit`."""
    words = ("cylinder", "holds", "kit", "piston", "rings", "gaskets", "price")
    rows = [
        (
            item.cylinder,
            item.holds,
            item.kit,
            item.piston,
            " ".join(item.rings),
            " ".join(item.gaskets),
            None if item.price is None else item.price / 100,
            *_lengths(item, ("worst",), unit),
        )
        for item in answer.sets
    ]
    return _frame(rows, (*words, *_named(("worst",), unit)))


def _lengths(record: object, names: Iterable[str], unit: Unit) -> tuple[float | None, ...]:
    values = (getattr(record, name) for name in names)
    return tuple(None if ticks is None else float(in_unit(ticks, unit)) for ticks in values)


def _thousandths(fit: Fit) -> tuple[float | None, ...]:
    values = (getattr(fit, name) for name in _FIT_LENGTHS)
    return tuple(None if value is None else value / 1000 for value in values)


def _named(names: Iterable[str], unit: Unit) -> tuple[str, ...]:
    return tuple(f"{name} [{unit}]" for name in names)


def _frame(rows: Sequence[tuple[object, ...]], columns: tuple[str, ...]) -> pd.DataFrame:
    import pandas as pd

    return pd.DataFrame(list(rows), columns=list(columns))
