"""Words that name articles, whole, compound and cut short, in twelve languages.

From memory of ordinary trade language.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final, Literal

from fitsolver.reading.list_words import CYLINDERS, plain

Stem = Literal["piston", "rings", "gasket", "pin", "circlip", "kit"]

#: Words that name an article, singular and plural.
_STEMS: Final[dict[Stem, str]] = {
    "piston": (
        "piston pistons pistone pistoni pistones pistao pistoes kolben zuiger zuigers kolv kolvar "
        "kolvene stempel stempler tlok tloki tloka tlokow pist pisty pistu pistni manta mannat "
        "mannan"
    ),
    "rings": (
        "ring rings ringset ringe ringen ringsatz kolbenring kolbenringe kolbenringen "
        "kolbenringsatz segment segments segmenti segmento segmentos fasce fascia aro aros veren "
        "veer zuigerveer zuigerveren kolvring kolvringar kolvringssats ringar ringsats stempelring "
        "stempelringe stempelringer ringer ringsett pierscien pierscienie pierscieni krouzek "
        "krouzky krouzku segman segmanlar segmani renkaat renkaan"
    ),
    "gasket": (
        "gasket gaskets dichtung dichtungen kopfdichtung fussdichtung "
        "zylinderkopfdichtung zylinderfussdichtung joint joints guarnizione guarnizioni junta "
        "juntas pakking pakkingen koppakking voetpakking packning packningar topplockspackning "
        "toppackning fotpackning pakning pakninger toppakning bundpakning bunnpakning uszczelka "
        "uszczelki tesneni conta contasi contalar tiiviste tiivisteet"
    ),
    "pin": (
        "pin pins gudgeon bolzen kolbenbolzen spinotto spinotti bulon bulones zuigerpen cavilha "
        "cavilhas wrist wristpin kolvtapp kolvbult stempelbolt stempelpind pind pinde sworzen "
        "sworznie cep cepy pim pimi perno pernos pen "
        "pennen"
    ),
    "circlip": (
        "circlip circlips clip clips sicherungsring sicherungsringe sprengring sprengringe seeger "
        "lasring lasringar lasering laseringe pojistka pojistky zabezpieczenie zabezpieczenia "
        "borgveer borgveren anilha fermo fermi lock locks retainer "
        "retainers keeper keepers snapring freno frenos freio freios segurman lukkorengas"
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
COMPLETE: Final = _set(
    "kit kits set sets satz satze assy assembly complete complet complets completo completa compl "
    "cpl kpl kompl komplett compleet cplt jogo juego jeu conjunto ensemble ens gruppo komplet "
    "kompletni kompletny kompletna komple sats satser saet sett sada zestaw zestawy sestava sarja "
    "volledig fullstandig pack cmpl cpt cjto cto jgo jgos cj jg garnitur"
)
ALONE: Final = _set(
    "only alone los losse loose seul nu nus solo suelto einzeln ohne without sans senza sin zonder "
    "sem bare nur enbart endast kun tylko pouze samotny sam bez utan uden uten nudo sozinho avulso "
    "kaal enkel yalniz sade plain"
)
WITH: Final = _set(
    "with w mit m avec con com met und and et e y en incl inkl including c med och og z ze se ile "
    "ve"
)
#: Where a gasket goes, by words of its name.
PLACES: Final[dict[str, frozenset[str]]] = {
    "head": _set(
        "head kopf culasse testa testata culata cabeca cabecote kop topp top glowica glowicy "
        "glowice hlava hlavy hlavu topplock topplocks topplockspackning toppackning toppakning "
        "kapak zylinderkopf cilinderkop cylinderkop"
    ),
    "base": _set(
        "base fuss fus embase voet basamento fot fod bund bunn fotpackning bundpakning bunnpakning "
        "podstawy podstawa paty alti alt zylinderfuss cylinderfod cylinderfot cilindervoet foot "
        "pied pie"
    ),
}
#: Before a ring that holds a pin.
_HOLDING: Final = _set("sicherungs spreng las lase seeger borg lock snap zeger")
#: Endings of plurals and cases.
_ENDINGS: Final = ("s", "e", "n", "en", "er", "r", "es", "i", "y", "ar")
_JOINTS: Final = ("", "s", "n", "en", "e")
_FIRST: Final = (
    set(_STEM_OF) | CYLINDERS | {w for words in PLACES.values() for w in words} | {"cyl", "zyl"}
)  # fmt: skip


@lru_cache(maxsize=1 << 14)
def parts_of(word: str) -> tuple[str, ...]:
    """Return the words that a plain word is made of: `zylinderfussdichtung`; itself alone if none.

    The last of them names the article.
    """
    if word in COMPLETE or len(word) < 7:
        return (word,)
    for at in range(3, len(word) - 2):
        last = word[at:]
        if last not in _STEM_OF and last not in COMPLETE:
            continue
        for joint in _JOINTS:
            first = word[: at - len(joint)] if word[:at].endswith(joint) else ""
            if first in _FIRST or (first in _HOLDING and _STEM_OF.get(last) == "rings"):
                return first, *parts_of(last)
            before = parts_of(first) if len(first) > 6 else ()
            if len(before) > 1:
                return (*before, *parts_of(last))
    return (word,)


@lru_cache(maxsize=1 << 14)
def stem_of(word: str) -> Stem | None:
    """Return what a plain word names, None where it names no article."""
    known = _STEM_OF.get(word)
    if known is not None:
        return known
    *firsts, last = parts_of(word)
    if not firsts:
        base = (word[: -len(end)] for end in _ENDINGS if word.endswith(end) and len(word) > 6)
        return next((_STEM_OF[one] for one in base if one in _STEM_OF), None)
    if firsts[-1] in _HOLDING:
        return "circlip"
    if last in COMPLETE:
        first = _STEM_OF.get(firsts[-1])
        return "kit" if first == "piston" else first
    return _STEM_OF[last]


_CUT: Final = re.compile(r"([^\W\d_]{3,})\.(?!\w)")


@lru_cache(maxsize=1 << 12)
def _whole(cut: str) -> str:
    """Return a word of the stem that a word cut short begins, itself where it is not one."""
    bare = plain(cut)
    if bare in _STEM_OF or bare in COMPLETE or bare in ALONE:
        return cut
    begun = [word for word in _STEM_OF if word.startswith(bare)]
    return begun[0] if len({_STEM_OF[word] for word in begun}) == 1 else cut


def written_out(words: str) -> str:
    """Return words with those of articles that are cut short written out: `Segm.`, `Guarn.`."""
    return _CUT.sub(lambda found: f"{_whole(found[1])} ", words) if "." in words else words


def places_words() -> frozenset[str]:
    """Return the words that say where a gasket goes, and what it goes to."""
    return _PLACE_WORDS


_PLACE_WORDS: Final = CYLINDERS | {w for words in PLACES.values() for w in words} | {"pod", "cyl"}


def place_of(words: str) -> str:
    """Return where a gasket goes by its words, '' where they do not say, or say both."""
    tokens = {part for token in plain(words).split() for part in parts_of(token)}
    found = {place for place, known in PLACES.items() if tokens & known}
    if not found and "pod" in tokens:  # below the cylinder
        return "base"
    return found.pop() if len(found) == 1 else ""
