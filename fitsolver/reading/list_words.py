"""Words that price and stock lists use in their headings and descriptions, in seven languages.

From memory of ordinary trade language; what a list calls its columns can always be told instead.
"""

from __future__ import annotations

import re
import unicodedata
from difflib import get_close_matches
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

HEADINGS: Final[dict[Role, tuple[str, ...]]] = {
    "number": (
        "codigo artigo", "cod artigo", "referencia", "onderdeel", "onderdeelnummer", "artikelcode",
        "bestelnummer", "part code", "article code",
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
        "descricao", "designacao", "omschrijving", "benaming", "concepto", "warenbezeichnung",
        "kurztext", "testo", "texto", "tekst", "texte",
        "description", "desc", "text", "name", "designation", "item description", "product",
        "bezeichnung", "beschreibung", "artikelbezeichnung", "artikeltext", "benennung",
        "libelle", "descrizione", "denominazione", "descripcion", "denominacion", "producto",
        "detalle",
        "details", "detail", "title", "artikelname", "intitule", "item name", "product name",
    ),
    "family": (
        "motortype", "aplicacao", "vehicule", "vehiculo", "veiculo", "toepassing", "machine",
        "family", "engine", "model", "type", "application", "fits", "for engine", "range",
        "familie", "motor", "motortyp", "typ", "baureihe", "modell", "famille", "moteur",
        "modele",
        "famiglia", "motore", "modello", "familia", "modelo", "tipo",
        "machine", "fitment", "series", "for", "engine family", "engine type", "passend fur",
        "fahrzeug", "applicazione", "aplicacion", "machine type", "serie",
    ),
    "bore": (
        "boring", "boormaat", "medida estandar", "bore diameter",
        "bore", "size", "diameter", "dia", "nominal", "nominal bore", "bore size", "cyl bore",
        "bohrung", "durchmesser", "mass", "masse", "grosse", "nennmass", "zylinderbohrung",
        "alesage", "diametre", "taille", "cote", "alesaggio", "diametro", "misura", "medida",
        "tamano", "cilindro", "d",
    ),
    "oversize": (
        "overmaat", "oversize", "sobredimensao", "magg",
        "oversize", "o s", "os", "over size", "ubermass", "uebermass", "ubergrosse", "surcote",
        "cote reparation", "reparation", "maggiorazione", "sobremedida", "rep size",
    ),
    "grade": (
        "groep", "klas", "grau", "sel",
        "grade", "class", "selection", "group", "klasse", "gruppe", "toleranzgruppe", "classe",
        "groupe", "gruppo", "grado", "clase", "grupo", "selezione",
    ),
    "price": (
        "preco", "preco unitario", "prijs", "stuksprijs", "adviesprijs", "catalogusprijs", "tarifa",
        "bruto", "uvp", "list", "msrp",
        "price", "unit price", "net", "net price", "list price", "retail", "each", "cost", "rrp",
        "preis", "einzelpreis", "listenpreis", "stuckpreis", "vk", "vk preis", "netto", "prix",
        "prix unitaire", "tarif", "prix net", "p u", "prezzo", "listino", "prezzo unitario",
        "precio", "pvp", "importe", "precio neto", "precio unitario",
        "usd", "eur", "gbp", "chf", "trade", "trade price", "dealer", "dealer price",
        "sell", "sell price", "brutto", "bruttopreis", "ek", "ek netto", "pu", "pu ht",
        "p u ht", "prix public", "precio venta", "p v p", "amount",
    ),
    "stock": (
        "qtd", "quantidade", "existencia", "voorraad", "aantal", "vrije voorraad", "esistenza",
        "saldo",
        "stock", "qty", "quantity", "on hand", "in stock", "available", "free stock", "pieces",
        "bestand", "lagerbestand", "lager", "menge", "verfugbar", "stuck", "stock disponible",
        "quantite", "qte", "disponible", "dispo", "giacenza", "quantita", "disponibilita",
        "scorta", "existencias", "cantidad", "existencia", "unidades",
        "qoh", "inventory", "balance", "stock level", "lagermenge", "auf lager",
        "stuckzahl", "pezzi", "uds", "pcs", "q ta", "qta", "vorrat",
    ),
    "lead_days": (
        "prazo", "prazo de entrega", "levertijd", "levering", "dagen",
        "lead time", "lead days", "lead", "delivery", "delivery days", "days", "lieferzeit",
        "lieferzeit tage", "lieferfrist", "tage", "delai", "delai de livraison", "jours",
        "tempi di consegna", "consegna", "giorni", "plazo", "plazo de entrega", "dias",
        "entrega",
    ),
    "currency": ("currency", "cur", "wahrung", "whg", "devise", "monnaie", "valuta", "moneda"),
}  # fmt: skip

