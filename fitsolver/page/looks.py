"""How a report written for a terminal looks on a screen: no shouting, and tables that fold."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from fitsolver.reporting.layout import Block

#: Characters that stand beside each other on a phone.
_PHONE: Final = 42
#: No column of words needs more: its words wrap.
_WORDS: Final = 16
_SHOUTED: Final = re.compile(r"[A-Z]{2,}(?: [A-Z]{2,})*(?=:| [a-z]|$)")


def calm(text: str) -> str:
    """Return a line of a report without the capitals of its first words: a page has sizes."""
    led = _SHOUTED.match(text)
    return text if led is None else led[0].capitalize() + text[led.end() :]


def too_broad(table: Block) -> bool:
    """Tell whether the columns of a table do not stand beside each other on a phone."""
    needed = 0
    for place, (header, kind) in enumerate(table.columns):
        longest = max((len(row[place]) for row in table.rows), default=0)
        word = max(map(len, header.split()), default=0)
        needed += 1 + max(word, longest if kind == "figure" else min(longest, _WORDS))
    return needed > _PHONE
