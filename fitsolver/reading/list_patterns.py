"""Descriptions of a list, read by patterns that a person can read and change.

A pattern is a description with its figures named: `{kind} {words} {bore} {oversize} ({grade})`.
Small and capital letters count alike, and so does the number of blanks. `{words}` stands for any
words that say nothing here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.reading.list_figures import Mark, length
from fitsolver.reading.list_kind_words import places_words
from fitsolver.reading.list_kinds import kind_of, phrase, tells_kind
from fitsolver.reading.list_pieces import (
    FAMILY_SIGN,
    named_by,
    pieces_of,
    words_beside,
)
from fitsolver.reading.list_words import (
    DIAMETER_WORDS,
    FOR_WORDS,
    GRADE_WORDS,
    LINKS,
    OVERSIZE_WORDS,
    STANDARD_BESIDE,
    STANDARD_WORDS,
    plain,
)

#: What a pattern may name.
FIELDS: Final = ("kind", "family", "bore", "oversize", "grade", "thickness", "words")


def _named(field: str) -> str:
    return f"{{{field}}}"


_UNIT: Final = r'(?:\s?(?:mm\b|"|in(?:ch)?\b))?'
#: A field begins and ends where no figure and no word goes on.
_BEGIN: Final = r"(?:(?<=\d[x×])|(?<=\b[dD])|(?<![^\W_])(?<!\d[.,]))"
_END: Final = r"(?=[x×]|(?![^\W_]|[.,]\d))"
_STANDARD: Final = "|".join(
    sorted((*STANDARD_WORDS, *STANDARD_BESIDE, "estándar", "padrão"), key=len, reverse=True)
).replace(" ", r"\s")
#: Behind a whole figure that is an oversize.
_BEHIND: Final = "|".join(sorted({w.replace(" ", "[ ./]?") for w in OVERSIZE_WORDS} | {"thou"}))
_GLUED: Final = "|".join(
    sorted({w for w in (*OVERSIZE_WORDS, *GRADE_WORDS, *DIAMETER_WORDS) if " " not in w}, key=len)
)
#: A word that says nothing: no figure but in a name as HX125, no one or two signs as of a grade.
WORD: Final = (
    r"(?:(?-i:[^\W\d_][^\W\d_A-Z])|[^\W\d_](?:[^\W\d_]|['’./-](?=[^\W\d_]{2})){2,}|"
    rf"(?!(?:{_GLUED})\d)[^\W\d_]{{2,}}\d+[^\W\d_]?)(?![^\W_])\.?"
)
_SIGNS: Final[dict[str, str]] = {
    "kind": rf"{WORD}(?:[\s,+&/.-]*(?:{WORD}|[^\W\d_]\.?))*?",
    "family": r"[^\W_](?:[^()\[\]]*?[^\W_])?",
    "bore": rf"(?:[øØ⌀]\s?)?\d{{1,3}}(?:[.,]\d{{1,6}})?{_UNIT}",
    "oversize": rf"(?:(?:{_STANDARD})\"?|[+]0\d\d|[+]?\s?\d{{0,2}}[.,]\d{{1,5}}{_UNIT}|0"
    rf"|\d{{2,3}}(?=\s?(?:{_BEHIND})\b))",
    "grade": r"(?:[A-Za-z]{1,2}\d?|\d{1,2})",
    "thickness": rf"\d{{0,2}}[.,]\d{{1,4}}{_UNIT}",
    "words": rf"{WORD}(?:[\s,+&/.:-]+{WORD})*?",
}
_FIELD: Final = re.compile(r"\{(\w*)\}")


@dataclass(frozen=True)
class Described:
    """What a description says, as it stands there; '' where it does not."""

    kind: str = ""
    family: str = ""
    bore: str = ""
    oversize: str = ""
    grade: str = ""
    thickness: str = ""


@lru_cache(maxsize=1 << 10)
def compiled(pattern: str, *, family: bool = False) -> re.Pattern[str]:
    """Return a pattern as an expression; raises InputError for a name it cannot have.

    With `family` the engine type is known, and stands in the text as its sign.
    """
    parts: list[str] = []
    at = 0
    seen: set[str] = set()
    for named in _FIELD.finditer(pattern):
        name = named[1]
        if name not in FIELDS or (name in seen and name != "words"):
            raise InputError(
                "this pattern cannot be read",
                field="pattern",
                found=pattern,
                allowed="text with " + ", ".join(_named(field) for field in FIELDS) + ", each once",
            )
        seen.add(name)
        parts.append(_literal(pattern[at : named.start()]))
        sign = FAMILY_SIGN if name == "family" and family else _SIGNS[name]
        parts.append(f"(?:{sign})" if name == "words" else f"{_BEGIN}(?P<{name}>{sign}){_END}")
        at = named.end()
    parts.append(_literal(pattern[at:]))
    return re.compile("".join(parts), re.IGNORECASE)


def _literal(text: str) -> str:
    return r"\s*".join(re.escape(part) for part in re.split(r"\s+", text)) if text else ""


def read_description(text: str, patterns: Iterable[str]) -> Described | None:
    """Return what a description says by the first pattern that it keeps to; None if by none."""
    line = " ".join(text.split())
    known = FAMILY_SIGN in line
    for pattern in patterns:
        found = compiled(pattern, family=known).fullmatch(line)
        if found is not None:
            said = {k: (v or "").strip() for k, v in found.groupdict().items()}
            if not known and said.get("family"):
                said["family"] = _bare_family(said["family"])
            return Described(**said)
    return None


def _bare_family(text: str) -> str:
    """Return the name of an engine type without words of the article at its ends: 'KIT P54'."""
    words = text.split()
    while words and _is_of_article(words[0]):
        words.pop(0)
    while words and _is_of_article(words[-1]):
        words.pop()
    return " ".join(words)


def _is_of_article(word: str) -> bool:
    """Tell whether a word beside the name of an engine type is of the article."""
    links = LINKS if len(word) > 1 and word.islower() else frozenset()
    return tells_kind(word) or plain(word) in places_words() | links | _FOR


_FOR: Final = frozenset(FOR_WORDS)


def with_family(text: str, family: str) -> str:
    """Return a description with the name of its engine type as a sign, where it stands there."""
    begin = _FIRST.search(family)
    if begin is None or begin[0].casefold() not in text.casefold():
        return text
    return _name(family).sub(FAMILY_SIGN, text, count=1)


_FIRST: Final = re.compile(r"[^\W_]+")


@lru_cache(maxsize=1 << 14)
def _name(family: str) -> re.Pattern[str]:
    parts = re.findall(r"[^\W_]+", family) or [family]
    name = r"[\s._/-]*".join(re.escape(part) for part in parts)
    return re.compile(rf"(?<![^\W_]){name}(?![^\W_])(?![.,]\d)", re.IGNORECASE)


def for_kind(patterns: Iterable[str], kind: str) -> tuple[str, ...]:
    """Return the patterns that an article of a kind can keep to.

    Only a gasket has a thickness; what stands across the bore of rings is their width.
    """
    others = ("{bore}", "{oversize}") if kind == "gasket" else ("{thickness}",)
    kept = (one for one in patterns if not any(field in one for field in others))
    return tuple(one for one in kept if kind != "rings" or not _WIDTH.search(one))


#: Behind a bore and a cross stands the width of a ring.
_WIDTH: Final = re.compile(r"[x×]\s*\{oversize\}", re.IGNORECASE)


@dataclass(frozen=True)
class Said:
    """What the words of a description say: the article (None = not known), words beside it.

    `told`: the article is as a person said.
    """

    kind: str | None
    words: tuple[str, ...]
    told: bool


@lru_cache(maxsize=1 << 14)
def _words_of(shape: str, told: tuple[tuple[str, str], ...]) -> Said:
    pieces, answers = pieces_of(shape), dict(told)
    named = named_by(shape, pieces, answers)
    if named is None:
        return Said(None, (), False)
    kind, by_person = named.kind, phrase(named.text) in answers
    words = " ".join(piece.text for piece in pieces if piece.what == "word" or piece.text in "+&,")
    if kind is not None and not by_person and kind_of(words) != kind:
        kind = None  # what stands behind its sizes says otherwise: 'Piston 54.00 with rings'
    return Said(kind, words_beside(pieces, named), by_person)


def words_of(line: str, told: tuple[tuple[str, str], ...]) -> Said:
    """Return what the words of a description say."""
    found = _words_of(_DIGITS.sub("0", line), told)
    if any("0" in word for word in found.words):
        return _words_of(line, told)
    return found


_DIGITS: Final = re.compile(r"\d+")


_OVERS: Final = "|".join(word.replace(" ", r"[ ./]?") for word in OVERSIZE_WORDS)
_OVER: Final = re.compile(
    rf"(?:(?:{_OVERS})\b[.:]?\s*)?([+]?\s?[\d.,]+{_UNIT})(?:\s*(?:{_OVERS}))?\.?",
    re.IGNORECASE,
)


def _without_word(text: str) -> str:
    """Return an oversize without the word that says so: '+0.25 O/S'."""
    found = _OVER.fullmatch(text.replace("ü", "u").replace("Ü", "u").replace("ß", "ss"))
    return text if found is None else found[1].lstrip("+").strip()


@lru_cache(maxsize=1 << 14)
def oversize_of(text: str, unit: Unit, mark: Mark) -> int | None:
    """Return an oversize in ticks: 'STD' is 0, '.020' thousandths of an inch (0.020 in).

    A figure of three decimals without a whole part is an inch figure in every list seen in this
    trade (common practice, no source): 0.02 mm is no step of a catalogue.
    """
    bare = text.strip().lstrip("+").rstrip('"' if text.strip()[:1].isalpha() else "").strip()
    if plain(bare) in STANDARD_WORDS:
        return 0
    bare = _without_word(bare)
    if re.fullmatch(r"[.,]\d{3}", bare):
        unit, mark = "in", bare[0]  # type: ignore[assignment]
    found = length(bare, unit, mark)
    if found is None and re.fullmatch(r"\d*[.,]\d{1,2}(?:\s?\D*)?", bare):
        found = length(bare, unit, "," if mark == "." else ".")
    return found
