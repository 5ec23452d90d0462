"""Descriptions of a list, read by patterns that a person can read and change.

A pattern is a description with its figures named: `{kind} {words} {bore} {oversize} ({grade})`.
Small and capital letters count alike, and so does the number of blanks. `{words}` stands for any
words that say nothing here.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.reading.list_figures import Mark, length
from fitsolver.reading.list_words import (
    DIAMETER_WORDS,
    GRADE_WORDS,
    KIND_WORDS,
    OVERSIZE_WORDS,
    PLACE_WORDS,
    STANDARD_WORDS,
    Kind,
    plain,
)

#: What a pattern may name.
FIELDS: Final = ("kind", "bore", "oversize", "grade", "thickness", "words")


def _named(field: str) -> str:
    return f"{{{field}}}"


#: Letters that may bear an accent where a word is written out.
_ACCENTS: Final = {
    "a": "[aàáâä]", "e": "[eèéêë]", "i": "[iìíî]", "o": "[oòóôö]", "u": "[uùúûü]", "n": "[nñ]",
    " ": r"[\s./'-]*",
}  # fmt: skip


def _written(word: str) -> str:
    signs = "".join(_ACCENTS.get(sign, re.escape(sign)) for sign in word)
    return signs.replace("ss", "(?:ss|ß)")


_UNIT: Final = r'(?:\s?(?:mm\b|"|in(?:ch)?\b))?'
#: A field begins and ends where no figure and no word goes on.
_BEGIN: Final = r"(?:(?<=\d[x×])|(?<![^\W_])(?<!\d[.,]))"
_END: Final = r"(?=[x×]|(?![^\W_]|[.,]\d))"
_SIGNS: Final[dict[str, str]] = {
    "kind": "(?:"
    + "|".join(
        _written(word)
        for word in sorted((w for all_ in KIND_WORDS.values() for w in all_), key=len, reverse=True)
    )
    + ")",
    "bore": rf"(?:[øØ⌀]\s?)?\d{{1,3}}(?:[.,]\d{{1,5}})?{_UNIT}",
    "oversize": rf"(?:std|standard|[+]?\s?\d{{0,2}}[.,]\d{{1,5}}{_UNIT})",
    "grade": r"(?:[A-Za-z]{1,2}\d?|\d{1,2})",
    "thickness": rf"\d{{0,2}}[.,]\d{{1,4}}{_UNIT}",
    # No figure with decimals is passed over as a word.
    "words": r"(?:(?!(?<!\d)\d*[.,]\d)\S)(?:(?!(?<!\d)\d*[.,]\d).)*?",
}
_FIELD: Final = re.compile(r"\{(\w*)\}")
_TOKEN: Final = re.compile(
    r'(?P<size>(?:[øØ⌀]\s?)?[+]?\d*[.,]?\d+(?:\s?(?:mm|inch|in)\b|")?)(?=[x×]|(?!\w|[.,]\d))'
    r"|(?P<joint>(?<=\d)[x×])|(?P<word>[^\W\d_](?:(?<=[oO])/(?=[sS]\b)|[^\s()\[\],;:+/.=]|[.](?=[^\W\d_]))*\.?)|(?P<other>\S)"
)
#: Sizes that are a bore (in mm), and those that are an oversize at most.
_BORES: Final = (20.0, 250.0)
_LARGEST_OVERSIZE: Final = 3.0


@dataclass(frozen=True)
class Described:
    """What a description says, as it stands there; '' where it does not."""

    kind: str = ""
    bore: str = ""
    oversize: str = ""
    grade: str = ""
    thickness: str = ""


@lru_cache(maxsize=1 << 10)
def compiled(pattern: str) -> re.Pattern[str]:
    """Return a pattern as an expression; raises InputError for a name it cannot have."""
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
        sign = _SIGNS[name]
        parts.append(f"(?:{sign})" if name == "words" else f"{_BEGIN}(?P<{name}>{sign}){_END}")
        at = named.end()
    parts.append(_literal(pattern[at:]))
    return re.compile("".join(parts), re.IGNORECASE)


def _literal(text: str) -> str:
    return r"\s*".join(re.escape(part) for part in re.split(r"\s+", text)) if text else ""


def read_description(text: str, patterns: Iterable[str]) -> Described | None:
    """Return what a description says by the first pattern that it keeps to; None if by none."""
    line = " ".join(text.split())
    for pattern in patterns:
        found = compiled(pattern).fullmatch(line)
        if found is not None:
            return Described(**{k: (v or "").strip() for k, v in found.groupdict().items()})
    return None


@lru_cache(maxsize=1)
def _kind_words() -> list[tuple[tuple[str, ...], Kind]]:
    words = [(tuple(word.split()), kind) for kind, all_ in KIND_WORDS.items() for word in all_]
    return sorted(words, key=lambda item: -len(item[0]))


@lru_cache(maxsize=1 << 14)
def kind_of(words: str) -> Kind | None:
    """Return what an article is by its words, None where they do not say."""
    tokens = plain(words).split()
    for length_ in range(min(4, len(tokens)), 0, -1):
        for start in range(len(tokens) - length_ + 1):
            part = tuple(tokens[start : start + length_])
            for word, kind in _kind_words():
                if word == part:
                    return kind
    return None


def place_of(words: str) -> str:
    """Return where a gasket goes by its words, '' where they do not say."""
    tokens = set(plain(words).split()) | {plain(words)}
    for place, known in PLACE_WORDS.items():
        if any(word in token for token in tokens for word in known):
            return place
    return ""


def proposed(descriptions: Iterable[str], unit: Unit, mark: Mark) -> list[tuple[str, int]]:
    """Return the patterns of descriptions and how many keep to each, commonest first.

    A description of no known kind of article, or with two figures that could be one field, gives
    none: it is for a person to tell.
    """
    found = Counter(filter(None, (_pattern(text, unit, mark) for text in descriptions)))
    return sorted(found.items(), key=lambda item: (-item[1], item[0]))


@lru_cache(maxsize=1 << 14)
def _pattern(text: str, unit: Unit, mark: Mark) -> str:
    pieces = list(_pieces(" ".join(text.split())))
    kind = _first_kind(pieces)
    if kind is None:
        return ""
    start, end, which = kind
    named: list[tuple[str, str]] = []
    for at, (what, token, gap) in enumerate(pieces):
        if start <= at < end:
            if at == start:
                named.append((gap, "{kind}"))
        elif what == "size":
            field = _field(token, which, unit, mark)
            named.append((gap, f"{{{field}}}" if field else "{words}"))
        elif what == "word":
            named.append((gap, _word(token, at, pieces)))
        else:
            named.append((gap, token))
    fields = [token for _, token in named if token in _FIGURES]
    loose = any(re.search(r"\d", token) for _, token in named if token not in _FIGURES)
    if len(fields) != len(set(fields)) or loose:
        return ""
    return _joined(named)


_FIGURES: Final = frozenset(_named(field) for field in FIELDS if field != "words")


def _pieces(line: str) -> Iterator[tuple[str, str, str]]:
    """Yield what each piece is, its text, and the blank before it."""
    end = 0
    for found in _TOKEN.finditer(line):
        gap = " " if line[end : found.start()].strip() != line[end : found.start()] else ""
        end = found.end()
        yield str(found.lastgroup), found[0], gap


def _first_kind(pieces: list[tuple[str, str, str]]) -> tuple[int, int, Kind] | None:
    for count in range(4, 0, -1):
        for start in range(len(pieces) - count + 1):
            part = pieces[start : start + count]
            if all(what == "word" for what, _, _ in part):
                words = tuple(plain(" ".join(token for _, token, _ in part)).split())
                for known, kind in _kind_words():
                    if known == words:
                        return start, start + count, kind
    return None


def _field(token: str, kind: Kind, unit: Unit, mark: Mark) -> str:
    """Return what a figure of an article is: its bore, its oversize, its thickness, or neither."""
    ticks = oversize_of(token, unit, mark)
    if ticks is None:
        return ""
    size = ticks / 100_000
    if kind == "gasket":
        return "thickness" if size < _LARGEST_OVERSIZE and re.search(r"[.,]", token) else ""
    if _BORES[0] <= size <= _BORES[1] and not token.startswith("+"):
        return "bore"
    small = size <= _LARGEST_OVERSIZE and (token.startswith("+") or re.search(r"[.,]", token))
    return "oversize" if small else ""


def _word(token: str, at: int, pieces: list[tuple[str, str, str]]) -> str:
    bare = plain(token)
    if bare in STANDARD_WORDS[:2]:
        return "{oversize}"
    if bare in OVERSIZE_WORDS or bare in GRADE_WORDS or bare in DIAMETER_WORDS:
        return token.lower()
    before = plain(pieces[at - 1][1]) if at else ""
    bracketed = (
        at and pieces[at - 1][1] in "([" and at + 1 < len(pieces) and pieces[at + 1][1] in ")]"
    )
    alone = len(token) == 1 and token.isupper()
    if len(token) <= 2 and (before in GRADE_WORDS or bracketed or alone):
        return "{grade}"
    return "{words}"


def _joined(named: list[tuple[str, str]]) -> str:
    """Return the pieces as a pattern; words beside words are one."""
    text, last = "", ""
    for gap, token in named:
        if token == "{words}" and last == "{words}":
            continue
        text += (gap if text else "") + token
        last = token
    return text


def oversize_of(text: str, unit: Unit, mark: Mark) -> int | None:
    """Return an oversize in ticks: 'STD' is 0, '.020' thousandths of an inch (0.020 in).

    A figure of three decimals without a whole part is an inch figure in every list seen in this
    trade (common practice, no source): 0.02 mm is no step of a catalogue.
    """
    bare = text.strip().lstrip("+").strip()
    if plain(bare) in STANDARD_WORDS:
        return 0
    if re.fullmatch(r"[.,]\d{3}", bare):
        unit, mark = "in", bare[0]  # type: ignore[assignment]
    found = length(bare, unit, mark)
    if found is None and re.fullmatch(r"\d*[.,]\d{1,2}(?:\s?\D*)?", bare):
        found = length(bare, unit, "," if mark == "." else ".")
    return found
