"""Headings of price and stock lists: which words name what a column holds, in twelve languages.

From memory of ordinary trade language; what a list calls its columns can always be told instead.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches
from functools import lru_cache
from typing import Final, Literal, get_args

from fitsolver.reading.list_words import plain

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
    "standard",
    "thickness",
    "pieces",
    "kind",
    "more",
]
ROLES: Final[tuple[Role, ...]] = get_args(Role)

HEADINGS: Final[dict[Role, tuple[str, ...]]] = {
    "number": (
        "art", "artikelnr", "artikel nr", "varenr", "varenummer", "vare nr", "delenr", "delnummer",
        "reservdelsnummer", "numer", "nr katalogowy", "numer katalogowy", "numer czesci", "indeks",
        "kod", "symbol", "cislo", "cislo dilu", "objednaci cislo", "obj cislo", "katalogove cislo",
        "tuotenumero", "tuotenro", "parca no", "stok kodu", "codigo artigo", "cod artigo",
        "referencia", "onderdeel", "onderdeelnummer", "artikelcode", "bestelnummer", "part code",
        "article code", "number", "no", "part no", "part number", "part", "article", "article no",
        "item", "item no", "code", "sku", "ref", "reference", "order no", "stock code", "nummer",
        "nr", "artikel", "artikelnummer", "art nr", "teilenummer", "teile nr", "bestellnummer",
        "best nr", "numero", "numero d article", "code article", "code produit", "codice",
        "codice articolo", "cod", "cod art", "articolo", "codigo", "articulo", "num", "n art",
        "p n", "catalogue no", "catalog no", "product code", "stock no", "sachnummer", "teilenr",
        "codice art", "ref no",
    ),
    "description": (
        "benamning", "beskrivning", "artikel text", "betegnelse", "beskrivelse", "varetekst",
        "nazwa", "opis", "nazwa towaru", "nazev", "popis", "oznaceni", "nimike", "kuvaus",
        "aciklama", "urun adi", "descricao", "designacao", "omschrijving", "benaming", "concepto",
        "warenbezeichnung", "kurztext", "testo", "texto", "tekst", "texte", "description", "desc",
        "text", "name", "designation", "item description", "product", "bezeichnung", "beschreibung",
        "artikelbezeichnung", "artikeltext", "benennung", "libelle", "descrizione", "denominazione",
        "descripcion", "denominacion", "producto", "detalle", "details", "detail", "title",
        "artikelname", "intitule", "item name", "product name",
    ),
    "family": (
        "motortyp", "motormodell", "maskin", "silnik", "typ silnika", "model silnika", "typ motoru",
        "stroj", "moottori", "modeli", "motortype", "aplicacao", "vehicule", "vehiculo", "veiculo",
        "toepassing", "machine", "family", "engine", "model", "type", "application", "fits",
        "for engine", "range", "familie", "motor", "typ", "baureihe", "modell", "famille", "moteur",
        "modele", "famiglia", "motore", "modello", "familia", "modelo", "tipo", "fitment", "series",
        "for", "engine family", "engine type", "passend fur", "fahrzeug", "applicazione",
        "aplicacion", "machine type", "serie",
    ),
    "bore": (
        "cylinderdiameter", "borrning", "boringsdiameter", "cylinderboring", "srednica",
        "srednica cylindra", "vrtani", "prumer", "prumer valce", "sylinteri", "halkaisija",
        "boring", "boormaat", "medida estandar", "bore diameter", "bore", "size", "diameter", "dia",
        "nominal", "nominal bore", "bore size", "cyl bore", "bohrung", "durchmesser", "mass",
        "masse", "grosse", "nennmass", "zylinderbohrung", "alesage", "diametre", "taille", "cote",
        "alesaggio", "diametro", "misura", "medida", "tamano", "cilindro", "d", "maat", "alesaje",
        "calibre", "calibro", "kaliber", "endmass", "diam",
    ),
    "oversize": (
        "overdimension", "overmal", "overstorrelse", "underhallsmatt", "nadwymiar",
        "wymiar naprawczy", "vybrus", "nadrozmer", "ylikoko", "rektifiye", "overmaat", "oversize",
        "sobredimensao", "magg", "um", "sovramisura", "sovram", "szlif", "nadmer", "buyutme",
        "rektefe", "rebore size", "majoration", "rectificado", "rettifica", "sur alesage", "o m",
        "od", "overd", "overst", "s m", "sobrem", "ylimitta", "uberm", "ueberm", "o s", "os",
        "over size", "ubermass", "uebermass", "ubergrosse",
        "surcote", "cote reparation", "reparation", "maggiorazione", "sobremedida", "rep size",
        "size", "cote", "taille", "misura", "medida", "maat", "mass", "over",
    ),
    "grade": (
        "klass", "grupp", "gruppa", "grupa", "selekcja", "trida", "skupina", "luokka", "sinif",
        "groep", "klas", "grau", "sel", "grade", "class", "selection", "group", "klasse", "gruppe",
        "toleranzgruppe", "classe", "groupe", "gruppo", "grado", "clase", "grupo", "selezione",
    ),
    "price": (
        "pris", "pris st", "a pris", "styckpris", "listpris", "nettopris", "bruttopris", "stykpris",
        "enhetspris", "stk pris", "cena", "cena netto", "cena brutto", "cena jednostkowa",
        "cena za kus", "cena bez dph", "hinta", "fiyat", "birim fiyat", "preco", "preco unitario",
        "prijs", "stuksprijs", "adviesprijs", "catalogusprijs", "tarifa", "bruto", "uvp", "list",
        "msrp", "price", "unit price", "net", "net price", "list price", "retail", "each", "cost",
        "rrp", "preis", "einzelpreis", "listenpreis", "stuckpreis", "vk", "vk preis", "netto",
        "prix", "prix unitaire", "tarif", "prix net", "p u", "prezzo", "listino", "prezzo unitario",
        "precio", "pvp", "importe", "precio neto", "precio unitario", "usd", "eur", "gbp", "chf",
        "trade", "trade price", "dealer", "dealer price", "sell", "sell price", "brutto",
        "bruttopreis", "ek", "ek netto", "pu", "pu ht", "p u ht", "prix public", "precio venta",
        "p v p", "amount",
    ),
    "stock": (
        "lagersaldo", "saldo", "pa lager", "lagerstatus", "i lager", "beholdning",
        "lagerbeholdning", "antal", "antall", "stan", "stan magazynowy", "ilosc", "dostepnosc",
        "magazyn", "sklad", "skladem", "mnozstvi", "ks", "pocet", "varasto", "varastossa", "stok",
        "adet", "qtd", "quantidade", "existencia", "voorraad", "aantal", "vrije voorraad",
        "esistenza", "stock", "qty", "quantity", "on hand", "in stock", "available", "free stock",
        "pieces", "bestand", "lagerbestand", "lager", "menge", "verfugbar", "stuck",
        "stock disponible", "quantite", "qte", "disponible", "dispo", "giacenza", "quantita",
        "disponibilita", "scorta", "existencias", "cantidad", "unidades", "qoh", "inventory",
        "balance", "stock level", "qty on hand",
        "quantity on hand", "avail", "qty avail", "stock on hand",
        "lagermenge", "auf lager", "stuckzahl", "pezzi", "uds",
        "pcs", "q ta", "qta", "vorrat",
    ),
    "lead_days": (
        "leveranstid", "leverans", "leveringstid", "levering", "dage", "dager", "dagar",
        "termin dostawy", "czas dostawy", "dni", "dodaci lhuta", "dodani", "toimitusaika",
        "teslim suresi", "prazo", "prazo de entrega", "levertijd", "dagen", "lead time",
        "lead days", "lead", "delivery", "delivery days", "days", "lieferzeit", "lieferzeit tage",
        "lieferfrist", "tage", "delai", "delai de livraison", "jours", "tempi di consegna",
        "consegna", "giorni", "plazo", "plazo de entrega", "dias", "entrega",
    ),
    "currency": (
        "waluta", "mena", "currency", "cur", "wahrung", "whg", "devise", "monnaie", "valuta",
        "moneda",
    ),
    "standard": (
        "standardborrning", "standarddiameter", "standardboring", "standardmal", "wymiar nominalny",
        "srednica nominalna", "nominal bore", "standardni vrtani", "standard bore", "std bore",
        "standard size", "original bore", "normalmass", "standardbohrung", "standardmass",
        "alesage origine", "alesage standard", "diametre origine", "diameter origine",
        "diameter standard", "diameter std", "alesaggio standard", "diametro originale",
        "diametro standard", "diametro original", "medida original", "standaardboring",
        "standaardmaat", "diametro origem",
    ),
    "thickness": (
        "tjocklek", "tykkelse", "grubosc", "tloustka", "paksuus", "kalinlik", "thickness", "thk",
        "thick", "dicke", "starke", "epaisseur", "ep", "spessore", "sp", "espesor", "espessura",
        "dikte",
    ),
    "pieces": (
        "forpackning", "pakning", "forpakning", "opakowanie", "baleni", "pakkaus", "paket",
        "pieces per set", "pcs per set", "set of", "stuck je satz", "pack qty", "pack size", "pack",
        "box qty", "ve", "vpe", "verpackungseinheit", "pe", "preiseinheit", "price unit",
        "price per", "qty per set", "conditionnement", "cond", "confezione", "conf", "envase",
        "verpakking", "per set", "pezzi per confezione", "cylinders", "unit", "units", "uom", "u m",
        "udm", "unit of measure", "sales unit", "pricing unit", "sold by", "sold per",
        "einheit", "me", "mengeneinheit", "verkaufseinheit", "unite", "unite de vente", "unita",
        "unita di misura", "unidad", "unidade", "unid", "eenheid", "prijseenheid", "enhed",
        "prisenhed", "enhet", "jednostka", "jedn", "j m", "jm", "mj", "m j", "birim", "yksikko",
        "qty pack", "qty per pack", "pcs per pack", "pieces per pack", "per pack", "per box",
        "stuck je packung", "inhalt", "packung", "contents", "lot", "preis je", "prijs per",
        "prix par", "price for",
    ),
    "more": (
        "description 2", "desc 2", "bezeichnung 2", "text 2", "designation 2", "descrizione 2",
        "descripcion 2", "libelle 2", "benennung 2", "omschrijving 2", "body", "long description",
        "additional text", "zusatztext", "langtext", "zusatz", "specification", "spec", "details 2",
    ),
    "kind": (
        "produktgrupp", "varugrupp", "varegruppe", "grupa towarowa", "rodzaj", "skupina zbozi",
        "druh", "tuoteryhma", "kind", "part type", "product group", "product type", "group",
        "category", "type of part", "what", "type", "warengruppe", "artikelgruppe", "produktgruppe",
        "kategorie", "art", "teileart", "categorie", "categoria", "groupe", "gruppo", "tipo",
        "tipo articolo", "famille", "famiglia", "familia", "grupo", "groep", "productgroep",
        "soort", "nature",
    ),
}  # fmt: skip


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


#: Headings of columns that never say what an article is or what it costs.
SILENT: Final = frozenset(
    (
        "ean", "upc", "gtin", "barcode", "bar code", "ean code", "ean13", "strichcode",
        "code barre", "code barres", "codice a barre", "codigo de barras", "weight", "wt", "wt g",
        "weight g", "weight kg", "gewicht", "gewicht g", "gewicht kg", "poids", "peso", "bin",
        "location", "shelf", "lagerplatz", "lagerort", "platz", "emplacement", "ubicacion",
        "ubicazione", "locatie", "hs code", "tariff code", "customs code", "zolltarifnummer",
        "country of origin", "origin country", "vat", "mwst", "iva", "tva", "btw", "discount",
        "rabatt", "remise", "sconto", "sc", "descuento", "dto", "korting", "pos", "position",
        "row", "line no",
    )
)  # fmt: skip
#: Headings of what is remarked of some rows: no longer sold, replaced by another.
REMARKS: Final = frozenset(
    (
        "remark", "remarks", "note", "notes", "comment", "comments", "status", "state",
        "replaced by", "superseded by", "supersedes", "replacement", "replacement no",
        "superseded", "discontinued", "bemerkung", "bemerkungen", "hinweis", "anmerkung",
        "ersetzt durch", "nachfolger", "ersatz", "remarque", "remarques", "observation",
        "observations", "statut", "remplace par", "remplacement", "etat", "osservazioni",
        "stato", "sostituito da", "sost da", "sostituzione", "observaciones", "nota", "notas",
        "estado", "sustituido por", "sustituye", "reemplazado por", "opmerking", "opmerkingen",
        "vervangen door", "vervanger", "substituido por", "observacoes", "obs", "rem", "bem",
        "anm", "pozn", "poznamka", "uwagi", "uwaga", "bemaerkning", "bemaerkninger", "anmarkning",
        "anmarkningar", "merknad", "huom", "not", "notlar", "opm", "oss", "erstattet af",
        "erstattes af", "ersatt av", "erstattet av", "zastapiony przez", "zamiennik", "nahrazeno",
        "nahrada", "info", "new no", "new number", "neue nr", "nowy numer",
    )
)  # fmt: skip
#: Words of a heading that change nothing of what it says.
_FILLERS: Final = _words(
    "our your the of a an days tage jours giorni dias dagen j gg mm um inch inches eur euro usd "
    "gbp chf per pro je par each ea pc piece pce stk st stuck unit unitaire unitario unitaria u "
    "pz ud net netto neto nett ht excl ex exkl hors tax taxe steuer de del di du des la le les "
    "el il der die das den fur for im in d l us uk eu e s"
)
_ARTICLE: Final = _words("item article product part artikel art produkt goods")
_SIZE_FILLERS: Final = _words(
    "nominal nenn nom cyl cylinder zylinder cilindro cil zyl valec valce silindir cylindra "
    "cylindre finished final fini end finito alesato"
)
#: Words that make a heading say something else.
_OTHERWISE: Final = _words(
    "old alt alte alter ancien ancienne vecchio viejo antiguo oud oude previous former min "
    "minimum mini max maximum melde mindest ordered reserved reserviert transit incoming "
    "backorder wanted value wert valeur valore valor waarde discount rabatt remise sconto dto "
    "descuento korting supplier lieferant fournisseur fornitore proveedor leverancier vendor "
    "customer kunden oem ean upc barcode height hohe hauteur altezza altura hoogte pin bolzen "
    "axe spinotto bulon groove nut weight gewicht poids peso stroke hub course corsa carrera "
    "slag length lange longueur lunghezza largo compression core deposit pfand year jahr annee "
    "anno date datum fecha data page seite surcharge"
)
#: Headings of counts that may be in stock, in a pack or wanted.
COUNTED: Final = frozenset(
    (
        "qty", "quantity", "pieces", "pcs", "menge", "stuck", "stuckzahl", "quantite", "qte",
        "quantita", "pezzi", "uds", "unidades", "cantidad", "q ta", "qta", "aantal", "qtd",
        "quantidade", "units",
    )
)  # fmt: skip


#: The unit of a column as a part of a millimetre or an inch.
_PARTS: Final = re.compile(r"\b(?:1\s?/\s?1000?|0[.,]0?01)\b(?:\s?(?:mm|in))?")


def bare_heading(title: str) -> str:
    """Return a heading as it is compared: without brackets, the sign of a diameter as its word."""
    said = re.sub(r"[øØ⌀]", " diameter ", _PARTS.sub(" ", title))
    return plain(re.sub(r"[\[(].*?[\])]", " ", said)) or plain(said)


@lru_cache(maxsize=1 << 12)
def heading_likeness(title: str, role: Role) -> float:
    """Return how sure a title is to name a role.

    1 its word, 0.85 its word beside others that change nothing, 0.8 one cut short, 0.75 one spelt
    nearly so; 0.6 its word beside others that are not known: to be asked. 0 neither.
    """
    bare = bare_heading(title)
    tokens = bare.split()
    extra = set(plain(" ".join(re.findall(r"[\[(](.*?)[\])]", title))).split()) - set(tokens)
    if bare in HEADINGS[role] and not extra - _FILLERS:
        return 1.0
    if not bare and role == "price" and any(sign in title for sign in "€£$¥"):
        return 0.85
    if not bare or _OTHERWISE & {*tokens, *extra}:
        return 0.0
    found = _nearly(title, tokens, role)
    return min(found, 0.6) if extra - _FILLERS else found


_STANDARD: Final = _words("std standard serie original origine origin orig originale")


def _nearly(title: str, tokens: Sequence[str], role: Role) -> float:
    words, bare = HEADINGS[role], " ".join(tokens)
    fillers = _FILLERS
    if role in ("bore", "standard"):
        fillers |= _SIZE_FILLERS
    elif role in ("number", "description", "price", "stock"):
        fillers |= _ARTICLE
    rest = {token for token in tokens if token not in fillers}
    if role == "standard" and rest & _STANDARD:
        named = " ".join(token for token in tokens if token in rest - _STANDARD)
        return 0.85 if named in HEADINGS["bore"] else 0.0
    long = [word for word in words if len(word) > 3]
    told = any(set(word.split()) - fillers == rest for word in words) if rest else False
    money = role == "price" and any(sign in title for sign in "€£$¥")
    bare_price = (
        role == "price" and not rest and not set(words).isdisjoint(tokens)
    )  # Net each, Net EUR
    if told or bare_price or (money and not rest) or (role == "number" and _numbers(tokens)):
        return 0.85
    cut = {plain(part) for part in re.findall(r"\w{3,}(?=\.)", title)}
    short = any(word.startswith(part) and word != part for part in cut for word in long)
    if short:
        return 0.8 if rest <= cut else 0.6
    if get_close_matches(bare, long, n=1, cutoff=0.85):
        return 0.75
    whole = any(set(word.split()) <= set(tokens) for word in long)
    numbered = role == "number" and set(tokens) & {"no", "nr", "num", "ref", "sku"}
    return 0.6 if whole or numbered or money else 0.0


def _numbers(tokens: Sequence[str]) -> bool:
    """Tell whether words say 'number of the article' and nothing else."""
    named = {"no", "nr", "num", "ref", "sku", "number", "code"}
    return bool(named & set(tokens)) and set(tokens) <= named | _FILLERS | _ARTICLE
