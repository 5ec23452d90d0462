"""Part numbers that encode another size than their row, where the other numbers match."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from fitsolver.base.lengths import TICKS_PER
from fitsolver.doubts.finding import Finding, shower
from fitsolver.doubts.sisters import FEWEST
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.review import Table

_DIGITS: Final = 3  # a size in a number: hundredths of a mm or thousandths of an inch


class _Sized(NamedTuple):
    number: str
    size: int  # ticks
    codes: tuple[str, ...]  # runs of three digits or more


def names(catalogue: Catalogue) -> Iterator[Finding]:
    """Yield rows whose number names another size, where two thirds of the table match.

    A size is named by its oversize, or thickness, in hundredths of a millimetre or thousandths
    of an inch, three digits. A deviation shared by two numbers counts as intended.
    """
    standard = catalogue.standard_bore
    tables: tuple[tuple[Table, str, list[tuple[str, int]]], ...] = (
        ("pistons", "oversize", [(part.number, part.oversize) for part in catalogue.pistons]),
        (
            "rings",
            "gauge_diameter",
            [(part.number, part.gauge_diameter - standard) for part in catalogue.rings],
        ),
        ("gaskets", "thickness", [(part.number, part.thickness) for part in catalogue.gaskets]),
    )
    inches = catalogue.unit in ("in", "thou")
    per = TICKS_PER["thou"] if inches else TICKS_PER["mm"] // 100
    show = shower(catalogue.unit)
    for table, field, sizes in tables:
        rows = [_Sized(n, size, tuple(re.findall(rf"\d{{{_DIGITS},}}", n))) for n, size in sizes]
        for row, named in _misnamed(rows, per, 1 if table == "gaskets" else FEWEST):
            over = " over standard" if table != "gaskets" else ""
            text = f"{show(row.size)}{over}; {show(named)} is expected by the number, as the other "
            yield Finding(table, row.number, field, text + "numbers of the table name their sizes")


def _misnamed(rows: Sequence[_Sized], per: int, fewest: int) -> Iterator[tuple[_Sized, int]]:
    """Yield rows with the size (ticks) that their number names instead of their own.

    At least `fewest` other rows must name their own size.
    """
    wrong = [row for row in rows if f"{_rounded(row.size, per):0{_DIGITS}d}" not in row.codes]
    right = len(rows) - len(wrong)
    if right < fewest or 3 * right < 2 * (len(rows) - 1):
        return
    shifts = {
        row.number: [row.size - int(code) * per for code in row.codes if len(code) == _DIGITS]
        for row in wrong
    }
    shared = Counter(shift for each in shifts.values() for shift in set(each))
    for row in wrong:
        own = shifts[row.number]
        if len(own) == 1 and shared[own[0]] == 1:
            yield row, row.size - own[0]


def _rounded(size: int, per: int) -> int:
    return round(size / per)
