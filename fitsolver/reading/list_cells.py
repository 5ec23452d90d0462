"""Cells of sizes: a bore, an oversize, or both in one cell; in which unit oversizes are written."""

from __future__ import annotations

import re
from collections.abc import Collection
from fractions import Fraction
from functools import lru_cache
from typing import Final, Literal, get_args

from fitsolver.base.lengths import TICKS_PER, Unit
from fitsolver.reading.list_figures import Mark, amount, length
from fitsolver.reading.list_words import (
    OVERSIZE_WORDS,
    STANDARD_CELLS,
    STANDARD_WORDS,
    plain,
    without_accents,
)

#: How oversizes without a unit of their own are written.
OversizeUnit = Literal["mm", "in", "thou", "hundredths", "um"]
OVERSIZE_UNITS: Final[tuple[OversizeUnit, ...]] = get_args(OversizeUnit)
_TICKS: Final[dict[OversizeUnit, int]] = {
    "mm": TICKS_PER["mm"],
    "in": TICKS_PER["in"],
    "thou": TICKS_PER["thou"],
    "hundredths": 1_000,
    "um": TICKS_PER["um"],
}
#: Bores that a list may name, and its smallest and largest oversize, in ticks.
BORES: Final = (2_000_000, 25_000_000)
STEPS: Final = (7_500, 320_000)
#: Oversizes go in steps of 0.05 mm or of 0.005 in, or of 1/64 in (common practice, no source).
_MM_STEP: Final = 5_000
_INCH_STEP: Final = 12_700
_INCH_32ND: Final = 79_375
_ROUNDED: Final = 500
_BORE_UNITS: Final[tuple[Unit, ...]] = ("mm", "in")
_MARKS: Final[tuple[Mark, ...]] = (",", ".")
#: Share of the rows whose oversize a unit must make sense of.
_SENSE: Final = 0.9
#: Of this many rows one may be a slip.
_SLIP_OF: Final = 6

_OVERS: Final = "|".join(word.replace(" ", r"[ ./]?") for word in OVERSIZE_WORDS)
_BARE: Final = r"[+]?\s?(?:\d*[.,])?\d+"
_UNIT: Final = r'(?:\s?(?:mm\b|"|in(?:ch)?\b|thou\b))?'
_OVER: Final = re.compile(
    rf"(?:(?:{_OVERS})\b[.:]?\s*)?({_BARE}{_UNIT})(?:\s*(?:{_OVERS}))?\.?", re.IGNORECASE
)
_STANDARD: Final = "|".join(STANDARD_WORDS)
_FRACTION: Final = re.compile(r"[+]?\s?(\d{1,2})\s?/\s?(16|32|64)(?:\s?(?:in(?:ch)?|\"))?\.?")
_PLUS: Final = re.compile(r"(?:plus|piu|più|mas|más|\+/?)\s*(?=[\d.,])", re.IGNORECASE)
_BOTH: Final = re.compile(
    rf'([øØ⌀]?\s?\d{{1,3}}[.,]\d{{1,4}}(?:\s?(?:mm\b|"|in\b))?)\s*(?:[x×/]\s*|\s|(?=[+]))\s*'
    rf"({_BARE}{_UNIT}|{_STANDARD})\.?",
    re.IGNORECASE,
)


@lru_cache(maxsize=1 << 14)
def both_sizes(cell: str) -> tuple[str, str]:
    """Return the bore and the oversize of a cell that holds both, ('', '') for another."""
    found = _BOTH.fullmatch(without_accents(cell.strip()))
    return ("", "") if found is None else (found[1], found[2])


_GRADED: Final = re.compile(r"(.*\d)\s+\(?([A-Z])\)?")


@lru_cache(maxsize=1 << 14)
def with_grade(cell: str) -> tuple[str, str]:
    """Return a cell of a size without the letter of its grade behind it, and that letter."""
    found = _GRADED.fullmatch(cell.strip())
    return (cell, "") if found is None else (found[1], found[2])


@lru_cache(maxsize=1 << 14)
def is_bore(cell: str) -> bool:
    """Tell whether a cell could be a bore, in millimetres or inches, alone or with an oversize."""
    cell = with_grade(cell)[0]
    bore = both_sizes(cell)[0] or cell
    return any(
        found is not None and BORES[0] <= found <= BORES[1]
        for mark in _MARKS
        for unit in _BORE_UNITS
        if (found := length(bore, unit, mark)) is not None
    )


@lru_cache(maxsize=1 << 14)
def is_oversize(cell: str) -> bool:
    """Tell whether a cell could be an oversize in one of the units it may be written in."""
    return any(
        found is not None and (found == 0 or STEPS[0] <= found <= STEPS[1])
        for unit in OVERSIZE_UNITS
        for found in (oversize(cell, unit),)
    )


