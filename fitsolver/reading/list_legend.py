"""Oversizes by their place in the row of sizes (`2nd O/S`, `II szlif`), and notes that say them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Final

from fitsolver.reading.list_cells import OVERSIZE_UNITS, is_step, oversize
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_words import OVERSIZE_WORDS, plain

_ROMAN: Final = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6}
_WORDS: Final = "|".join(
    sorted(
        {*OVERSIZE_WORDS, "szlif", "szlifu", "repair", "rep", "reparatur", "rettifica", "vybrus",
         "boring", "borning", "rektifiye", "size", "mass", "stufe", "maat"},
        key=len, reverse=True,
    )
)  # fmt: skip
_NTH: Final = re.compile(
    rf"([1-6]|[iv]{{1,3}})(?: ?(?:st|nd|rd|th|a|e|er|eme|ere|o|ste|de))? ?(?:{_WORDS})"
    rf"|(?:{_WORDS}) ?([1-6]|[iv]{{1,3}})|(i{{1,3}}|iv|vi?)"
)
_SAID: Final = re.compile(
    r"([^\W_][^=;,|()]{0,24}?)\s*[=:]\s*([+]?\s?\d*[.,]?\d+\s?(?:mm|thou|in\b|\")?)(?![\w.,])"
)


@lru_cache(maxsize=1 << 12)
def nth_of(cell: str) -> int:
    """Return the place of an oversize in its row of sizes that a cell names, 0 if it does not."""
    found = _NTH.fullmatch(plain(cell))
    if found is None:
        return 0
    which = found[1] or found[2] or found[3]
    return int(which) if which.isdecimal() else _ROMAN.get(which, 0)


def legend_of(sheet: ListSheet, head: int) -> Mapping[str, str]:
    """Return the sizes that notes of a sheet give for words: `I szlif = +0,25`.

    `head` is the number of the row of headings. Rows below it count where they have one cell.
    """
    found: dict[str, str] = {}
    for number, cells in sheet.rows:
        filled = [cell for cell in cells if cell]
        if number >= head and len(filled) > 1:
            continue
        for name, size in _SAID.findall("; ".join(filled)):
            sizes = {oversize(size.strip(), unit) for unit in OVERSIZE_UNITS}
            if any(one is not None and is_step(one) for one in sizes):
                found[plain(name)] = size.strip()
    return found
