"""Temperatures, expansions, shares and factors: text to integers, exactly, and back.

Every function raises ValueError with what is wrong; the callers add file, section and key.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Final

from fitsolver.base.lengths import parse_number
from fitsolver.reading.quantities import Scalar, sane_decimal

_THOUSAND: Final = 1_000
_COLDEST, _HOTTEST = -50, 300  # °C
_MOST_KELVIN: Final = 20
_LARGEST_FACTOR: Final = 10
_EXPANSION_PLACES: Final = 9
#: No solid of this trade expands more (aluminium 23e-6, plastics for handles up to 100e-6).
_MOST_EXPANSION: Final = Fraction(1, 10_000)
#: A figure this large was written without its "e-6".
_WITHOUT_POWER: Final = Fraction(1, 10)
_FAHRENHEIT: Final = Fraction(5, 9)
_WITH_UNIT: Final = re.compile(r"\s*([+-]?[\d.]+)\s*(?:°\s*)?([a-zA-Z]+)\s*")
_PERCENT: Final = re.compile(r"\s*([\d.]+)\s*%\s*")


def parse_temperature(value: Scalar, warmest: int) -> int:
    """Return a temperature in thousandths of 1 °C; a bare number is in °C.

    A text may carry its unit: "72 °F" (or "72 F") is converted exactly and rounded once. A
    bare number above `warmest` (°C) is not believed: it may be °F.
    """
    number, unit = _measure(value)
    if unit == "":
        if number > warmest:
            raise ValueError(
                f'{value}: is this °F? write "{value} °F", or "{value} °C" if it is meant'
            )
        unit = "c"
    if unit not in ("c", "f"):
        raise ValueError(f"'{value}' has no unit of temperature")
    degrees = number if unit == "c" else (number - 32) * _FAHRENHEIT
    if not _COLDEST <= degrees <= _HOTTEST:
        raise ValueError(f"no part is measured at {float(degrees):.0f} °C")
    thousandths = degrees * _THOUSAND
    if unit == "c" and thousandths.denominator != 1:
        raise ValueError(f"'{value}' is finer than a thousandth of 1 °C")
    return round(thousandths)


def parse_kelvin(value: Scalar) -> int:
    """Return a difference of temperatures, above zero, in thousandths of 1 K.

    A bare number is in kelvin; a text may carry K, °C or °F (a °F is 5/9 K, rounded once).
    """
    number, unit = _measure(value)
    if unit not in ("", "k", "c", "f"):
        raise ValueError(f"'{value}' has no unit of temperature")
    kelvin = number * (_FAHRENHEIT if unit == "f" else 1)
    _above_zero(value, kelvin)
    thousandths = round(kelvin * _THOUSAND)
    if kelvin > _MOST_KELVIN or thousandths == 0:
        raise ValueError(f"'{value}' is no uncertainty of a temperature")
    return thousandths


def parse_expansion(value: Scalar) -> int:
    """Return a linear expansion in 10**-9 per kelvin: "11.5e-6" is 11500."""
    number = _power(value) if isinstance(value, str) else parse_number(value)
    _above_zero(value, number)
    if number >= _WITHOUT_POWER:
        raise ValueError(f'this is per kelvin, not millionths: is "{value}e-6" meant?')
    parts = number * 10**_EXPANSION_PLACES
    if number > _MOST_EXPANSION:
        raise ValueError(f"no material expands by {value} per kelvin")
    if parts.denominator != 1:
        raise ValueError(f"'{value}' is finer than 10^-9 per kelvin")
    return parts.numerator


def parse_share(value: Scalar) -> int:
    """Return a share above zero, at most the whole, in thousandths: "10 %" and 0.1 are 100."""
    share = _fraction_of_one(value)
    _above_zero(value, share)
    if share > 1:
        raise ValueError(f'{value} is more than the whole: is "{value} %" meant?')
    return _whole(value, share * _THOUSAND, "a tenth of a percent")


def parse_factor(value: Scalar) -> int:
    """Return a factor above zero, at most ten, in thousandths: 1.645 is 1645."""
    number = parse_number(value)
    _above_zero(value, number)
    if number > _LARGEST_FACTOR:
        raise ValueError(f"{value} is above {_LARGEST_FACTOR}")
    return _whole(value, number * _THOUSAND, "a thousandth")


def parse_probability(value: Scalar) -> int:
    """Return a probability of a half or more, below certainty, in millionths: 0.95 is 950000."""
    number = _fraction_of_one(value)
    if number > 1:
        raise ValueError(f'{value} is more than certain: is "{value} %" meant?')
    if not Fraction(1, 2) <= number < 1:
        raise ValueError(f"'{value}' is no probability that can be wanted")
    return _whole(value, number * 10**6, "a millionth")


def temperature_text(thousandths: int) -> str:
    """Return a temperature as text with its unit, which `parse_temperature` reads back."""
    return f"{thousandths_text(thousandths)} °C"


def thousandths_text(thousandths: int) -> str:
    """Return whole thousandths as an exact decimal."""
    return f"{Decimal(thousandths).scaleb(-3).normalize():f}"


def expansion_text(parts: int) -> str:
    """Return an expansion (10**-9 per kelvin) as text, 11500 as "11.5e-6"."""
    return f"{Decimal(parts).scaleb(-3).normalize():f}e-6"


def _measure(value: Scalar) -> tuple[Fraction, str]:
    """Return number and unit (its first letter, small; "" without one)."""
    match = _WITH_UNIT.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        return parse_number(value), ""
    unit = match[2].lower()
    return parse_number(match[1]), unit if len(unit) == 1 else "?"


def _power(text: str) -> Fraction:
    """Return a decimal that may have an exponent."""
    try:
        number = sane_decimal(text.strip())
    except ArithmeticError as error:
        raise ValueError(f"'{text}' is not a plain number") from error
    return parse_number(number)


def _fraction_of_one(value: Scalar) -> Fraction:
    match = _PERCENT.fullmatch(value) if isinstance(value, str) else None
    return parse_number(match[1]) / 100 if match else parse_number(value)


def _above_zero(value: Scalar, number: Fraction) -> None:
    if number <= 0:
        raise ValueError(f"'{value}' is not above zero")


def _whole(value: Scalar, number: Fraction, finest: str) -> int:
    if number.denominator != 1:
        raise ValueError(f"'{value}' is finer than {finest}")
    return number.numerator
