"""Figures of price and stock lists: thousands marks, decimal commas, currency signs, sizes."""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from typing import Final, Literal

from fitsolver.base.lengths import TICKS_PER, Unit
from fitsolver.reading.list_words import YES, plain

Mark = Literal[".", ","]


class Figure(str):
    """A figure that a spreadsheet holds as one: its decimal mark is the point."""

    __slots__ = ()


#: Codes of ISO 4217 by the signs and words of price lists; '' where several use it.
_CURRENCIES: Final = {
    "€": "EUR", "£": "GBP", "$": "USD", "¥": "JPY", "₺": "TRY", "eur": "EUR", "euro": "EUR",
    "gbp": "GBP", "usd": "USD", "chf": "CHF", "sfr": "CHF", "sek": "SEK", "nok": "NOK",
    "dkk": "DKK", "pln": "PLN", "zł": "PLN", "zl": "PLN", "czk": "CZK", "kč": "CZK",
    "huf": "HUF", "ft": "HUF", "ron": "RON", "lei": "RON", "try": "TRY", "tl": "TRY",
    "cad": "CAD", "aud": "AUD", "nzd": "NZD", "zar": "ZAR", "brl": "BRL", "r$": "BRL",
    "jpy": "JPY", "inr": "INR", "₹": "INR", "rs": "", "kr": "",
}  # fmt: skip
_CURRENCY: Final = re.compile(
    r"(?i:r\$)|[€£$¥₺₹]|(?<![^\W\d_])(?i:"
    + "|".join(word for word in _CURRENCIES if word.isalpha())
    + r")(?![^\W\d_])\.?"
)
_BLANKS: Final = "\u00a0\u202f\u2009 '’"
_NO_BLANKS: Final = str.maketrans("", "", _BLANKS)
_NO_CENTS: Final = re.compile(r"/[-=]{1,2}$|[.,][-–—]{1,2}$|-{2}$")
_DASHES: Final = ("-", "–", "—", "=")
_DIGITS: Final = re.compile(r"[+-]?(?:\d[\d.,]*|[.,]\d+)(?:[.,]?-{1,2})?")
_TELLS: Final = re.compile(r"([.,])(\d+)$")


@lru_cache(maxsize=1 << 14)
def currency_of(text: str) -> str:
    """Return the currency that a cell or heading names, '' if none."""
    found = _CURRENCY.search(text)
    return "" if found is None else _CURRENCIES[found[0].lower().rstrip(".")]


#: What says that a price is for one piece; another word behind a price leaves it unclear.
_A_PIECE: Final = re.compile(
    r"\s*(?:/|p\.?\s?/|per|je|par|por|à)\s*(?:st(?:k|ck|ück|uk)?|pcs?|pce|ea(?:ch)?|unit|ud|u|pz|"
    r"pezzo|pi[eè]ce|piece|kit|pza|peça|szt|ks|adet)\.?\s*$|\s+(?:each|ea)\.?\s*$",
    re.IGNORECASE,
)


@lru_cache(maxsize=1 << 16)
def bare_number(text: str) -> str:
    """Return a cell without currency, blanks and the dash that stands for no cents."""
    if text.isdecimal():
        return text
    bare = _A_PIECE.sub("", _CURRENCY.sub("", text)).translate(_NO_BLANKS)
    return _NO_CENTS.sub("", bare) if bare[-1:] in _DASHES else bare


def decimal_mark(cells: Iterable[str]) -> Mark | None:
    """Return the decimal mark of a column of amounts, None where its cells cannot tell.

    A cell with both marks tells: the last is the decimal one. With one mark it tells unless
    exactly three digits follow, which may be thousands.
    """
    told: set[Mark] = set()
    for cell in {cell for cell in cells if "." in cell or "," in cell}:
        bare = bare_number(cell)
        if not _DIGITS.fullmatch(bare):
            continue
        marks = [sign for sign in bare if sign in ".,"]
        last = _TELLS.search(bare)
        if not marks or last is None:
            continue
        if len(set(marks)) == 2:
            told.add("," if last[1] == "," else ".")
        elif len(marks) > 1:
            told.add("." if marks[0] == "," else ",")
        elif len(last[2]) != 3:
            told.add("," if last[1] == "," else ".")
    return told.pop() if len(told) == 1 else None


