"""Words that price and stock lists use in their descriptions, in twelve languages.

From memory of ordinary trade language.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import Final


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


STANDARD_WORDS: Final = (
    "std", "standard", "normal", "norm", "stock size", "estandar", "standaard", "padrao",
    "nominal", "nominel", "nominell", "nominalny", "nominalna", "zaklad", "zakladni", "standart",
    "standardowy", "padron", "base std", "std size", "perus",
)  # fmt: skip
#: Words for no oversize where other rows have one in the same place; they mean other things, too.
STANDARD_BESIDE: Final = ("serie", "original", "origine", "orig", "nil")
#: What the cell of an oversize says for none.
STANDARD_CELLS: Final = (*STANDARD_BESIDE, "none", "o", "n")
OVERSIZE_WORDS: Final = (
    "o s", "os", "oversize", "over size", "over", "ubermass", "uebermass", "um", "stufe",
    "overdimension", "overmal", "nadwymiar", "vybrus",
    "surcote", "cote", "reparation", "maggiorazione", "maggiorato", "magg", "sobremedida",
    "overmaat",
)  # fmt: skip
DIAMETER_WORDS: Final = (
    "d", "dia", "diam", "bore", "size", "bohrung", "durchmesser", "zylinder", "cylinder",
    "borrning", "srednica", "prumer", "vrtani", "alesage", "diametre", "alesaggio",
    "diametro", "cilindro", "boring",
)  # fmt: skip
THICKNESS_WORDS: Final = ("thk", "thick", "thickness", "stark", "dick", "dicke", "ep", "sp", "esp")
GRADE_WORDS: Final = (
    "grade", "gr", "class", "cl", "klasse", "kl", "gruppe", "classe", "groupe", "gruppo", "grado",
    "clase", "grupo", "sel", "selection", "group", "groep", "klas", "sort", "sorte", "cat",
    "categoria", "farbe", "colour",
)  # fmt: skip
#: Before the name of what an article is for.
FOR_WORDS: Final = (
    "for",
    "fits",
    "fur",
    "zu",
    "pour",
    "per",
    "para",
    "voor",
    "till",
    "til",
    "do",
    "pro",
)
UNIT_WORDS: Final = ("mm", "in", "inch")


#: Words that tie others together.
LINKS: Final = _words(
    "de del di du d des der die das den dem da do la le les il lo gli i el los las l a an the of "
    "for fur pour per para voor van zu aux au con with mit avec met com und and et e y en w m c "
    "incl inkl including included compris incluso inclusi inclusief och og med till til do "
    "na k s z ze"
)
#: Words of which a row is named wherever they stand: it may be for several cylinders, no longer
#: sold, or more than its name says.
SEVERAL: Final = _words(
    "pair pairs paar paire coppia par pares duo twin two three four five six eight zwei drei vier "
    "funf sechs acht deux trois quatre cinq huit due tre quattro cinque sei otto dos tres cuatro "
    "cinco seis ocho twee drie vijf zes acht dois quatro oito"
)
ENDED: Final = _words(
    "discontinued obsolete superseded nla replaced replacement ended auslauf auslaufend "
    "auslaufartikel entfallt entfallen ersetzt abverkauf restposten epuise supprime arrete "
    "remplace abandonne esaurito sostituito fuori obsoleto sospeso descatalogado agotado "
    "sustituido obsoleta vervallen uitlopend vervangen uitverkocht descontinuado substituido "
    "esgotado utgar utgatt utgatt udgaet utgaende utgatt wycofany wycofane wyprzedaz begagnad "
    "brugt brukt uzywany uzywane pouzity vyprodej ukonceno nahrazeno ersatt erstattet zastapiony "
    "used gebraucht occasion usato usado gebruikt second seconds"
)
#: Parts that come as more than a piston with its rings.
LARGER: Final = _words(
    "barrel sleeve liner laufbuchse laufbuchsen buchse buchsen chemise chemises canna canne "
    "camisa camisas voering voeringen cilinder cylindre conrod rod pleuel biella biela bielle "
    "drijfstang crank crankshaft kurbelwelle laufgarnitur head kopf culasse testata culata"
)
CYLINDERS: Final = _words("cylinder cylinders zylinder cilindro cilindri cilindros")
#: Words that say that a row is for a person.
TELLING: Final = SEVERAL | ENDED | LARGER | CYLINDERS
#: What stock columns say for 'there is some'.
YES: Final = _words(
    "y yes ja j oui si sim lieferbar available verfugbar dispo disponible disponibile "
    "voorradig leverbaar disponivel vorratig tak ano evet kylla lager skladem var jest mevcut "
    "dostepny dostepna dostepne dostepnosc tilgjengelig pa voorhanden vorhanden da igen stocked"
) | {
    "in stock", "auf lager", "en stock", "op voorraad", "a magazzino", "pa lager", "i lager",
    "ab lager", "lagernd", "ex stock", "disponibile subito", "na stanie", "na sklade", "em stock",
    "in magazzino", "en magasin", "in voorraad", "am lager",
}  # fmt: skip

#: What a remark says of an article that is sold as ever.
CURRENT: Final = frozenset(
    (
        "", "active", "current", "ok", "a", "aktiv", "aktuell", "actif", "active", "en cours",
        "attivo", "in produzione", "activo", "vigente", "actief", "leverbaar", "lieferbar",
        "available", "in production", "new", "neu", "normal", "regular", "live", "ativo", "none",
        "keine", "disponible", "disponibile", "nouveau", "nouveaute", "nuovo", "novita", "nuevo",
        "novedad", "nieuw", "novo", "nytt", "ny", "nowosc", "nowy", "novinka", "yeni", "uusi",
        "nyhet", "nyhed", "new item", "new in", "aktuelni", "aktualny", "laufend", "lagernd",
    )
)  # fmt: skip
#: What says that an article comes at once.
AT_ONCE: Final = YES | {
    "stock", "ex stock", "from stock", "ab lager", "sofort", "immediate", "immediately",
    "immediat", "en magasin", "pronta consegna", "inmediato", "direct", "skladem",
}  # fmt: skip
#: What says that an article is a single one; a set that a kit or the rings of a piston are.
ONE: Final = _words(
    "1 pc pce pcs piece ea each st stk stck stuck pz pezzo ud u un unit unite unidad unidade p kit"
)
SET: Final = _words("set satz jeu juego gioco serie stel jogo conjunto saet sett sats kpl komplet "
                    "sada takim sarja garnitur")  # fmt: skip
PAIR: Final = _words("pair pr prs paar paire coppia par para pares duo stel pary paia cp cift")

_SHARP: Final = str.maketrans(
    {"ß": "ss", "ø": "", "Ø": "", "№": "no", "ł": "l", "Ł": "l", "ı": "i", "º": "", "°": ""}
)


#: The letter, not the sign of a diameter.
_O: Final = re.compile(r"(?<=[^\W\d_])ø|ø(?=[^\W\d_]{2})")


def without_accents(text: str) -> str:
    """Return a text of as many signs, its letters without accents."""
    if text.isascii():
        return text
    return "".join(unicodedata.normalize("NFD", sign)[0] for sign in text)


@lru_cache(maxsize=1 << 14)
def plain(text: str) -> str:
    """Return a text in small letters without accents, signs turned into single blanks."""
    lettered = _O.sub("o", text.casefold().replace("æ", "ae"))
    folded = unicodedata.normalize("NFKD", lettered.translate(_SHARP))
    bare = "".join(sign for sign in folded if not unicodedata.combining(sign))
    return " ".join(re.sub(r"[^a-z0-9]+", " ", bare).split())
