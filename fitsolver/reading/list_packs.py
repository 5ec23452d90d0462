"""How many pieces a cell of a pack or a unit of sale names: `pair`, `100 pcs`, `1`."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from fitsolver.reading.list_figures import count
from fitsolver.reading.list_headings import bare_heading
from fitsolver.reading.list_words import ONE, PAIR, SET, plain

_DOZEN: Final = frozenset(("dozen", "doz", "dz", "dzn", "dutzend", "douzaine", "dozzina", "docena"))
_FIGURE: Final = re.compile(
    r"(?:(?:per|pro|je|par|por|a|x|for|pr|za) )?(\d{1,4})(?: ?(?:er|x|s))?(?: ?([a-z]{1,7}))?"
)
_LINKS: Final = re.compile(
    r"^(?:(?:a|l|le|la|the|die|der|das|il|el|een|en|ein|eine|un|une) )+(?=[a-z])"
)
_HUNDRED: Final = frozenset(("hundred", "hundert", "cent", "100er", "c"))
_WORDS: Final = ((1, ONE), (0, SET), (2, PAIR), (12, _DOZEN), (100, _HUNDRED))
#: Words behind a figure of pieces.
_PIECES: Final = ONE | frozenset(("pieces", "stk", "st", "ks", "szt", "adet", "pack", "bag", "box"))
#: Headings of what a price is for.
_OF_PRICES: Final = frozenset(
    (
        "price unit", "price per", "preiseinheit", "pe", "pricing unit", "per", "pro", "je", "unit",
        "units", "uom", "u m", "udm", "unit of measure", "sales unit", "sold by", "sold per",
        "einheit", "me", "mengeneinheit", "verkaufseinheit", "unite", "unite de vente", "unita",
        "unita di misura", "unidad", "unidade", "unid", "eenheid", "prijseenheid", "enhed",
        "prisenhed", "enhet", "jednostka", "jedn", "j m", "jm", "mj", "m j", "birim", "yksikko",
        "prijs per", "preis je", "preis pro", "prix par", "prezzo per", "precio por", "preco por",
        "price for", "price each", "cena za", "pris per", "pris pr",
    )
)  # fmt: skip


@lru_cache(maxsize=1 << 10)
def pack_of(cell: str) -> int | None:
    """Return the pieces that a cell names, 0 for a set, None for another text."""
    bare = _LINKS.sub("", plain(cell.replace("%", " 100 ")))
    for pieces, words in _WORDS:
        if bare in words:
            return pieces
    found = _FIGURE.fullmatch(bare)
    if found is not None and (not found[2] or found[2] in _PIECES):
        return int(found[1]) or 1
    return count(cell)


def is_of_prices(title: str) -> bool:
    """Tell whether a heading of pieces says what a price is for, not what an article holds."""
    return bare_heading(title.replace("_", " ")) in _OF_PRICES
