"""Oversizes by their place in the row of sizes (`2nd O/S`, `II szlif`), and notes that say them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
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
    rf"|(?:{_WORDS}|r) ?([1-6]|[iv]{{1,3}})|(i{{1,3}}|iv|vi?)|([1-6])(?:st|nd|rd|th|a|e|er|eme|o)"
)
#: A size behind its place in the row of sizes: `R1 (+0,25)`.
_BOTH: Final = re.compile(
    r"(.{1,16}?)\s*[(\[/=:]\s*([+]?\s?\d*[.,]\d+\s?(?:mm|in|\")?)\s*[)\]]?", re.IGNORECASE
)
_SAID: Final = re.compile(
    r"([^\W_][^=;,|()]{0,24}?)\s*[=:]\s*([+]?\s?\d*[.,]?\d+\s?(?:mm|thou|in\b|\")?)(?!\w|[.,]\d)"
)


@lru_cache(maxsize=1 << 12)
def nth_of(cell: str) -> int:
    """Return the place of an oversize in its row of sizes that a cell names, 0 if it does not."""
    found = _NTH.fullmatch(plain(cell))
    if found is None:
        return 0
    which = found[1] or found[2] or found[3] or found[4]
    return int(which) if which.isdecimal() else _ROMAN.get(which, 0)


def size_behind(cell: str) -> str:
    """Return the size that stands behind its place in the row of sizes, the cell itself else."""
    found = _BOTH.fullmatch(cell)
    return found[2] if found is not None and nth_of(found[1]) else cell


def legend_of(sheets: Iterable[ListSheet]) -> Mapping[str, str]:
    """Return the sizes that notes of a list give for words: `I szlif = +0,25`, or `1st | 0.25`.

    Rows of one or two cells count, and those all of whose cells have a mark between word and size.
    """
    found: dict[str, str] = {}
    for sheet in sheets:
        for _, cells in sheet.rows:
            filled = [cell for cell in cells if cell]
            if len(filled) == 2 and nth_of(filled[0]) and _is_size(filled[1]):
                found[plain(filled[0])] = filled[1]
            elif len(filled) <= 2 or all("=" in cell for cell in filled):
                said = _SAID.findall("; ".join(filled))
                found |= {plain(name): size.strip() for name, size in said if _is_size(size)}
    return found


def _is_size(text: str) -> bool:
    sizes = {oversize(text.strip(), unit) for unit in OVERSIZE_UNITS}
    return any(one is not None and is_step(one) for one in sizes)