_AMOUNT: Final = {
    mark: re.compile(
        rf"[+-]?(?:\d{{1,3}}(?:{re.escape(thousands)}\d{{3}})+|\d+)?(?:{re.escape(mark)}\d+)?"
    )
    for mark, thousands in ((".", ","), (",", "."))
}


@lru_cache(maxsize=1 << 16)
def amount(text: str, mark: Mark) -> Fraction | None:
    """Return an amount exactly, None for a cell that is none; thousands stand in threes."""
    bare = bare_number(text)
    thousands = "," if mark == "." else "."
    if not _AMOUNT[mark].fullmatch(bare) or not any(sign.isdigit() for sign in bare):
        return None
    return Fraction(bare.replace(thousands, "").replace(mark, "."))


_OWN_MARK: Final = re.compile(r"^\d+[.,]\d{1,2}$")


@lru_cache(maxsize=1 << 16)
def money(text: str, mark: Mark) -> int | None:
    """Return a price in hundredths, None for a cell that is none or is finer.

    A cell that tells its own mark ('58.4': no thousands) goes by it.
    """
    found = amount(text, mark)
    if found is None and _OWN_MARK.search(bare_number(text)):
        found = amount(text, "," if mark == "." else ".")
    cents = None if found is None else found * 100
    return None if cents is None or cents.denominator != 1 or cents < 0 else cents.numerator


_THREE: Final = re.compile(r"\d{1,3}([.,])\d{3}")


def may_be_thousands(text: str, mark: Mark) -> bool:
    """Tell whether three digits after what is a decimal mark elsewhere may be thousands."""
    found = _THREE.fullmatch(bare_number(text))
    return found is not None and found[1] == mark


_COUNT: Final = re.compile(r"[>≥]?\s*(\d+)(?:[.,]0{1,2})?\+?\s*([^\W\d_]*)\.?")
#: Pieces are whole, so that a mark before three figures is of thousands; '3,000' may be 3.
_THOUSANDS: Final = re.compile(r"\d{1,3}[.,]\d{3}")
#: Words for pieces; a short one of another language counts too, but for those of time.
_PIECES: Final = ("piece", "pieces", "pièce", "pièces", "stück", "stuck")
_OF_TIME: Final = ("d", "h", "j", "w", "wk", "wks", "tg", "tag", "wo", "gg", "day", "sem", "jrs")
_NONE_LEFT: Final = frozenset(
    (
        "none", "no", "nil", "out", "keine", "nein", "non", "nessuno", "agotado", "0", "n", "nee",
        "nao", "sold out", "ausverkauft", "uitverkocht", "backorder", "back order", "on order",
        "bestellt", "im zulauf", "en commande", "in ordine", "agotada", "zero", "nie", "ne", "nej",
        "nei", "brak", "slut", "udsolgt", "utsolgt", "utsald", "slutsald", "neni skladem", "epuise",
        "rupture", "esaurito", "yok", "nie ma", "hayir", "tukendi", "neni", "nincs", "ei", "nada",
        "out of stock", "nicht vorratig", "nicht lieferbar", "nicht am lager", "vergriffen",
        "non disponibile", "no disponible", "indisponible", "esgotado", "sem stock", "aucun",
        "niet voorradig", "niet op voorraad", "ikke pa lager", "ej i lager", "na objednavku",
        "na zamowienie", "in bestelling", "pa vag", "ordered", "rupture de stock", "en rupture",
        "sin stock", "exhausted", "unavailable", "not available", "op", "0 pcs",
    )
)  # fmt: skip
#: Words that say that an article is ordered when it is asked for.
_ORDERED: Final = frozenset(
    (
        "order", "ordered", "commande", "cde", "bestellung", "bestellen", "pedido", "ordine",
        "encargo", "bestelling", "zamowienie", "objednavku", "objednani", "encomenda",
        "ordinazione",
        "bestilling", "bestallning", "siparis", "nachlieferung",
    )
)  # fmt: skip
_NO_FIGURE: Final = ("", "-", "--", "–", "—")


