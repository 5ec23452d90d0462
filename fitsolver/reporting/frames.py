"""Views of an answer as pandas frames, for reading and plotting; lengths are floats in a unit."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from fitsolver.lengths import Unit, in_unit
from fitsolver.records.form import BoreForm
from fitsolver.records.plan import Plan
from fitsolver.records.verdicts import FitsAnswer

if TYPE_CHECKING:
    import pandas as pd


def fits_frame(plan: Plan, unit: Unit = "mm") -> pd.DataFrame:
    """Return one row a fit: cylinder, fit, groove, window, expected values, slack (`unit`)."""
    rows = [
        {
            "cylinder": item.cylinder,
            "fit": fit.fit,
            "groove": fit.groove,
            "part": fit.part,
            **_lengths(
                unit,
                low=fit.low,
                high=fit.high,
                guard=fit.guard,
                least=fit.least,
                most=fit.most,
                slack_low=fit.slack_low,
                slack_high=fit.slack_high,
                filed=fit.filed,
            ),
            "service": fit.service,
            "source": fit.source,
        }
        for item in plan.cylinders
        for fit in item.fits
    ]
    return _frame(rows)


def order_frame(plan: Plan) -> pd.DataFrame:
    """Return the order list, one row a line; prices in the currency."""
    rows = [
        {
            "number": line.number,
            "what": line.what,
            "count": line.count,
            "from": line.source,
            "price_each": line.price_each / 100,
            "price": line.price / 100,
            "days": line.days,
        }
        for line in plan.order
    ]
    return _frame(rows)


def cylinders_frame(plan: Plan, unit: Unit = "mm") -> pd.DataFrame:
    """Return one row a cylinder: parts, route, finish, stock and what is left (`unit`)."""
    rows = [
        {
            "cylinder": item.cylinder,
            "piston": item.piston.number,
            "rings": " ".join(ring.number for ring in item.rings),
            "route": item.route,
            **_lengths(
                unit,
                finish_small=item.finish_small,
                finish_large=item.finish_large,
                lowest=item.lowest,
                highest=item.highest,
                bore_low=item.bore_low,
                bore_high=item.bore_high,
                removal=item.removal,
                stock_worst=item.stock_worst,
                stock_tightest=item.stock_tightest,
                left_to_limit=item.left_to_limit,
            ),
        }
        for item in plan.cylinders
    ]
    return _frame(rows)


def forms_frame(forms: Iterable[BoreForm], unit: Unit = "mm") -> pd.DataFrame:
    """Return one row a bore: extremes, out-of-round, taper, wear (`unit`) and shape."""
    rows = [
        {
            "cylinder": form.cylinder,
            "shape": form.shape,
            **_lengths(
                unit,
                smallest=form.smallest,
                largest=form.largest,
                out_of_round=form.out_of_round,
                taper=form.taper,
                wear=form.wear,
                port_excess=form.port_excess,
            ),
        }
        for form in forms
    ]
    return _frame(rows)


def sets_frame(answer: FitsAnswer, unit: Unit = "mm") -> pd.DataFrame:
    """Return one row a part set, best first; the worst margin in `unit`."""
    rows = [
        {
            "cylinder": item.cylinder,
            "holds": item.holds,
            "kit": item.kit,
            "piston": item.piston,
            "rings": " ".join(item.rings),
            "gaskets": " ".join(item.gaskets),
            **_lengths(unit, worst=item.worst),
            "price": None if item.price is None else item.price / 100,
        }
        for item in answer.sets
    ]
    return _frame(rows)


def _lengths(unit: Unit, **values: int | None) -> dict[str, float | None]:
    """Name every length with its unit, as `least [mm]`."""
    return {
        f"{name} [{unit}]": None if ticks is None else float(in_unit(ticks, unit))
        for name, ticks in values.items()
    }


def _frame(rows: list[dict[str, Any]]) -> pd.DataFrame:
    import pandas as pd

    return pd.DataFrame(rows)
