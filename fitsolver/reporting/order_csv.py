"""The order list as CSV, safe to open in a spreadsheet."""

from __future__ import annotations

import csv
from io import StringIO
from typing import Final

from fitsolver.records.amounts import amount
from fitsolver.records.plan import Plan

COLUMNS: Final = ("number", "what", "count", "from", "price_each", "price", "days")
_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")


def order_csv(plan: Plan) -> str:
    """Return the order list, one line an article and source; amounts with two decimals.

    Lines end in a line feed. Money is in the catalogue's currency; days is 0 where nothing
    is waited for. A part number that a spreadsheet would take for a formula is led by an
    apostrophe.
    """
    text = StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    for line in plan.order:
        writer.writerow(
            [
                _plain(line.number),
                line.what,
                line.count,
                line.source,
                amount(line.price_each),
                amount(line.price),
                line.days,
            ]
        )
    return text.getvalue()


def _plain(number: str) -> str:
    return f"'{number}" if number.startswith(_FORMULA) else number