@lru_cache(maxsize=1 << 14)
def count(text: str) -> int | None:
    """Return pieces in stock; '>10' and '10+' are 10, an empty cell or a dash 0, None unclear."""
    bare = text.strip().lower()
    if bare in _NO_FIGURE or plain(bare) in _NONE_LEFT:
        return 0
    if _THOUSANDS.fullmatch(bare) and not bare.endswith("000"):
        return int(bare.replace(",", "").replace(".", ""))
    told = plain(bare)
    if _ORDERED & set(told.split()) and not bare[:1].isdecimal():
        return 0
    first, _, rest = told.partition(" ")
    if first.isdecimal() and rest in YES and bare[:1].isdecimal():
        return int(first)
    found = _COUNT.fullmatch(bare)
    if found is None or found[2] in _OF_TIME or (len(found[2]) > 4 and found[2] not in _PIECES):
        return None
    return int(found[1])


_TIME: Final = re.compile(r"(\d{1,3})(?:\s*(?:-|–|/|à|to|bis|a)\s*(\d{1,3}))?\s*([^\W\d_]*)\.?")
_DAYS: Final = frozenset(
    (
        "d", "day", "days", "tag", "tage", "tagen", "tg", "jour", "jours", "j", "giorno", "giorni",
        "gg", "día", "días", "dia", "dias", "dag", "dagen", "working",
    )
)  # fmt: skip
_WEEKS: Final = frozenset(
    (
        "w", "wk", "wks", "week", "weeks", "woche", "wochen", "wo", "semaine", "semaines", "sem",
        "settimana", "settimane", "sett", "semana", "semanas", "weken",
    )
)  # fmt: skip


@lru_cache(maxsize=1 << 14)
def lead_time(text: str) -> tuple[int, str] | None:
    """Return a lead time, the longer of two, and its unit: days, weeks, '' where it is not known.

    None for a cell that is none.
    """
    found = _TIME.fullmatch(text.strip())
    if found is None:
        return None
    word = found[3].lower()
    unit = "days" if word in _DAYS else "weeks" if word in _WEEKS else ""
    return int(found[2] or found[1]), unit


@lru_cache(maxsize=1 << 14)
def days(text: str) -> int | None:
    """Return a lead time in days, weeks counting seven; days where it names no unit.

    None where it is none, or its unit is not known.
    """
    found = lead_time(text)
    if found is None or (not found[1] and text.strip()[-1:].isalpha()):
        return None
    return found[0] * (7 if found[1] == "weeks" else 1)


@lru_cache(maxsize=1 << 14)
def length(text: str, unit: Unit, mark: Mark) -> int | None:
    """Return a size in ticks, None if it is none or finer than the grid; its own unit counts."""
    bare = text.strip().lower().lstrip("øØ⌀").strip()
    for ending, own in (("mm", "mm"), ('"', "in"), ("inch", "in"), ("in", "in")):
        if bare.endswith(ending):
            bare, unit = bare[: -len(ending)].strip(), own  # type: ignore[assignment]
            break
    found = amount(bare, mark)
    ticks = None if found is None else found * TICKS_PER[unit]
    if ticks is None or (ticks.denominator != 1 and not _is_64th(found, unit)):
        return None
    return ticks.numerator // ticks.denominator


def _is_64th(found: Fraction | None, unit: Unit) -> bool:
    """Tell a 64th of an inch: half a tick, 5 nm, is given up."""
    return unit == "in" and found is not None and (found * 64).denominator == 1
