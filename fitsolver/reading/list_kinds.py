"""What an article of a list is, by its words in twelve languages.

From memory of ordinary trade language. What the words leave open is asked, and what is answered
stands in the mapping file.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Final, Literal, get_args

from fitsolver.reading.list_words import CYLINDERS, LINKS, plain

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

Stem = Literal["piston", "rings", "gasket", "pin", "circlip", "kit"]

#: Words that name an article, singular and plural, in en, de, fr, it, es, pt, nl.
_STEMS: Final[dict[Stem, str]] = {
    "piston": (
        "piston pistons pistone pistoni pistones pistao pistoes kolben zuiger zuigers kolv kolvar "
        "stempel stempler tlok tloki pist pisty manta mannat"
    ),
    "rings": (
        "ring rings ringset ringe ringen ringsatz kolbenring kolbenringe kolbenringen "
        "kolbenringsatz segment segments segmenti segmento segmentos fasce fascia aro aros veren "
        "zuigerveer zuigerveren kolvring kolvringar kolvringssats ringar ringsats stempelring "
        "stempelringe stempelringer ringer ringsett pierscien pierscienie pierscieni krouzek "
        "krouzky krouzku"
    ),
    "gasket": (
        "gasket gaskets dichtung dichtungen dichtsatz dichtungssatz kopfdichtung fussdichtung "
        "zylinderkopfdichtung zylinderfussdichtung joint joints guarnizione guarnizioni junta "
        "juntas pakking koppakking voetpakking packning topplockspackning toppackning "
        "fotpackning pakning toppakning bundpakning bunnpakning uszczelka tesneni"
    ),
    "pin": (
        "pin pins gudgeon bolzen kolbenbolzen spinotto spinotti bulon bulones zuigerpen cavilha "
        "wrist wristpin kolvtapp kolvbult stempelbolt stempelpind sworzen cep"
    ),
    "circlip": (
        "circlip circlips clip clips sicherungsring sicherungsringe sprengring seeger lasring "
        "lasringar lasering laseringe pojistka pojistky zabezpieczenie"
    ),
    "kit": (
        "pistonkit pistonset kolbensatz kolbenkit kolbenset zuigerset zuigersets kolvsats "
        "kolvsatser stempelsaet stempelsett stempelkit"
    ),
}  # fmt: skip
_STEM_OF: Final[dict[str, Stem]] = {w: s for s, words in _STEMS.items() for w in words.split()}


def _set(words: str) -> frozenset[str]:
    return frozenset(words.split())


#: What makes a piston a kit, and what says that nothing comes with it.
_COMPLETE: Final = _set(
    "kit kits set satz assy assembly complete complet complets completo completa compl cpl kpl "
    "kompl komplett compleet cplt jogo juego jeu conjunto ensemble ens gruppo komplet kompletny "
    "kompletni sats saet sett sada zestaw sestava"
)
_ALONE: Final = _set(
    "only alone los losse loose seul nu solo suelto einzeln ohne without sans senza sin zonder "
    "sem bare nur enbart endast kun tylko pouze samotny bez utan uden uten"
)
_WITH: Final = _set(
    "with w mit m avec con com met and und et e y en incl inkl including c med och og z ze se"
)
#: What is sold for a part is not that part.
_TOOLS: Final = _set(
    "tool tools compressor pliers expander zange spannband werkzeug pince outil pinza utensile "
    "alicates herramienta ferramenta gereedschap paste cleaner stop plug vice"
)


_SINGLE: Final[tuple[Kind, ...]] = ("rings", "pin", "circlip")


def phrase(words: str) -> str:
    """Return words as they are compared: plain, a plus sign and a comma between them as a word."""
    return plain(re.sub(r"[+&]|,(?=\s*[^\W\d_])", " and ", words))


#: 'Piston/rings' may be either, or both.
_EITHER: Final = re.compile(r"(?<=[^\W\d_]{3})\s*/\s*(?=[^\W\d_]{3})")


@lru_cache(maxsize=1 << 14)
def kind_of(words: str) -> Kind | None:
    """Return what an article is by its words, None where they do not say."""
    tokens = phrase(_EITHER.sub(" or ", words)).split()
    stems = [(at, stem) for at, token in enumerate(tokens) if (stem := _STEM_OF.get(token))]
    if not stems or _TOOLS & set(tokens):
        return None
    first: dict[str, int] = {stem: at for at, stem in reversed(stems)}
    if "gasket" in first:
        return None if {"piston", "kit", "rings", "pin"} & set(first) else "gasket"
    if "kit" in first:
        return None if _ALONE & set(tokens) else "piston kit"
    if "piston" in first:
        return _of_piston(tokens, first)
    if {"pin", "circlip"} <= set(first):
        return None if _WITH & set(tokens) else "circlip"  # of a pin
    single: Kind = next(one for one in _SINGLE if one in first)
    comes_with = _WITH & set(tokens[: first[single]])  # a word before it names what it comes with
    return None if comes_with else single


def _of_piston(tokens: Sequence[str], first: Mapping[str, int]) -> Kind | None:
    """Return what is meant by words with a piston among them."""
    alone, complete = _ALONE & set(tokens), _COMPLETE & set(tokens)
    others = [one for one in _SINGLE if one in first]
    if not others:
        single: Kind = "piston kit" if complete else "piston"
        return None if alone and complete else single
    other = min(others, key=lambda one: first[one])
    start, stop = sorted((first["piston"], first[other]))
    between = set(tokens[start + 1 : stop])
    if first[other] < first["piston"]:
        return None if between & _WITH else other
    if not between:  # piston rings; 'set piston rings', 'piston segments' may be either
        either = set(tokens[:start]) & _COMPLETE or tokens[stop] not in _BEHIND
        return None if either else other
    if between & _ALONE and "or" not in between:
        return "piston"
    comes_with = between & _WITH or complete
    kit = comes_with and "rings" in first and not alone and "or" not in between
    return "piston kit" if kit else None


#: What is of a piston where it stands behind that word; others may come with it.
_BEHIND: Final = _set("ring rings ringset ringe ringen pin pins circlip circlips clip clips")


def is_bare(words: str) -> bool:
    """Tell whether words name a piston without saying whether anything comes with it."""
    return kind_of(words) == "piston" and not _ALONE & set(phrase(words).split())


def comes_with(word: str) -> bool:
    """Tell whether a word says that something comes with what is named before it."""
    return plain(word) in _WITH


@lru_cache(maxsize=1 << 14)
def tells_kind(word: str) -> bool:
    """Tell whether a word has a say in what an article is."""
    tokens = phrase(word).split()
    return any(t in _STEM_OF or t in _COMPLETE or t in _ALONE for t in tokens)


@lru_cache(maxsize=1 << 14)
def says_nothing_more(word: str) -> bool:
    """Tell whether a word beside the name of an article is counted in its kind, or ties words."""
    tokens = phrase(word).split()
    return all(
        t in _STEM_OF or t in _COMPLETE or t in _ALONE or t in _WITH or t in LINKS for t in tokens
    )


@lru_cache(maxsize=1 << 14)
def names_article(word: str) -> bool:
    """Tell whether a word names an article."""
    return any(token in _STEM_OF for token in phrase(word).split())


#: Where a gasket goes, by words of its name.
_PLACES: Final[dict[str, tuple[str, ...]]] = {
    "head": (
        "head",
        "kopf",
        "culasse",
        "testa",
        "testata",
        "culata",
        "cabeca",
        "kop",
        "topp",
        "top",
        "glowica",
        "glowicy",
        "hlava",
        "hlavy",
        "topplock",
        "topplockspackning",
        "toppackning",
        "toppakning",
    ),
    "base": (
        "base",
        "fuss",
        "embase",
        "voet",
        "basamento",
        "fot",
        "fotpackning",
        "bundpakning",
        "bunnpakning",
        "podstawy",
        "paty",
    ),
}


def places_words() -> frozenset[str]:
    """Return the words that say where a gasket goes, and what it goes to."""
    return _PLACE_WORDS


_PLACE_WORDS: Final = CYLINDERS | {word for words in _PLACES.values() for word in words}


def place_of(words: str) -> str:
    """Return where a gasket goes by its words, '' where they do not say, or say both."""
    tokens = set(plain(words).split())
    found = {
        place
        for place, known in _PLACES.items()
        if any(
            token in known or any(w in token for w in known if len(w) > 3 and "dicht" in token)
            or any(token == f"{w}pakking" for w in known)
            for token in tokens
        )
    }  # fmt: skip
    return found.pop() if len(found) == 1 else ""
