"""Windows tied to another one: the second gap is 1.25 times the first."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from fitsolver.base.lengths import ceil, floor, parse_number
from fitsolver.reading.sections import Section
from fitsolver.records.windows import GROOVE_FITS, Window, find_window

#: A window is tied by a factor up to this.
MOST_TIMES: Final = 10
_PLACES: Final = 4
_LOWEST: Final = ("low", "service_low")
TIMES: Final = f"a number above 0, at most {MOST_TIMES}, with {_PLACES} decimals at most"


def tied_window(section: Section, window: Window, others: Sequence[Window]) -> Window:
    """Return a window whose edges are a multiple of those of the same fit in another groove.

    `others` are the windows that state edges of their own. Raises InputError for a fit that no
    groove has, a groove without a window and an invalid factor.
    """
    if window.fit not in GROOVE_FITS or "port" in section:
        raise section.error(
            "times", f"a window for {window.fit} has no groove", allowed=", ".join(GROOVE_FITS)
        )
    if window.per_bore:
        raise section.error("per_bore", "this window is as the one that it is tied to")
    factor = section.need("times", section.parsed("times", times, TIMES), TIMES)
    groove = section.need("of_groove", section.count("of_groove", least=1), "a groove, from 1")
    of = find_window(others, window.fit, groove)
    if of is None or window.groove in (None, groove):
        raise section.error(
            "of_groove",
            "the window is tied to itself" if of is not None else "this groove has no window",
            allowed="another groove, whose window states its edges",
        )
    words = f"{plain(factor)} x groove {groove}" + (f": {of.source}" if of.source else "")
    return multiplied(of, factor).model_copy(
        update={
            "groove": window.groove,
            "guard": window.guard if "guard" in section else of.guard,
            "source": window.source or words,
            "owner": window.owner,
            "stands": window.stands,
            "yields": window.yields,
        }
    )


def multiplied(window: Window, factor: Fraction) -> Window:
    """Return a window with its edges multiplied by a factor, rounded inwards."""
    edges = {
        key: _times(getattr(window, key), factor, up=key in _LOWEST)
        for key in (*_LOWEST, "high", "service_high")
    }
    return window.model_copy(update=edges)


def _times(edge: int | None, factor: Fraction, *, up: bool) -> int | None:
    if edge is None:
        return None
    return ceil(edge * factor) if up else floor(edge * factor)


def times(value: Any) -> Fraction:
    """Return a factor; raises ValueError for an invalid one."""
    factor = parse_number(value)
    if not 0 < factor <= MOST_TIMES:
        raise ValueError("this factor is out of range")
    if (factor * 10**_PLACES) % 1:
        raise ValueError(f"this factor has more than {_PLACES} decimals")
    return factor


def plain(factor: Fraction) -> str:
    """Return a factor as a decimal."""
    return f"{(Decimal(factor.numerator) / Decimal(factor.denominator)).normalize():f}"
