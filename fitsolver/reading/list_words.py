"""Words that price and stock lists use in their headings and descriptions, in five languages.

From memory of ordinary trade language; what a list calls its columns can always be told instead.
"""

from __future__ import annotations

import re
import unicodedata
from difflib import SequenceMatcher
from functools import lru_cache
from typing import Final, Literal, get_args

#: What a column of a list can hold.
Role = Literal[
    "number",
    "description",
    "family",
    "bore",
    "oversize",
    "grade",
    "price",
    "stock",
    "lead_days",
    "currency",
]
ROLES: Final[tuple[Role, ...]] = get_args(Role)

#: What an article of a list can be.
Kind = Literal["piston kit", "piston", "rings", "gasket"]
KINDS: Final[tuple[Kind, ...]] = get_args(Kind)

HEADINGS: Final[dict[Role, tuple[str, ...]]] = {
    "number": (
        "number", "no", "part no", "part number", "part", "article", "article no", "item",
        "item no", "code", "sku", "ref", "reference", "order no", "stock code",
        "nummer", "nr", "artikel", "artikelnummer", "artikel nr", "art nr", "teilenummer",
        "teile nr", "bestellnummer", "best nr", "numero", "numero d article", "code article",
        "code produit", "codice", "codice articolo", "cod", "cod art", "articolo", "codigo",
        "referencia", "articulo", "num", "n art",
        "p n", "catalogue no", "catalog no", "product code", "stock no", "sachnummer",
        "teilenr", "codice art", "ref no",
    ),
    "description": (
        "description", "desc", "text", "name", "designation", "item description", "product",
        "bezeichnung", "beschreibung", "artikelbezeichnung", "artikeltext", "benennung",
        "libelle", "descrizione", "denominazione", "descripcion", "denominacion", "producto",
        "detalle",
        "details", "detail", "title", "artikelname", "intitule", "item name", "product name",
    ),
    "family": (
        "family", "engine", "model", "type", "application", "fits", "for engine", "range",
        "familie", "motor", "motortyp", "typ", "baureihe", "modell", "famille", "moteur",
        "modele",
        "famiglia", "motore", "modello", "familia", "modelo", "tipo",
        "machine", "fitment", "series", "for", "engine family", "engine type", "passend fur",
        "fahrzeug", "applicazione", "aplicacion", "machine type", "serie",
    ),
    "bore": (
        "bore", "size", "diameter", "dia", "nominal", "nominal bore", "bore size", "cyl bore",
        "bohrung", "durchmesser", "mass", "masse", "grosse", "nennmass", "zylinderbohrung",
        "alesage", "diametre", "taille", "cote", "alesaggio", "diametro", "misura", "medida",
        "tamano", "cilindro", "d",
    ),
    "oversize": (
        "oversize", "o s", "os", "over size", "ubermass", "uebermass", "ubergrosse", "surcote",
        "cote reparation", "reparation", "maggiorazione", "sobremedida", "rep size",
    ),
    "grade": (
        "grade", "class", "selection", "group", "klasse", "gruppe", "toleranzgruppe", "classe",
        "groupe", "gruppo", "grado", "clase", "grupo", "selezione",
    ),
    "price": (
        "price", "unit price", "net", "net price", "list price", "retail", "each", "cost", "rrp",
        "preis", "einzelpreis", "listenpreis", "stuckpreis", "vk", "vk preis", "netto", "prix",
        "prix unitaire", "tarif", "prix net", "p u", "prezzo", "listino", "prezzo unitario",
        "precio", "pvp", "importe", "precio neto", "precio unitario",
        "usd", "eur", "gbp", "chf", "trade", "trade price", "dealer", "dealer price",
        "sell", "sell price", "brutto", "bruttopreis", "ek", "ek netto", "pu", "pu ht",
        "p u ht", "prix public", "precio venta", "p v p", "amount",
    ),
    "stock": (
        "stock", "qty", "quantity", "on hand", "in stock", "available", "free stock", "pieces",
        "bestand", "lagerbestand", "lager", "menge", "verfugbar", "stuck", "stock disponible",
        "quantite", "qte", "disponible", "dispo", "giacenza", "quantita", "disponibilita",
        "scorta", "existencias", "cantidad", "existencia", "unidades",
        "qoh", "inventory", "balance", "stock level", "lagermenge", "auf lager",
        "stuckzahl", "pezzi", "uds", "pcs", "q ta", "qta", "vorrat",
    ),
    "lead_days": (
        "lead time", "lead days", "lead", "delivery", "delivery days", "days", "lieferzeit",
        "lieferzeit tage", "lieferfrist", "tage", "delai", "delai de livraison", "jours",
        "tempi di consegna", "consegna", "giorni", "plazo", "plazo de entrega", "dias",
        "entrega",
    ),
    "currency": ("currency", "cur", "wahrung", "whg", "devise", "monnaie", "valuta", "moneda"),
}  # fmt: skip

