"""What the rows of a list leave open; the texts between them: pages, notes, engine types."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field, replace
from typing import Final

from fitsolver.reading.list_entries import Open
from fitsolver.reading.list_headings import heading_likeness

#: Words of a text between rows that is of the page, and that an engine type goes on.
PAGE: Final = re.compile(
    r"\b(?:page|seite|pagina|blad|feuille|foglio|hoja|sheet|ubertrag|carried|report|total|totals|"
    r"totale|summe|zwischensumme|subtotal|sub|subtotaal|totaal|suma)\b"
)
_GOES_ON: Final = re.compile(
    r"[\s,:(\[-]*(?:continued|cont[’']?d|cont|fortsetzung|forts|suite|segue|continua\w*|vervolg)"
    r"[\s.)\]]*$",
    re.IGNORECASE,
)
#: A note that prices are for several pieces.
PRICED: Final = re.compile(
    r"\b(?:per|pro|je|par|por|la|le|il|de)\s(?:set|sets|satz|jeu|juego|jogo|serie|paar|pair|paire|"
    r"coppia|par|stel|100|1000|dozen|dutzend|cent|mille|\d{1,4} (?:st|stk|stuck|pcs|pieces|pz))\b|"
    r"%\s*100\b"
)


#: Rows above the headings that are looked at.
TOP: Final = 40


@dataclass
class Seen:
    """What the rows of a list leave open, collected while they are read."""

    words: Counter[str] = field(default_factory=Counter)
    headings: dict[str, int] = field(default_factory=dict)
    sheet_names: dict[str, int] = field(default_factory=dict)
    fill: int = 0
    lead: bool = False
    no_bores: Counter[str] = field(default_factory=Counter)
    bores: int = 0
    price_note: str = ""
    standards: Counter[str] = field(default_factory=Counter)

    def open(self, sizes: Open) -> Open:
        """Return what rows and sizes together leave open."""
        return replace(
            sizes,
            words=dict(self.words.most_common()),
            headings=tuple(self.headings),
            sheet_names=tuple(self.sheet_names),
            fill=self.fill,
            lead=self.lead,
            no_bores=self._inches(),
            price_note=self.price_note,
            standards=tuple(self.standards),
        )

    def _inches(self) -> tuple[str, ...]:
        """Return bores that are none in the unit of the list, where they are most of them."""
        return tuple(self.no_bores)[:3] if self.no_bores.total() > self.bores else ()


def family_named(text: str) -> tuple[str, bool]:
    """Return the engine type that a heading between rows names, without the word for it.

    The second is True where the word stands there: 'Engine: P54'.
    """
    bare = _GOES_ON.sub("", text).strip(" *-=#:_>")
    first, _, rest = bare.partition(" ")
    if rest and heading_likeness(first, "family") == 1:
        return rest.strip(" :"), True
    return bare, False
