"""Reads figures off a printed report, and rounds as a report must: a code path of its own."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal, localcontext
from fractions import Fraction
from typing import Final

from fitsolver.base.lengths import Unit

#: Ticks of 10 nm in a unit, and the decimals that a workshop reads.
TICKS: Final[dict[Unit, int]] = {"mm": 100_000, "um": 100, "in": 2_540_000, "thou": 2_540}
PLACES: Final[dict[Unit, int]] = {"mm": 3, "um": 1, "in": 4, "thou": 1}
#: The workshop's finest step in ticks: 1 µm, 0.1 µm, 0.0001 in, 0.1 thou.
STEPS: Final[dict[Unit, int]] = {"mm": 100, "um": 10, "in": 254, "thou": 254}
_ROUNDING: Final = {"down": ROUND_FLOOR, "up": ROUND_CEILING, "near": ROUND_HALF_EVEN}


def paper(ticks: int, unit: Unit, side: str, sign: bool = False) -> str:
    """Write a length as it must stand on paper."""
    places, step = PLACES[unit], STEPS[unit]
    if side == "near" and unit in ("in", "thou") and ticks % 254 == 127:
        places, step = places + 1, 127  # stated in half tenths of a thousandth
    with localcontext() as context:
        context.prec = 60
        steps = (Decimal(ticks) / step).quantize(Decimal(1), _ROUNDING[side])
        exact = steps * step / Decimal(TICKS[unit])
        shown = exact.quantize(Decimal(1).scaleb(-places))
    shown = shown if shown else abs(shown)  # no minus zero
    return f"{shown:+f}" if sign and shown else f"{shown:f}"


def graded(low: int, high: int, unit: Unit) -> str:
    """Write a skirt or a gauge's zero: in the finer decimal of its grade where it has one."""
    finer = {"mm": 10, "um": 1, "in": 127, "thou": 127}[unit]
    usual = STEPS[unit]
    places = PLACES[unit] + any(end % usual and not end % finer for end in (low, high))
    shown = [
        (Decimal(end) / TICKS[unit]).quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)
        for end in (low, high)
    ]
    return " to ".join(dict.fromkeys(map(str, shown)))


def read(cell: str, unit: Unit) -> Fraction:
    """Read a figure back, in ticks."""
    return Fraction(cell) * TICKS[unit]


def last_digit(cell: str, unit: Unit) -> Fraction:
    """Return what one step of a figure is worth, in ticks."""
    places = len(cell.partition(".")[2])
    if places == PLACES[unit]:
        return Fraction(STEPS[unit])
    return Fraction(TICKS[unit], 10**places)


def section(text: str, title: str) -> str:
    """Return what stands under an underlined heading."""
    lines = text.splitlines()
    for number, line in enumerate(lines[:-1]):
        if line.rstrip() == title and lines[number + 1].startswith(("---", "===")):
            rest = lines[number + 2 :]
            ends = (i for i, below in enumerate(rest) if below.startswith("---"))
            end = next(ends, len(rest) + 1)
            return "\n".join(rest[: end - 1])
    raise AssertionError(f"no heading {title!r} in\n{text}")


def rows(text: str, label: str) -> list[list[str]]:
    """Return the cells behind a label, for every line that begins with it."""
    found = []
    for line in text.splitlines():
        bare = line.strip()
        if bare.startswith(f"{label}  ") or (bare.startswith(f"{label} ") and bare != label):
            found.append(bare[len(label) :].split())
    return found