#: Longest first: a piston kit is no piston.
KIND_WORDS: Final[dict[Kind, tuple[str, ...]]] = {
    "piston kit": (
        "piston kit", "piston set", "piston assy", "piston assembly", "pistonkit",
        "piston w rings",
        "piston with rings", "kolbensatz", "kolbenkit", "kolben kit", "kolben komplett",
        "kolben mit ringen", "kit piston", "piston complet", "ensemble piston", "kit pistone",
        "gruppo pistone", "pistone completo", "kit de piston", "piston completo",
        "conjunto piston", "juego de piston",
    ),
    "rings": (
        "ring set", "rings", "piston rings", "ring", "kolbenringe", "kolbenring", "ringsatz",
        "kolbenringsatz", "segments", "segment", "jeu de segments", "fasce elastiche",
        "segmenti",
        "fascia elastica", "serie segmenti", "segmentos", "aros", "juego de aros",
        "juego de segmentos",
    ),
    "gasket": (
        "gasket", "head gasket", "base gasket", "gasket set", "dichtung", "kopfdichtung",
        "zylinderkopfdichtung", "fussdichtung", "zylinderfussdichtung", "dichtsatz", "joint",
        "joint de culasse", "joint d embase", "guarnizione", "guarnizione testa",
        "guarnizione base", "junta", "junta de culata", "junta de base",
    ),
    "piston": ("piston", "kolben", "pistone"),
}  # fmt: skip
#: Where a gasket goes, by words of its name.
PLACE_WORDS: Final[dict[str, tuple[str, ...]]] = {
    "head": ("head", "kopf", "zylinderkopf", "culasse", "testa", "culata"),
    "base": ("base", "fuss", "zylinderfuss", "embase"),
}
STANDARD_WORDS: Final = ("std", "standard", "normal", "norm", "serie", "stock size", "estandar")
OVERSIZE_WORDS: Final = (
    "o s", "os", "oversize", "over size", "over", "ubermass", "uebermass", "surcote", "cote",
    "maggiorazione", "maggiorato", "sobremedida",
)  # fmt: skip
DIAMETER_WORDS: Final = ("d", "dia", "diam", "bore", "size", "bohrung", "alesage", "alesaggio")
GRADE_WORDS: Final = (
    "grade", "gr", "class", "cl", "klasse", "kl", "gruppe", "classe", "groupe", "gruppo", "grado",
    "clase", "grupo", "sel", "selection",
)  # fmt: skip

_SHARP: Final = str.maketrans({"ß": "ss", "ø": "", "Ø": "", "№": "no", "º": "", "°": ""})


@lru_cache(maxsize=1 << 14)
def plain(text: str) -> str:
    """Return a text in small letters without accents, signs turned into single blanks."""
    folded = unicodedata.normalize("NFKD", text.casefold().translate(_SHARP))
    bare = "".join(sign for sign in folded if not unicodedata.combining(sign))
    return " ".join(re.sub(r"[^a-z0-9]+", " ", bare).split())


def heading_likeness(title: str, role: Role) -> float:
    """Return how sure a title is to name a role: 1 its word, less for one like it, 0 neither."""
    bare = plain(re.sub(r"[\[(].*?[\])]", " ", title)) or plain(title)
    if not bare:
        return 0.0
    words = HEADINGS[role]
    if bare in words:
        return 1.0
    tokens = set(bare.split())
    whole = max(
        (0.85 for word in words if len(word) > 3 and set(word.split()) <= tokens), default=0.0
    )
    close = max(
        (SequenceMatcher(None, bare, word).ratio() for word in words if len(word) > 3), default=0.0
    )
    return max(whole, 0.75 if close >= 0.85 else 0.0)
