"""What an article of a list is, by its words in twelve languages.

From memory of ordinary trade language. What the words leave open is asked, and what is answered
stands in the mapping file.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Final, Literal, get_args

from fitsolver.reading.list_kind_words import ALONE, COMPLETE, WITH, parts_of, stem_of, written_out
from fitsolver.reading.list_words import LINKS, plain

#: What an article of a list can be; `none` is what a person calls no part of a catalogue.
Kind = Literal["piston kit", "piston", "rings", "gasket", "pin", "circlip"]
KINDS: Final[tuple[Kind, ...]] = get_args(Kind)
NO_PART: Final = "none"
#: Gaskets by where they go.
PLACED: Final[dict[str, str]] = {"head gasket": "head", "base gasket": "base"}
#: What a person calls a word that stands for no oversize.
STANDARD: Final = "standard"
#: What a person may say that a phrase names.
ANSWERS: Final = (*KINDS, *PLACED, NO_PART, STANDARD)

#: What is sold for a part is not that part.
_TOOLS: Final = frozenset(
    (
        "tool", "tools", "compressor", "pliers", "expander", "zange", "spannband", "werkzeug",
        "pince", "outil", "pinza", "utensile", "alicates", "herramienta", "ferramenta",
        "gereedschap", "paste", "cleaner", "stop", "plug", "vice", "puller", "abzieher", "klucz",
        "bush", "bushing", "bushings", "buchse", "bearing", "lager", "land", "groove", "spacer",
        "extractor", "gauge", "button", "buttons", "remover", "installer", "bague", "boccola",
        "bussola", "casquillo", "bronzina", "lozysko", "pouzdro", "tuleja", "bussning", "bosning",
        "narzedzie", "verktyg", "vaerktoj", "verktoy", "tang",
    )
)  # fmt: skip


_SINGLE: Final[tuple[Kind, ...]] = ("rings", "pin", "circlip")


def phrase(words: str) -> str:
    """Return words as they are compared: plain, a plus sign and a comma between them as a word."""
    return plain(re.sub(r"[+&]|,(?=\s*[^\W\d_])", " and ", words))


#: 'Piston/rings' may be either, or both.
_EITHER: Final = re.compile(r"(?<=[^\W\d_]{3})\s*/\s*(?=[^\W\d_]{3})")


@lru_cache(maxsize=1 << 14)
def kind_of(words: str) -> Kind | None:
    """Return what an article is by its words, None where they do not say."""
    tokens = phrase(_EITHER.sub(" or ", written_out(words))).split()
    stems = [(at, stem) for at, token in enumerate(tokens) if (stem := stem_of(token))]
    if not stems or _TOOLS & set(tokens):
        return None
    first: dict[str, int] = {stem: at for at, stem in reversed(stems)}
    if "gasket" in first:
        several = COMPLETE & {part for token in tokens for part in parts_of(token)}
        return None if several or {"piston", "kit", "rings", "pin"} & set(first) else "gasket"
    if "kit" in first:
        return None if ALONE & set(tokens) else "piston kit"
    if "piston" in first:
        return _of_piston(tokens, first)
    return _of_small_part(tokens, first)


def _of_small_part(tokens: Sequence[str], first: Mapping[str, int]) -> Kind | None:
    """Return what is meant by words with rings, pins or circlips among them, and no piston."""
    if {"pin", "circlip"} <= set(first):
        return None if WITH & set(tokens) else "circlip"  # of a pin
    if {"pin", "rings"} <= set(first):
        return None  # a ring that holds a pin, or rings with one
    single: Kind = next(one for one in _SINGLE if one in first)
    comes_with = WITH & set(tokens[: first[single]])  # a word before it names what it comes with
    return None if comes_with else single


def _of_piston(tokens: Sequence[str], first: Mapping[str, int]) -> Kind | None:
    """Return what is meant by words with a piston among them."""
    alone, complete = ALONE & set(tokens), COMPLETE & set(tokens)
    others = [one for one in _SINGLE if one in first]
    if not others:
        single: Kind = "piston kit" if complete else "piston"
        return None if alone and complete else single
    other = min(others, key=lambda one: first[one])
    start, stop = sorted((first["piston"], first[other]))
    between = set(tokens[start + 1 : stop])
    if first[other] < first["piston"]:
        return None if between & WITH else other
    if not between:  # piston rings; 'set piston rings', 'piston segments' may be either
        either = set(tokens[:start]) & COMPLETE or tokens[stop] not in _BEHIND
        return None if either else other
    if between & ALONE and "or" not in between:
        return "piston"
    comes_with = between & WITH or complete
    kit = comes_with and "rings" in first and not alone and "or" not in between
    return "piston kit" if kit else None


#: What is of a piston where it stands behind that word; others may come with it.
_BEHIND: Final = frozenset(
    (
        "ring", "rings", "ringset", "ringe", "ringen", "pin", "pins", "circlip", "circlips", "clip",
        "clips",
    )
)  # fmt: skip


def is_bare(words: str) -> bool:
    """Tell whether words name a piston without saying whether anything comes with it."""
    return kind_of(words) == "piston" and not ALONE & set(phrase(words).split())


def comes_with(word: str) -> bool:
    """Tell whether a word says that something comes with what is named before it."""
    return plain(word) in WITH


@lru_cache(maxsize=1 << 14)
def tells_kind(word: str) -> bool:
    """Tell whether a word has a say in what an article is."""
    tokens = phrase(written_out(word)).split()
    return any(stem_of(t) or t in COMPLETE or t in ALONE for t in tokens)


@lru_cache(maxsize=1 << 14)
def says_nothing_more(word: str) -> bool:
    """Tell whether a word beside the name of an article is counted in its kind, or ties words."""
    tokens = phrase(written_out(word)).split()
    return all(stem_of(t) or t in COMPLETE or t in ALONE or t in WITH or t in LINKS for t in tokens)


@lru_cache(maxsize=1 << 14)
def names_article(word: str) -> bool:
    """Tell whether a word names an article."""
    return any(stem_of(token) for token in phrase(written_out(word)).split())
