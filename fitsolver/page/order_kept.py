"""The order kept with a job: what was ordered, and what the plan of now needs beyond it."""

from __future__ import annotations

from collections import Counter
from contextlib import suppress
from typing import NamedTuple

from pydantic import ValidationError

from fitsolver.base.errors import InputError
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.figures import money
from fitsolver.records.plan import Answer, Plan
from fitsolver.records.told import order_rows
from fitsolver.usecases.parts_arrived import bought


class OrderKept(NamedTuple):
    """The plan that parts were ordered by, with its order list and sums as a table shows them."""

    plan: Plan
    rows: tuple[tuple[str, ...], ...]
    price: str
    days: int

    def differs(self, now: Plan | None) -> bool:
        """Tell whether a plan of now orders other parts, or at another sum."""
        return now is not None and (
            self.rows != tuple(order_rows(now))
            or (self.plan.price, self.days) != (now.price, now.days)
        )

    def still_to_order(self, now: Plan, catalogue: Catalogue | None) -> int:
        """Return how many parts a plan of now buys that were not ordered."""
        if catalogue is not None:
            with suppress(InputError):  # a kit that the catalogue does not hold any more
                return (bought(now, catalogue) - bought(self.plan, catalogue)).total()
        return (_lines(now) - _lines(self.plan)).total()


def order_kept(document: str | None) -> OrderKept | None:
    """Return the order in a kept document; None where there is none to read."""
    if document is None:
        return None
    try:
        answer = Answer.model_validate_json(document)
    except ValidationError:
        return None
    plan = answer.plan
    if plan is None:
        return None
    return OrderKept(plan, tuple(order_rows(plan)), money(plan.price, answer.currency), plan.days)


def _lines(plan: Plan) -> Counter[str]:
    found: Counter[str] = Counter()
    for line in plan.order:
        if line.source != "in hand":
            found[line.number] += line.count
    return found
