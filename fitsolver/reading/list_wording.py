"""How the descriptions of a list are worded: patterns proposed from them, and what is open."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from fitsolver.base.lengths import Unit
from fitsolver.reading.list_figures import Mark
from fitsolver.reading.list_kinds import PLACED, phrase
from fitsolver.reading.list_patterns import FIELDS, WORD, oversize_of, read_description
from fitsolver.reading.list_pieces import Named, Piece, named_by, pieces_of
from fitsolver.reading.list_words import (
    DIAMETER_WORDS,
    FOR_WORDS,
    GRADE_WORDS,
    OVERSIZE_WORDS,
    STANDARD_WORDS,
    THICKNESS_WORDS,
    UNIT_WORDS,
    plain,
)

#: Descriptions that patterns are made from at a time, and how often what is left out is tried.
_SAMPLE: Final = 2_000
_ROUNDS: Final = 4
#: Sizes that are a bore (in mm), and those that are an oversize at most.
_BORES: Final = (20.0, 250.0)
_LARGEST_OVERSIZE: Final = 3.0


@dataclass(frozen=True)
class Wording:
    """How descriptions are worded: patterns, and phrases that name an article, each with its rows.

    `kinds` has what each phrase is, '' = to be asked; `told` are those a person answered.
    Commonest first.
    """

    patterns: tuple[str, ...]
    kinds: Mapping[str, str]
    rows: Mapping[str, int]
    told: frozenset[str] = frozenset()


def proposed(
    descriptions: Iterable[str],
    unit: Unit,
    mark: Mark,
    told: Mapping[str, str] | None = None,
    *,
    families: bool = False,
) -> Wording:
    """Return how descriptions are worded, by a sample of them and by those that it leaves out.

    A description with two figures that could be one field gives no pattern: it is for a person
    to tell. With `families` words that say nothing else name the engine type.
    """
    left = list(dict.fromkeys(" ".join(text.split()) for text in descriptions))
    patterns: Counter[str] = Counter()
    kinds: Counter[tuple[str, str]] = Counter()
    for _ in range(_ROUNDS):
        for line in left[:: max(1, len(left) // _SAMPLE)]:
            pieces = pieces_of(line)
            named = named_by(line, pieces, told or {})
            if named is None:
                continue
            kinds[phrase(named.text), named.kind or ""] += 1
            if named.kind not in ("pin", "circlip"):
                patterns[_pattern(pieces, named, unit, mark, families=families)] += 1
        patterns.pop("", None)
        known = _by_count(patterns)
        left = [line for line in left if read_description(line, known) is None]
        if not left:
            break
    ordered = sorted(kinds.items(), key=lambda item: (-item[1], item[0]))
    return Wording(
        _by_count(patterns),
        {words: kind for (words, kind), _ in ordered},
        {words: count for (words, _), count in ordered},
        frozenset(told or {}),
    )


def _by_count(patterns: Counter[str]) -> tuple[str, ...]:
    """Return patterns as they are tried: those that read most fields first, then the commonest."""
    return tuple(
        sorted(
            patterns,
            key=lambda one: (one.count("{words}") - one.count("{"), -patterns[one], one),
        )
    )


def _pattern(
    pieces: Sequence[Piece], named: Named, unit: Unit, mark: Mark, *, families: bool
) -> str:
    """Return the pattern of one description, '' where a person has to tell."""
    kind = (
        "gasket" if named.kind in PLACED else named.kind or "piston kit"
    )  # where it is asked: read as what most lists sell
    tokens: list[tuple[str, str]] = []
    for at, piece in enumerate(pieces):
        after_word = at and plain(pieces[at - 1].text) in STANDARD_WORDS
        if named.first < at <= named.last or (piece.text == '"' and after_word):
            continue
        gap = " " if at and piece.start > pieces[at - 1].end else ""
        if at == named.first:
            token = "{kind}"
        elif piece.what == "size":
            token = _sized(piece, pieces, at, kind, unit, mark)
        elif piece.what == "family":
            token = "{family}"
        else:
            token = _word(at, pieces) if piece.what == "word" else piece.text
        tokens.append((gap, token))
    tokens = _one_oversize(tokens)
    if families:
        tokens = _families(tokens)
    fields = [token for _, token in tokens if token in _FIGURES]
    loose = any(re.search(r"\d", token) for _, token in tokens)
    if loose or {"", "\0"} & {t for _, t in tokens} or len(fields) != len(set(fields)):
        return ""
    return _joined([(gap, t.removeprefix("\0")) for gap, t in tokens])


_FIGURES: Final = frozenset(f"{{{field}}}" for field in FIELDS if field != "words")


def _sized(
    piece: Piece, pieces: Sequence[Piece], at: int, kind: str, unit: Unit, mark: Mark
) -> str:
    """Return what a figure of an article is: bore, oversize, thickness, grade; '' if neither.

    One without decimals could be part of a name: it begins with a sign of its own.
    """
    text = piece.text
    if re.fullmatch(r"[+]0\d\d", text):
        return "{oversize}"  # thousandths of an inch
    before = plain(pieces[at - 1].text) if at else ""
    after = plain(pieces[at + 1].text) if at + 1 < len(pieces) else ""
    if re.fullmatch(r"\d{2,3}", text) and (after in OVERSIZE_WORDS or after == "thou"):
        return "{oversize}"
    named = {before, after} & {word for word in DIAMETER_WORDS if len(word) > 2}
    if named and re.fullmatch(r"\d{1,3}[.,]\d{1,4}", text) and kind != "gasket":
        return "{bore}"
    if kind != "gasket" and _INCHES.fullmatch(text):
        return "{bore}"
    own: Mark = "," if "," in text and "." not in text else "." if "." in text else mark
    ticks = oversize_of(text, unit, own)
    if ticks is None:
        return ""
    size = ticks / 100_000
    exact = bool(re.search(r"[.,]", text))
    small = size <= _LARGEST_OVERSIZE and (exact or text.startswith("+"))
    found = "\0"
    if kind == "gasket":
        found = "{thickness}" if size < _LARGEST_OVERSIZE and exact else "\0"
    elif _BORES[0] <= size <= _BORES[1] and not text.startswith("+"):
        found = "{bore}" if exact or before in DIAMETER_WORDS else "\0{bore}"
    elif small or (before in OVERSIZE_WORDS and ticks == 0):
        found = "{oversize}"
    elif re.fullmatch(r"\d{1,2}", text) and _for_grade(at, pieces):
        found = "{grade}"
    return found


#: A bore in inches: a whole inch or more, three or four decimals.
_INCHES: Final = re.compile(r"(?:[øØ⌀]\s?)?[1-9][.,]\d{3,4}(?:\s?(?:in(?:ch)?|\"))?")


def _for_grade(at: int, pieces: Sequence[Piece]) -> bool:
    """Tell whether one or two signs stand where a grade does: after its word, in brackets, last."""
    before = pieces[at - 1].text if at else ""
    after = pieces[at + 1].text if at + 1 < len(pieces) else ""
    if plain(before) in GRADE_WORDS or (before in ("(", "[") and after in (")", "]")):
        return True
    return at + 1 == len(pieces) and before != "."


def _word(at: int, pieces: Sequence[Piece]) -> str:
    token = pieces[at].text
    bare = plain(token)
    if bare in STANDARD_WORDS:
        return f"\1{token.lower()}"
    if bare in _LITERAL:
        return token.lower()
    if len(token) <= 2 and _for_grade(at, pieces):
        return "{grade}"
    if len(bare) <= 1:
        return "{grade}" if len(token) == 1 and token.isupper() else token
    return "\0{words}" if re.fullmatch(WORD, token, re.IGNORECASE) else "\0"


_LITERAL: Final = frozenset(
    (*OVERSIZE_WORDS, *GRADE_WORDS, *DIAMETER_WORDS, *THICKNESS_WORDS, *UNIT_WORDS, *FOR_WORDS)
)


def _one_oversize(tokens: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return the pieces with one oversize and one bore, where a word or a name stands for another.

    'std 54.00 o/s 0.25': the word goes with the bore. 'Kite 54 - kit 50.30': 54 is of a name.
    """
    said = [token for _, token in tokens]
    sized = "{oversize}" in said
    only = "{bore}" not in said and said.count("\0{bore}") == 1

    def told(token: str) -> str:
        if token.startswith("\1"):
            return token[1:] if sized else "{oversize}"
        if token == "\0{bore}":
            return "{bore}" if only else "\0"
        return token

    return [(gap, told(token)) for gap, token in tokens]


def _families(tokens: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return the pieces with what says nothing else, in one place, as the engine type."""
    found: list[tuple[str, str]] = []
    for at, (gap, token) in enumerate(tokens):
        loose = token.startswith("\0") or (not gap and token in ("-", "/") and at > 0)
        if (loose or token == "{grade}") and found and found[-1][1] == "{family}":
            continue  # 'Marl S': the sign is of the name
        if loose and not token.startswith("\0"):
            loose = False
        found.append((gap, "{family}" if loose else token))
    return found


def _joined(named: list[tuple[str, str]]) -> str:
    """Return the pieces as a pattern; words beside words are one."""
    text, last = "", ""
    for gap, token in named:
        if token == "{words}" and last == "{words}":
            continue
        text += (gap if text else "") + token
        last = token
    return text
