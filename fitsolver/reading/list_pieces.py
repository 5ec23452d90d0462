"""A description cut into its pieces: sizes, words, signs, and the phrase that names the article."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from fitsolver.reading.list_kind_words import places_words
from fitsolver.reading.list_kinds import (
    comes_with,
    is_bare,
    kind_of,
    names_article,
    phrase,
    says_nothing_more,
    tells_kind,
)
from fitsolver.reading.list_words import (
    CYLINDERS,
    DIAMETER_WORDS,
    FOR_WORDS,
    GRADE_WORDS,
    OVERSIZE_WORDS,
    STANDARD_WORDS,
    TELLING,
    THICKNESS_WORDS,
    UNIT_WORDS,
    plain,
)

#: Stands for the name of the engine type where a column tells it.
FAMILY_SIGN: Final = "\x01"
_TOKEN: Final = re.compile(
    rf"(?P<family>{FAMILY_SIGN})"
    r'|(?P<size>(?:[øØ⌀]\s?)?[+]?\d*[.,]?\d+(?:\s?(?i:mm|inch|in)\b|")?)(?=[x×]|(?!\w|[.,]\d))'
    r"|(?P<dia>(?<![^\W_])[dD](?=\d{2,3}[.,]\d))"
    r"|(?P<joint>(?<=\d)[x×])"
    r"|(?P<word>[^\W\d_](?:(?<=[oOwW])/(?=[sSrR])|[^\s()\[\],;:+/.=\x01]|[.](?=[^\W\d_]{2}))*\.?)"
    r"|(?P<other>\S)"
)
KNOWN: Final = frozenset(
    (
        *DIAMETER_WORDS, *GRADE_WORDS, *OVERSIZE_WORDS, *STANDARD_WORDS, *THICKNESS_WORDS,
        *UNIT_WORDS, *FOR_WORDS,
    )
)  # fmt: skip


@dataclass(frozen=True)
class Piece:
    """A piece of a description: what it is (size, word, joint, family, other), its text, where."""

    what: str
    text: str
    start: int
    end: int


@dataclass(frozen=True)
class Named:
    """Which pieces name the article, by their places, and what it is; None = to be asked."""

    first: int
    last: int
    text: str
    kind: str | None


def pieces_of(line: str) -> tuple[Piece, ...]:
    """Return the pieces of a description."""
    return tuple(
        Piece(
            "word" if found.lastgroup == "dia" else str(found.lastgroup),
            found[0],
            found.start(),
            found.end(),
        )
        for found in _TOKEN.finditer(line)
    )


def named_by(line: str, pieces: Sequence[Piece], told: Mapping[str, str]) -> Named | None:
    """Return the words that name the article: the first known ones, else the first run of words.

    `told` has phrases with what a person says they are. None where there is no word at all.
    """
    runs = list(_runs(pieces))
    known = [run for run in runs if any(names_article(pieces[at].text) for at in range(*run))]
    found = _known(line, pieces, known[0]) if known else _first_words(line, pieces, runs)
    if found is None:
        return None
    return replace(found, kind=told.get(phrase(found.text), found.kind))


def _first_words(
    line: str, pieces: Sequence[Piece], runs: Sequence[tuple[int, int]]
) -> Named | None:
    lettered = [run for run in runs if any(_unknown(pieces[at]) for at in range(*run))]
    if not lettered:
        return None
    telling = [run for run in lettered if any(tells_kind(pieces[at].text) for at in range(*run))]
    start, stop = (telling or lettered)[0]
    while not _unknown(pieces[start]):
        start += 1
    while not _unknown(pieces[stop - 1]):
        stop -= 1
    return Named(start, stop - 1, line[pieces[start].start : pieces[stop - 1].end], None)


def _known(line: str, pieces: Sequence[Piece], run: tuple[int, int]) -> Named:
    """Return the narrowest run of words that has all that tell the kind.

    A piston that unknown words stand beside could be a kit: they are taken in, and it is asked.
    """
    telling = [at for at in range(*run) if tells_kind(pieces[at].text)]
    first, last = telling[0], telling[-1]
    text = line[pieces[first].start : pieces[last].end]
    kind = kind_of(text)
    within = any(_strange(pieces[at]) for at in range(first, last + 1))
    with_ = pieces[first - 1].text if first > run[0] else ""
    before = len(with_) > 1 and comes_with(with_)
    headed = first == last and _ends_other(pieces, last)
    if kind is not None and not (is_bare(text) or within or before or headed):
        return Named(first, last, text, kind)
    start, stop = first, last
    if before:
        start = first - 1
    while start > run[0] and _unknown(pieces[start - 1]):
        start -= 1
    while stop + 1 < run[1] and (_unknown(pieces[stop + 1]) or comes_with(pieces[stop + 1].text)):
        stop += 1
    if (start, stop) == (first, last) and not within:
        return Named(first, last, text, kind)
    return Named(start, stop, line[pieces[start].start : pieces[stop].end], None)


def _ends_other(pieces: Sequence[Piece], at: int) -> bool:
    """Tell whether an unknown last word may be what a small part is: `pin lock`, `ring land`."""
    if at + 2 != len(pieces) or pieces[at + 1].start != pieces[at].end + 1:
        return False
    bare = plain(pieces[at + 1].text)
    told = bare in places_words() or bare in TELLING
    return _unknown(pieces[at + 1]) and not told


def _unknown(piece: Piece) -> bool:
    return piece.what == "word" and len(plain(piece.text)) > 1 and plain(piece.text) not in KNOWN


def _strange(piece: Piece) -> bool:
    """Tell whether a word within the name of an article is not known."""
    return _unknown(piece) and not says_nothing_more(piece.text)


def words_beside(pieces: Sequence[Piece], named: Named | None) -> tuple[str, ...]:
    """Return the words of a description that nothing is known of, beside the article's name."""
    first, last = (-1, -1) if named is None else (named.first, named.last)
    found = []
    for at, piece in enumerate(pieces):
        if piece.what != "word" or first <= at <= last:
            continue
        bare = plain(piece.text)
        after = pieces[at + 1].what if at + 1 < len(pieces) else ""
        named_size = bare not in CYLINDERS or after == "size"
        known = len(bare) <= 1 or bare in KNOWN or says_nothing_more(piece.text)
        if not (named_size and known):
            found.append(bare)
    return tuple(found)


def _runs(pieces: Sequence[Piece]) -> Iterator[tuple[int, int]]:
    """Yield from where to where words stand together; a plus sign, a comma or a dash joins them."""
    start: int | None = None
    for at, piece in enumerate(pieces):
        joins = piece.text in ("+", "&", ",", "/") and start is not None
        if (piece.what == "word" and plain(piece.text) not in STANDARD_WORDS) or joins:
            start = at if start is None else start
        elif start is not None:
            yield start, _ended(pieces, start, at)
            start = None
    if start is not None:
        yield start, _ended(pieces, start, len(pieces))


def _ended(pieces: Sequence[Piece], start: int, stop: int) -> int:
    while stop > start and pieces[stop - 1].what != "word":
        stop -= 1
    return stop
