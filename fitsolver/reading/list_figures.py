"""Figures of price and stock lists: thousands marks, decimal commas, currency signs, sizes."""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from typing import Final, Literal

from fitsolver.base.lengths import TICKS_PER, Unit

Mark = Literal[".", ","]

_CURRENCIES: Final = {
    "€": "EUR", "£": "GBP", "$": "USD", "¥": "JPY", "eur": "EUR", "euro": "EUR", "gbp": "GBP",
    "usd": "USD", "chf": "CHF", "sfr": "CHF", "sek": "SEK", "nok": "NOK", "dkk": "DKK",
    "pln": "PLN", "czk": "CZK", "cad": "CAD", "aud": "AUD", "jpy": "JPY",
}  # fmt: skip
_CURRENCY: Final = re.compile(
    r"[€£$¥]|\b(?:eur|euro|gbp|usd|chf|sfr|sek|nok|dkk|pln|czk|cad|aud|jpy)\b", re.I
)
_BLANKS: Final = "\u00a0\u202f\u2009 '’"
_DIGITS: Final = re.compile(r"[+-]?(?:\d[\d.,]*|[.,]\d+)(?:[.,]?-{1,2})?")
_TELLS: Final = re.compile(r"([.,])(\d+)$")


def currency_of(text: str) -> str:
    """Return the currency that a cell or heading names, '' if none."""
    found = _CURRENCY.search(text)
    return "" if found is None else _CURRENCIES[found[0].lower()]


def bare_number(text: str) -> str:
    """Return a cell without currency, blanks and the dash that stands for no cents."""
    bare = _CURRENCY.sub("", text)
    bare = "".join(sign for sign in bare if sign not in _BLANKS)
    return re.sub(r"[.,]-{1,2}$|-{2}$", "", bare)


def decimal_mark(cells: Iterable[str]) -> Mark | None:
    """Return the decimal mark of a column of amounts, None where its cells cannot tell.

    A cell with both marks tells: the last is the decimal one. With one mark it tells unless
    exactly three digits follow, which may be thousands.
    """
    told: set[Mark] = set()
    for cell in cells:
        bare = bare_number(cell)
        if not _DIGITS.fullmatch(bare):
            continue
        marks = [sign for sign in bare if sign in ".,"]
        last = _TELLS.search(bare)
        if not marks or last is None:
            continue
        if len(set(marks)) == 2:
            told.add("," if last[1] == "," else ".")
        elif len(marks) > 1:
            told.add("." if marks[0] == "," else ",")
        elif len(last[2]) != 3:
            told.add("," if last[1] == "," else ".")
    return told.pop() if len(told) == 1 else None


def amount(text: str, mark: Mark) -> Fraction | None:
    """Return an amount exactly, None for a cell that is none; thousands stand in threes."""
    bare = bare_number(text)
    thousands = "," if mark == "." else "."
    pattern = rf"[+-]?(?:\d{{1,3}}(?:{re.escape(thousands)}\d{{3}})+|\d+)?(?:{re.escape(mark)}\d+)?"
    if not re.fullmatch(pattern, bare) or not any(sign.isdigit() for sign in bare):
        return None
    return Fraction(bare.replace(thousands, "").replace(mark, "."))


def money(text: str, mark: Mark) -> int | None:
    """Return a price in hundredths, None for a cell that is none or is finer."""
    found = amount(text, mark)
    cents = None if found is None else found * 100
    return None if cents is None or cents.denominator != 1 or cents < 0 else cents.numerator


_COUNT: Final = re.compile(
    r"[<>≥]?\s*(\d+)(?:[.,]0+)?\+?\s*(?:pcs?|pieces?|st(?:ü|u)ck|stk\.?|pz|pi[eè]ces?|uds?\.?)?\.?",
    re.I,
)
_NONE_LEFT: Final = (
    "",
    "-",
    "--",
    "none",
    "no",
    "nil",
    "out",
    "keine",
    "nein",
    "non",
    "nessuno",
    "agotado",
    "0",
)


def count(text: str) -> int | None:
    """Return pieces in stock; '>10' and '10+' are 10, an empty cell or a dash 0, None unclear."""
    bare = text.strip().lower()
    if bare in _NONE_LEFT:
        return 0
    found = _COUNT.fullmatch(bare)
    return None if found is None else int(found[1])


_DAYS: Final = re.compile(
    r"(\d+)(?:\s*-\s*(\d+))?\s*(d|days?|tage?|jours?|j|giorni|gg|d[ií]as?|w|weeks?|wochen?|semaines?|settimane|semanas?)?\.?",
    re.I,
)


def days(text: str) -> int | None:
    """Return a lead time in days, the longer of two; weeks count seven. None if unclear."""
    found = _DAYS.fullmatch(text.strip())
    if found is None:
        return None
    most = int(found[2] or found[1])
    unit = (found[3] or "d").lower()
    return most * 7 if unit.startswith(("w", "sem", "set")) else most


def length(text: str, unit: Unit, mark: Mark) -> int | None:
    """Return a size in ticks, None if it is none or finer than the grid; its own unit counts."""
    bare = text.strip().lower().lstrip("øØ⌀").strip()
    for ending, own in (("mm", "mm"), ('"', "in"), ("inch", "in"), ("in", "in")):
        if bare.endswith(ending):
            bare, unit = bare[: -len(ending)].strip(), own  # type: ignore[assignment]
            break
    found = amount(bare, mark)
    ticks = None if found is None else found * TICKS_PER[unit]
    return None if ticks is None or ticks.denominator != 1 else ticks.numerator
