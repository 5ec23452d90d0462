"""Fractions of an inch in sizes: `2 7/16"`, `3-1/2`, `2½`."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import Final

_SIGNS: Final = {
    "½": (1, 2), "¼": (1, 4), "¾": (3, 4), "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8),
}  # fmt: skip
_FRACTION: Final = re.compile(
    rf"(?<![\w.,/-])([1-9])(?:(?:\s?-\s?|\s)(\d{{1,2}})\s?/\s?(2|4|8|16|32|64)"
    rf"|\s?([{''.join(_SIGNS)}]))(?![\w.,/]\d|\d)(?:\s?(?:\"|''|in(?:ch(?:es)?)?\b\.?))?",
    re.IGNORECASE,
)


@lru_cache(maxsize=1 << 14)
def without_fractions(text: str) -> str:
    """Return a text with each fraction of an inch above one inch as a decimal with its unit.

    `2 7/16` is 2.4375in. A fraction that is none of an inch (`3 2/4`: not cut down) stays.
    """
    if "/" not in text and not any(sign in text for sign in _SIGNS):
        return text
    return _FRACTION.sub(_decimal, text)


def _decimal(found: re.Match[str]) -> str:
    above, below = _SIGNS[found[4]] if found[4] else (int(found[2]), int(found[3]))
    if above >= below or above % 2 == 0:
        return found[0]
    inches = int(found[1]) + Fraction(above, below)
    return f"{float(inches):.6f}".rstrip("0") + "in"
