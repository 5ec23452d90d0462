"""What stands beside the sizes of a description: the other unit, years, displacements, '1st'."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from fitsolver.reading.list_figures import length
from fitsolver.reading.list_words import DIAMETER_WORDS, plain, without_accents

_TWICE: Final = re.compile(
    r"(\d+[.,]\d+)\s?(mm|in(?:ch)?\b|\")\s*[(/\[]\s*(\d+[.,]\d+)\s?(mm|in(?:ch)?\b|\")\s*[)\]]?",
    re.IGNORECASE,
)
#: How far a size and itself in the other unit may lie apart by rounding, in ticks.
_ROUNDED: Final = 1_500


def said_once(text: str) -> str:
    """Return a description in which a size also stands in the other unit without that.

    '54.00mm (2.126in)' is one size; two that are not the same stay as they are.
    """

    def one(found: re.Match[str]) -> str:
        units = ["mm" if unit.lower() == "mm" else "in" for unit in (found[2], found[4])]
        sizes = [
            length(f"{figure}{unit}", "mm", "," if "," in figure else ".")
            for figure, unit in zip((found[1], found[3]), units, strict=True)
        ]
        both = [size for size in sizes if size is not None]
        same = len(set(units)) == 2 and len(both) == 2 and abs(both[0] - both[1]) <= _ROUNDED
        return f"{found[1]}{found[2]}" if same else found[0]

    return _TWICE.sub(one, text) if _OTHER_UNIT.search(text) else text


_OTHER_UNIT: Final = re.compile(r"[\d.,]\s?(?:mm|in|\")\w*\s*[(/\[]", re.IGNORECASE)


#: The place of an oversize in its row of sizes: '1st o/s', '2. Übermaß', '1a magg.'.
_NTH: Final = re.compile(
    r"(?<![\w.,])([1-9])\s?(?:st|nd|rd|th|[aªº°e]|er|[eè]re|[eè]me|\.)?\s*"
    r"(?:o/s|os|oversize|over|magg\w*|surcote|cote|r[ée]paration|[üu]berma(?:ß|ss)|[üu]bergr\w+|"
    r"stufe|sobremedida|overmaat)\b\.?(?!\s*[+\d])",
    re.IGNORECASE,
)
#: Figures that are no sizes: years, cubic centimetres, powers.
_OTHERS: Final = re.compile(
    r"(?<![\w.,])(?:(?:19|20)?\d\d\s?[-–/]\s?(?:19|20)?\d\d|(?:19|20)\d\d\s?[-–>]|"
    r"(?:19[5-9]|20[0-4])\d|\d{2,4}\s?(?:cc|ccm|cm3|cm³|hp|ps|cv|ch|kw|pk))(?![\w.,]\d|\w)",
    re.IGNORECASE,
)


#: Without one of these none of them stands there.
_MAYBE: Final = re.compile(
    r"\d\s?(?:[-–/>]\s?\d|[a-zªº°³]|\.\s?[a-zü])|(?<![\d.,])(?:19|20)\d\d(?![\d.,])", re.IGNORECASE
)


#: Widths of the rings of a set, the thickest 6 mm: `1.5-1.5-3`, `1,2/1,5/2,8`, `2 x 1.75`.
_WIDTH: Final = r"[1-6](?:[.,]\d{1,2})?"
_WIDTHS: Final = re.compile(
    rf"(?<![\w.,/+-])\(?{_WIDTH}(?:\s?[-/x×+]\s?{_WIDTH}){{1,3}}(?:\s?mm)?\)?(?![\w.,/-]|\s?\d)"
)


#: What comes with a piston, by its own figure: `3 rings`, `pin 35 mm`, `Bolzen 20x60`.
_WITH_IT: Final = re.compile(
    r"(?<![\w.,])[1-6]\s?(?:-\s?)?(?:ringe?n?|rings?|segments?|segmenti|segmentos|fasce|aros|veren|"
    r"ringar|ringer|pier[sś]cieni\w*|krou[zž]k\w*|segman)\b"
    r"|\b(?:kolbenbolzen|bolzen|pin|gudgeon pin|axe|spinotto|bul[oó]n|pen|kolvbult|stempelpind|"
    r"sworze[nń]|[cč]ep|pim|cavilha)[\s.:]*(?:[øØ⌀]|d\.?)?\s?\d{1,2}(?:[.,]\d{1,2})?"
    r"(?:\s?[x×]\s?\d{2,3}(?:[.,]\d{1,2})?)?(?:\s?mm\b)?(?![.,]?\d)",
    re.IGNORECASE,
)


def without_fittings(text: str) -> str:
    """Return the description of a piston without the figures of its rings and its pin."""
    bare = _WITH_IT.sub(" ", text)
    return text if bare == text else " ".join(bare.replace(" ,", " ").split()).strip(" ,;-")


def without_widths(text: str) -> str:
    """Return the description of rings without their widths."""
    return " ".join(_WIDTHS.sub(" ", text).split())


_ACROSS: Final = re.compile(
    r"(?<=\d|m)\s?[x×]\s?(?:0[.,][89]\d?|[1-6](?:[.,]\d{1,2})?)(?:\s?mm\b)?(?![.,]?\d)"
)


def without_across(text: str) -> str:
    """Return the description of rings without the width that stands across their bore."""
    return _ACROSS.sub(" ", text)


@lru_cache(maxsize=1 << 14)
def without_others(text: str) -> tuple[str, int, tuple[str, ...]]:
    """Return a description without figures that are no sizes, and what they were.

    The second is the place of the oversize in its row (0 = it does not say), the others are as
    words that are not known: years and cubic centimetres may tell one engine from another.
    """
    if not _MAYBE.search(text):
        return text, 0, ()
    nth = _NTH.findall(text)
    bare = _NTH.sub(" ", text) if len(nth) == 1 else text
    others = tuple(plain(found) for found in _OTHERS.findall(bare))
    bare = _OTHERS.sub(" ", bare) if others else bare
    return " ".join(bare.split()), int(nth[0]) if len(nth) == 1 else 0, others


_DIAMETER: Final = (
    rf"(?:[øØ⌀]|\b(?:{'|'.join(word for word in DIAMETER_WORDS if len(word) > 1)})\b)"
)
_SIZE: Final = r"(\d{1,3}(?:[.,]\d{1,4})?(?:\s?(?:mm|in(?:ch)?|ins)\b\.?|\s?\")?)"
_END: Final = r"[\s)\]*=#:_<-]*$"
#: A bore at the end of a heading: behind its word, before it, or with its unit alone.
_BORES_BESIDE: Final = tuple(
    re.compile(rf"[\s,;:/(\[|–—-]*{one}{_END}", re.IGNORECASE)
    for one in (
        rf"{_DIAMETER}[\s.:=]*{_SIZE}",
        rf"(?<![\w.,]){_SIZE}\s*(?:std\.?\s*)?{_DIAMETER}",
        r"(?<![\w.,])(\d{1,3}[.,]\d{1,4}\s?(?:mm\b|in(?:ch)?\b|\"))",
        r"(?<![\w.,])(\d{2,3}\s?mm)\b",
    )
)


def bore_beside(text: str) -> tuple[str, str]:
    """Return a heading between rows without the bore at its end, and the bore, '' if none."""
    bare = without_accents(text)
    for one in _BORES_BESIDE if len(bare) == len(text) else ():
        found = one.search(bare)
        if found is not None:
            return text[: found.start()], found[1]
    return text, ""
