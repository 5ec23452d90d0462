"""Doubtful windows: a slip of ten times, a sign, or figures of another unit.

The bounds are shares of the bore, or lengths, common practice without a source; docs/doubts.md
states each. What the maker of a part states is judged with its row.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from statistics import median
from typing import Final, NamedTuple

from fitsolver.base.lengths import TICKS_PER
from fitsolver.doubts.look import Look
from fitsolver.doubts.rows_pistons import CLEARANCE_MOST, OVER_MOST
from fitsolver.records.base import FitName
from fitsolver.records.doubts import Doubt
from fitsolver.records.floors import FLOORS
from fitsolver.records.windows import Window
from fitsolver.records.words import fit_name


class Usual(NamedTuple):
    """What is usual for the highest value of a window: shares of the bore, else ticks.

    `apart`: at most so many times the lowest value, where that is above 0.
    """

    least: Fraction | int
    most: Fraction | int
    apart: int | None = None


_MM: Final = TICKS_PER["mm"]
USUAL: Final[dict[FitName, Usual]] = {
    "clearance": Usual(Fraction(1, 8000), Fraction(1, CLEARANCE_MOST), 10),
    "end_gap": Usual(Fraction(1, 1000), Fraction(1, 40), 10),
    "side_clearance": Usual(_MM // 125, 2 * _MM // 5),
    "squish": Usual(_MM // 5, 5 * _MM, 10),
    "out_of_round": Usual(0, Fraction(1, 500)),
    "taper": Usual(0, Fraction(1, 500)),
}


def doubtful_windows(look: Look) -> Iterator[Doubt]:
    """Yield the doubtful windows of a job and of its cylinders, the family's with them."""
    bore = _bore(look)
    if bore is None:
        return
    yield from _in(look, look.job.windows, bore, "", "job")
    for cylinder in look.job.cylinders:
        where = f"cylinder '{cylinder.name}'"
        yield from _in(look, cylinder.windows, bore, f"{cylinder.name}/", where)


def _bore(look: Look) -> int | None:
    """Return the family's standard bore, else the middle of what was read (ticks)."""
    if look.catalogue is not None:
        return look.catalogue.standard_bore
    sizes = [reading.size for one in look.job.cylinders for reading in one.readings]
    return round(median(sizes)) if sizes else None


def _in(
    look: Look, windows: Iterable[Window], bore: int, owner: str, where: str
) -> Iterator[Doubt]:
    for window in windows:
        usual = USUAL.get(window.fit)
        if usual is None or window.part:
            continue
        odd = _odd(look, window, usual, bore)
        if odd:
            groove = "" if window.groove is None else f"/{window.groove}"
            stands = f"{window.stands}: " if window.stands else ""
            field, expected = odd
            yield look.doubt(
                f"window {owner}{window.fit}{groove}",
                where,
                f"window.{window.fit}.{field}",
                f"{stands}found {_said(look, window, bore)}, expected {expected}",
            )


def _odd(look: Look, window: Window, usual: Usual, bore: int) -> tuple[str, str] | None:
    """Return the field of a window that is out of line, and what is expected."""
    low, high = window.stated(bore)
    _, kept = window.stated(bore, kept=True)
    at = f"at a bore of {look.show(bore)}"
    if low is not None and low < _least_low(look, window.fit, bore):
        why = "only a coated skirt goes below 0" if window.fit == "clearance" else "it is a gap"
        return "low", f"0 or more: {why}"
    top = max((edge for edge in (low, high, kept) if edge is not None), default=0)
    if top > _ticks(usual.most, bore):
        return "high", f"at most {_bound(look, usual.most, bore)} {at}"
    if high is not None and high < _ticks(usual.least, bore):
        return "high", f"a highest value of at least {_bound(look, usual.least, bore)} {at}"
    if usual.apart and low is not None and high is not None and high > usual.apart * low > 0:
        return "low", f"a highest value of at most {usual.apart} times the lowest"
    return None


def _least_low(look: Look, fit: FitName, bore: int) -> int:
    """Return the least lowest value of a window that means anything (ticks)."""
    if fit != "clearance":
        return 0 if fit in FLOORS else -bore
    coated = look.catalogue is not None and any(
        piston.skirt.high > piston.nominal_bore for piston in look.catalogue.pistons
    )
    return -(bore // OVER_MOST) if coated else 0  # larger than its bore by so much at most


def _said(look: Look, window: Window, bore: int) -> str:
    """Return a window as it is stated: 'end gap 2: 0.200 to 0.450 mm'."""
    name = fit_name(window.fit, window.groove)
    low, high = window.stated(bore)
    _, kept = window.stated(bore, kept=True)
    edges = [
        look.plain(low) if low is not None else "",
        look.show(high) if high is not None else "",
    ]
    words = " to ".join(filter(None, edges)) if all(edges) else ""
    words = words or (f"at least {look.show(low)}" if low is not None else f"at most {edges[1]}")
    used = "" if kept is None or kept == high else f", {look.show(kept)} for a part that is kept"
    return f"{name}: {words}{used}"


def _ticks(bound: Fraction | int, bore: int) -> Fraction | int:
    return bound * bore if isinstance(bound, Fraction) else bound


def _bound(look: Look, bound: Fraction | int, bore: int) -> str:
    return look.show(round(_ticks(bound, bore)))
