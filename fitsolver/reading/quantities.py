"""Money, mass, volume and axis: text to integers, exactly, and back.

Every function raises ValueError with what is wrong; the callers add file, row and field.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Final

from fitsolver.base.lengths import TICKS_PER, Unit, floor, parse_length, parse_number
from fitsolver.reading.reading_words import axis_named
from fitsolver.records.readings import PIN, THRUST

Scalar = str | int | Decimal

#: The axes allowed.
AXES: Final = "thrust, pin, or whole degrees from thrust (0 to 359)"
_FULL_TURN: Final = 360
_MASS: Final = {"mg": 1, "g": 1_000, "kg": 1_000_000}
_VOLUME: Final = {
    "cm3": (10 * TICKS_PER["mm"]) ** 3,
    "cc": (10 * TICKS_PER["mm"]) ** 3,
    "l": (100 * TICKS_PER["mm"]) ** 3,
    "in3": TICKS_PER["in"] ** 3,
}
_MEASURE = re.compile(r"\s*([+-]?[\d.]+)\s*([a-zA-Z]+3?)?\s*")
_HUNDREDTHS: Final = 100
_MOST_MONEY: Final = 10**11
#: Beyond this many places a number is junk, and exact arithmetic with it would take for ever.
_MOST_PLACES: Final = 30
_LARGEST_COUNT: Final = 1_000_000
_LARGEST_SUM: Final = 10**11  # hundredths; a larger one would not fit the solver's integers
_LARGEST_MASS: Final = 10**9  # mg, a ton

#: Catalogues repeat most of their figures, and a form is read again with each one that is
#: typed, so a parsed text is remembered.
cached_length = lru_cache(maxsize=1 << 17)(parse_length)


def length_of(value: Scalar, unit: Unit) -> int:
    """Return a length as `parse_length` does, from a cache of texts and decimals."""
    held = isinstance(value, str | Decimal)
    return cached_length(value, unit) if held else parse_length(value, unit)


def sane_decimal(text: str) -> Decimal:
    """Return a decimal with a bounded exponent ('1e999999999' is refused)."""
    value = Decimal(text)
    if value.is_finite() and value and abs(value.adjusted()) > _MOST_PLACES:
        raise ValueError(f"'{text}' is not a number of this trade")
    return value


def parse_money(value: Scalar) -> int:
    """Return an amount in hundredths of the currency; two decimals at most, never negative."""
    hundredths = parse_number(value) * _HUNDREDTHS
    if hundredths.denominator != 1:
        raise ValueError("an amount of money has two decimals at most")
    if hundredths < 0:
        raise ValueError("an amount of money cannot be negative")
    if hundredths > _MOST_MONEY:
        raise ValueError("an amount of money above a thousand million is a slip of the hand")
    if hundredths > _LARGEST_SUM:
        raise ValueError(f"'{value}' is above {_LARGEST_SUM // _HUNDREDTHS}")
    return hundredths.numerator


def parse_mass(value: Scalar) -> int:
    """Return a mass in mg; a bare number is in grams."""
    number, unit = _measure(value, "g", _MASS)
    milligrams = number * _MASS[unit]
    if milligrams.denominator != 1:
        raise ValueError("a mass is given to the milligram at most")
    if milligrams < 0:
        raise ValueError("a mass cannot be negative")
    if milligrams > _LARGEST_MASS:
        raise ValueError(f"'{value}' is above a ton")
    return milligrams.numerator


def parse_volume(value: Scalar) -> int:
    """Return a volume in cubic ticks, rounded down: a limit is never widened by rounding."""
    if not isinstance(value, str):
        raise ValueError("a volume needs its unit")
    number, unit = _measure(value, "", _VOLUME)
    volume = floor(number * _VOLUME[unit])
    if volume <= 0:
        raise ValueError("a volume must be above zero")
    return volume


def parse_count(value: Scalar) -> int:
    """Return a whole number that is not negative."""
    number = parse_number(value)
    if number.denominator != 1 or number < 0:
        raise ValueError(f"'{value}' is not a whole number from 0")
    if number > _LARGEST_COUNT:
        raise ValueError(f"'{value}' is above {_LARGEST_COUNT}")
    return number.numerator


def parse_axis(value: Scalar) -> int:
    """Return an axis as an angle from the thrust axis, 0 to 179 degrees.

    A local size is two-point, so an angle and the one opposite it are the same axis.
    """
    word = str(value).strip().lower()
    named = {"thrust": THRUST, "pin": PIN}.get(axis_named(word) or word)
    if named is not None:
        return named
    text = value.strip().removesuffix("°") if isinstance(value, str) else value
    try:
        angle = parse_count(text)
    except ValueError:
        angle = _FULL_TURN
    if angle >= _FULL_TURN:
        raise ValueError(f"'{value}' is no axis: {AXES}")
    return angle % 180


def money_text(hundredths: int) -> str:
    """Return an amount with two decimals."""
    return f"{Decimal(hundredths).scaleb(-2):f}"


def mass_text(milligrams: int) -> str:
    """Return a mass in grams with its unit, exactly."""
    return f"{_plain(Fraction(milligrams, _MASS['g']))} g"


def volume_text(cubic_ticks: int) -> str:
    """Return a volume in cubic centimetres with its unit, exactly."""
    return f"{_plain(Fraction(cubic_ticks, _VOLUME['cm3']))} cm3"


def _plain(value: Fraction) -> str:
    """Return a fraction whose decimals end as text without exponent or trailing zeros."""
    places = 0
    while (value * 10**places).denominator != 1:
        places += 1
    digits = (value * 10**places).numerator
    return f"{Decimal((0, tuple(int(digit) for digit in str(digits)), -places)):f}"


def _measure(value: Scalar, default: str, units: dict[str, int]) -> tuple[Fraction, str]:
    if not isinstance(value, str):
        return parse_number(value), default
    match = _MEASURE.fullmatch(value)
    if match is None:
        raise ValueError(f"'{value}' is not a number")
    unit = (match[2] or default).lower()
    if not unit:
        raise ValueError(f"'{value}' has no unit; allowed: {', '.join(units)}")
    if unit not in units:
        raise ValueError(f"unknown unit '{unit}'; allowed: {', '.join(units)}")
    return parse_number(match[1]), unit