@lru_cache(maxsize=1 << 14)
def oversize(text: str, unit: OversizeUnit) -> int | None:
    """Return an oversize in ticks, None where it is none; a unit of its own goes before `unit`.

    'STD' is 0. A figure of three decimals without a whole part is an inch figure in every list
    seen in this trade (common practice, no source): 0.02 mm is no step of a catalogue.
    """
    bare = _PLUS.sub("+", text.strip())
    if plain(bare) in STANDARD_WORDS or plain(bare) in STANDARD_CELLS:
        return 0
    part = _FRACTION.fullmatch(bare)
    if part is not None and int(part[1]) < int(part[2]):
        return int(Fraction(int(part[1]), int(part[2])) * TICKS_PER["in"])
    named = _OVER.fullmatch(bare.replace("ü", "u").replace("Ü", "u").replace("ß", "ss"))
    if named is None:
        return None
    figure = named[1].lstrip("+ ")
    mark: Mark = "," if "," in figure else "."
    if re.fullmatch(r"[.,]\d{3}", figure):
        unit = "in"
    elif figure.lower().endswith("thou"):
        figure, unit = figure[:-4].strip(), "thou"
    elif not figure[-1].isdigit():
        return length(figure, "mm", mark)
    found = amount(figure, mark)
    ticks = None if found is None else found * _TICKS[unit]
    return None if ticks is None or Fraction(ticks).denominator != 1 else int(ticks)


def has_own_unit(text: str) -> bool:
    """Tell whether an oversize says its unit, or needs none: 'STD', 0, '.020', '0.50 mm'."""
    return len({oversize(text, unit) for unit in OVERSIZE_UNITS}) == 1


def is_step(ticks: int) -> bool:
    """Tell whether a length is an oversize that parts are made in."""
    if ticks == 0:
        return True
    inches = ticks % _INCH_STEP
    rounded = min(inches, _INCH_STEP - inches) <= _ROUNDED
    whole_64th = (-2 * ticks) % _INCH_32ND <= 2  # half a tick is given up
    made = ticks % _MM_STEP == 0 or rounded or whole_64th
    return STEPS[0] <= ticks <= STEPS[1] and made


_IN_HEADING: Final[tuple[tuple[OversizeUnit, str], ...]] = (
    ("hundredths", r"1\s?/\s?100\b|\b0[.,]01\b|\bhundert|\bhundredth|\bcentesim|\bcenti[eè]me"),
    ("thou", r"1\s?/\s?1000\s?(?:in|\")|\bthou|\b0[.,]001\s?(?:in|\")"),
    ("um", r"\b[uµμ]m\b"),
    ("mm", r"\bmm\b"),
    ("in", r"\binch|\bin\b(?=[.)\]])|\""),
)


def unit_of_heading(title: str) -> OversizeUnit | None:
    """Return the unit of oversizes that their heading names, None where it names none."""
    found = (unit for unit, sign in _IN_HEADING if re.search(sign, title, re.IGNORECASE))
    return next(found, None)


def oversize_units(rows: Collection[tuple[str, int]], units: Unit) -> tuple[OversizeUnit, ...]:
    """Return the units that make sense of the oversizes of a list, each with its rows.

    More than one where they cannot be told apart ('10', '20', '40' may be thousandths of an inch
    or hundredths of a millimetre); none where no unit makes sense.
    """
    bare = [(text, count) for text, count in rows if not has_own_unit(text)]
    if not bare:
        return ("in",) if units in ("in", "thou") else ("mm",)
    if units == "um":
        return ("um",)
    if all(re.fullmatch(r"[+]?\s?[1-9]", text) for text, _ in bare):
        return ()  # 1, 2, 3: places in the row of sizes as well as millimetres
    if any(text.lower().rstrip(".").endswith("thou") for text, _ in rows) and all(
        (t := oversize(text, "thou")) is not None and is_step(t) for text, _ in bare
    ):
        return ("thou",)
    total = sum(count for _, count in bare)
    found, nearly = [], []
    for unit in OVERSIZE_UNITS:
        if unit == "um":
            continue  # of lists in micrometres alone
        if unit == "hundredths" and units in ("in", "thou"):
            continue
        sense = sum(
            count for text, count in bare if (t := oversize(text, unit)) is not None and is_step(t)
        )
        if sense >= _SENSE * total:
            found.append(unit)
        elif sense == total - 1 and total >= _SLIP_OF:
            nearly.append(unit)
    found = found or nearly
    if found == ["in"] and units == "mm":
        return ("in", "mm")  # '0.02' may be a step of grades, in millimetres
    return tuple(found)
