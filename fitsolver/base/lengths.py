"""The grid: a length is an integer number of ticks of 10 nm.

1 µm = 100 ticks, 0.0001 in = 254 ticks and 0.00005 in = 127 ticks are all exact
(1 in = 25.4 mm by definition, ISO 80000-3). Text is parsed with exact rational
arithmetic; a float never takes part.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

Ticks = int
Unit = Literal["mm", "um", "in", "thou"]
Side = Literal["down", "up", "nearest"]

TICKS_PER: Final[dict[Unit, int]] = {"mm": 100_000, "um": 100, "in": 2_540_000, "thou": 2_540}
RATIO: Final = 10**9  # windows per unit of bore are integers of one part in 10**9

_SPELLINGS: Final[dict[str, Unit]] = {
    "mm": "mm",
    "um": "um",
    "µm": "um",
    "μm": "um",
    "in": "in",
    '"': "in",
    "inch": "in",
    "thou": "thou",
}
#: What people call a unit where one is named by itself, not behind a figure.
UNIT_NAMES: Final[dict[str, Unit]] = {
    **_SPELLINGS,
    **dict.fromkeys(("inches",), "in"),
    **dict.fromkeys(("millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("micron", "microns", "micrometre", "micrometres", "micrometer"), "um"),
    **dict.fromkeys(("thous", "thousandth", "thousandths"), "thou"),
}
_NUMBER = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+))\s*([^\s\d]*)\s*")
#: Decimals that a workshop reads: 0.001 mm, 0.1 µm, 0.0001 in, 0.1 thou. A figure on paper is a
#: whole number of these steps, so that it can be typed back.
PLACES: Final[dict[Unit, int]] = {"mm": 3, "um": 1, "in": 4, "thou": 1}
#: Decimals of small lengths in the units for them.
_SMALL_PLACES: Final = {"um": 1, "thou": 2}
#: Parts of a tick that a computed length is taken in: 0.00001 nm.
_GUARD: Final = 10**6
#: Half a tenth of a thousandth of an inch, in ticks: shown where a figure is stated in it.
_HALF_TENTH: Final = 127
#: Decimals of a figure that is to be typed back to the tick.
_TYPED: Final[dict[Unit, int]] = {"mm": 5, "um": 2, "in": 5, "thou": 2}
_SYMBOLS: Final[dict[Unit, str]] = {"mm": "mm", "um": "µm", "in": "in", "thou": "thou"}

#: No length in this trade is longer: ten metres. A larger figure is a slip of the hand.
LONGEST: Final = 10_000 * TICKS_PER["mm"]


def parse_unit(text: str) -> Unit:
    """Return the unit spelled by `text`; raise ValueError with what is allowed."""
    unit = _SPELLINGS.get(text.strip().lower())
    if unit is None:
        raise ValueError(f"unknown unit '{text}'; allowed: mm, um (µm), in, thou")
    return unit


def parse_number(value: str | int | Decimal) -> Fraction:
    """Return a plain decimal number exactly; raise ValueError for any other text."""
    number, suffix = _split(value)
    if suffix:
        raise ValueError(f"'{value}' is not a plain number")
    return number


def parse_length(value: str | int | Decimal, unit: Unit) -> Ticks:
    """Return `value` in ticks of 10 nm.

    `value` is a number in `unit`, or text with a unit of its own ("0.3 mm", "12 thou",
    "5 µm"). Raises ValueError when it is no number, not finite, longer than ten metres
    or finer than the grid.
    """
    number, suffix = _split(value)
    ticks = number * TICKS_PER[parse_unit(suffix) if suffix else unit]
    if ticks.denominator != 1:
        raise ValueError(f"'{value}' is finer than the grid of 0.00001 mm (0.00005 in)")
    if abs(ticks) > LONGEST:
        raise ValueError(f"'{value}' is longer than ten metres")
    return ticks.numerator


def parse_ratio(value: str | int | Decimal) -> int:
    """Return a length per unit of bore as an integer of one part in 10**9 (ValueError if finer)."""
    parts = parse_number(value) * RATIO
    if parts.denominator != 1:
        raise ValueError(f"'{value}' is finer than one part in 10^9")
    return parts.numerator


def _split(value: str | int | Decimal) -> tuple[Fraction, str]:
    if isinstance(value, bool) or not isinstance(value, str | int | Decimal):
        raise ValueError(f"'{value}' is not a number")
    if not isinstance(value, str):
        if isinstance(value, Decimal) and not value.is_finite():
            raise ValueError(f"'{value}' is not a finite number")
        return Fraction(value), ""
    match = _NUMBER.fullmatch(value)
    if match is None:
        raise ValueError(f"'{value}' is not a number")
    return Fraction(match[1]), match[2]


def floor(value: Fraction) -> int:
    """Round towards the smaller integer."""
    return value.numerator // value.denominator


def ceil(value: Fraction) -> int:
    """Round towards the larger integer."""
    return -(-value.numerator // value.denominator)


_ROUNDERS: Final[dict[Side, Callable[[Fraction], int]]] = {
    "down": floor,
    "up": ceil,
    "nearest": round,
}


def in_unit(ticks: Ticks, unit: Unit) -> Fraction:
    """Return `ticks` in `unit`, exactly."""
    return Fraction(ticks, TICKS_PER[unit])


def fine_unit(unit: Unit) -> Unit:
    """Return the unit for small lengths beside a unit: thousandths of an inch, or micrometres."""
    return "thou" if unit in ("in", "thou") else "um"


def shop_step(unit: Unit) -> Ticks:
    """Return the step that a workshop reads and orders in, in ticks: the last of its decimals."""
    return TICKS_PER[unit] // int(10 ** PLACES[unit])


def places_of(stated: Iterable[Ticks], unit: Unit) -> int:
    """Return the decimals that lengths are stated in: a workshop's, or one more where it is used.

    In inches one more only for half a tenth of a thousandth.
    """
    places = PLACES[unit]
    finer = _HALF_TENTH if unit in ("in", "thou") else shop_step(unit) // 10
    used = any(each % shop_step(unit) and not each % finer for each in stated)
    return places + used


def fine_symbol(unit: Unit) -> str:
    """Return the symbol of the unit for small lengths beside a unit."""
    return _SYMBOLS[fine_unit(unit)]


def format_length(
    ticks: Ticks,
    unit: Unit = "mm",
    side: Side = "nearest",
    *,
    symbol: bool = False,
    sign: bool = False,
    places: int | None = None,
) -> str:
    """Return `ticks` as a decimal in `unit`, rounded to the workshop's decimals towards `side`.

    `places` overrides the number of decimals. A stated figure (`nearest`) in
    half tenths of a thousandth of an inch is shown in them.

    A lowest permitted size is shown rounded up and a highest one rounded down, so that the
    figure on paper is never looser than the figure in the plan.
    """
    decimals = PLACES[unit] if places is None else places
    if places is None and side == "nearest" and in_half_tenths(ticks, unit):
        decimals += 1
    scaled = in_unit(ticks, unit) * 10**decimals
    rounded = _ROUNDERS[side](scaled)
    text = f"{Decimal(rounded).scaleb(-decimals):{'+' if sign and rounded else ''}f}"
    return f"{text} {_SYMBOLS[unit]}" if symbol else text


def small_length(
    ticks: float, unit: Unit, side: Side = "nearest", *, finer: bool = False, symbol: bool = True
) -> str:
    """Return a small length (ticks, of a computation) in the fine unit beside `unit`.

    In 0.1 µm or 0.01 thousandths of an inch, a quarter of a µm; `finer` for uncertainties and
    paces, which are told in 0.01 µm and 0.001 thousandths.
    """
    fine = fine_unit(unit)
    places = _SMALL_PLACES[fine] + finer
    exact = Fraction(round(ticks * _GUARD), _GUARD) / TICKS_PER[fine]  # noise of a float is none
    rounded = _ROUNDERS[side](exact * 10**places)
    text = f"{Decimal(rounded).scaleb(-places):f}"
    return f"{text} {_SYMBOLS[fine]}" if symbol else text


def in_half_tenths(ticks: Ticks, unit: Unit) -> bool:
    """Tell whether a length in inches has half a tenth of a thousandth, lost in four decimals."""
    return unit in ("in", "thou") and ticks % (2 * _HALF_TENTH) == _HALF_TENTH


def exact_text(ticks: Ticks, unit: Unit = "mm") -> str:
    """Return `ticks` as text that `parse_length` reads back to the same ticks.

    In mm and µm the decimals always end. In inches they do not (1 tick is 1/2540000 in):
    where the length has no short decimal in `unit`, the text is in mm with its unit.
    """
    for decimals in range(9):
        scaled = in_unit(ticks, unit) * 10**decimals
        if scaled.denominator == 1:
            return f"{Decimal(scaled.numerator).scaleb(-decimals):f}"
    return f"{exact_text(ticks, 'mm')} mm"


def typed(ticks: Ticks, unit: Unit = "mm") -> str:
    """Return `ticks` with a unit as text that `parse_length` reads back to the same ticks.

    With the workshop's decimals, or as many more as it takes; in inches where the decimals end
    within the places that a drawing has (0.00001 in, 0.01 thou), else in mm.
    """
    for places in range(PLACES[unit], _TYPED[unit] + 1):
        scaled = in_unit(ticks, unit) * 10**places
        if scaled.denominator == 1:
            return f"{Decimal(scaled.numerator).scaleb(-places):f} {_SYMBOLS[unit]}"
    return typed(ticks, "mm")