STANDARD_WORDS: Final = (
    "std", "standard", "normal", "norm", "serie", "stock size", "estandar", "original", "origine",
    "orig", "standaard", "padrao",
)  # fmt: skip
OVERSIZE_WORDS: Final = (
    "o s", "os", "oversize", "over size", "over", "ubermass", "uebermass", "um", "stufe",
    "surcote", "cote", "reparation", "maggiorazione", "maggiorato", "magg", "sobremedida",
    "overmaat",
)  # fmt: skip
DIAMETER_WORDS: Final = (
    "d", "dia", "diam", "bore", "size", "bohrung", "durchmesser", "zylinder", "cylinder",
    "alesage", "diametre", "alesaggio", "diametro", "cilindro", "boring",
)  # fmt: skip
THICKNESS_WORDS: Final = ("thk", "thick", "thickness", "stark", "dick", "dicke", "ep", "sp", "esp")
GRADE_WORDS: Final = (
    "grade", "gr", "class", "cl", "klasse", "kl", "gruppe", "classe", "groupe", "gruppo", "grado",
    "clase", "grupo", "sel", "selection", "group", "groep", "klas", "sort", "sorte", "cat",
    "categoria", "farbe", "colour",
)  # fmt: skip
#: Before the name of what an article is for.
FOR_WORDS: Final = ("for", "fits", "fur", "zu", "pour", "per", "para", "voor")
UNIT_WORDS: Final = ("mm", "in", "inch")

_SHARP: Final = str.maketrans(
    {"ß": "ss", "ø": "", "Ø": "", "№": "no", "ł": "l", "Ł": "l", "ı": "i", "º": "", "°": ""}
)


@lru_cache(maxsize=1 << 14)
def plain(text: str) -> str:
    """Return a text in small letters without accents, signs turned into single blanks."""
    folded = unicodedata.normalize("NFKD", text.casefold().translate(_SHARP))
    bare = "".join(sign for sign in folded if not unicodedata.combining(sign))
    return " ".join(re.sub(r"[^a-z0-9]+", " ", bare).split())


@lru_cache(maxsize=1 << 12)
def heading_likeness(title: str, role: Role) -> float:
    """Return how sure a title is to name a role: 1 its word, less for one like it, 0 neither."""
    bare = plain(re.sub(r"[\[(].*?[\])]", " ", title)) or plain(title)
    if not bare:
        return 0.0
    words = HEADINGS[role]
    if bare in words:
        return 1.0
    tokens = set(bare.split())
    long = [word for word in words if len(word) > 3]
    whole = any(set(word.split()) <= tokens for word in long)
    numbered = role == "number" and tokens & {"no", "nr", "num", "ref", "sku"}
    if whole or numbered or (role == "price" and any(sign in title for sign in "€£$¥")):
        return 0.85
    cut = {plain(part) for part in re.findall(r"\w{3,}(?=\.)", title)}
    if any(word.startswith(short) and word != short for short in cut for word in long):
        return 0.8
    return 0.75 if get_close_matches(bare, long, n=1, cutoff=0.85) else 0.0
