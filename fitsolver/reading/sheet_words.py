"""Words of a readings sheet that are not known: which they are, and what is said of them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches
from typing import Final

from fitsolver.base.errors import InputError, meant
from fitsolver.reading.hints import shown
from fitsolver.reading.readings_grid import NumberedRow, column_of, heading, is_length
from fitsolver.reading.unanswered import UnansweredError

NOTHING: Final = "nothing"
MEANINGS: Final = f"depth, cylinder, axis, diameter, dial, unit, thrust, pin, 45°, {NOTHING}"
_KNOWN: Final = ("depth", "cylinder", "axis", "diameter", "dial", "thrust", "pin")
_WORDS: Final = "depth, cylinder, axis, diameter, dial, unit, thrust, pin, an angle as 45°"
OPTION: Final = '--word "WORD=MEANING"'
#: More unknown words than this are no headings.
_MOST: Final = 16
_TOP: Final = 20
#: A cell of so many words is a title, no heading.
_SENTENCE: Final = 4
_JOINED: Final = re.compile(r"(\d{1,2})[-_]?([A-Za-z])|([A-Za-z])[-_]?(\d{1,2})")
#: What words of other languages and short ones likely mean; it is proposed, never taken.
_LIKELY: Final = {
    "cylinder": "liner bore bohrung alésage alesaggio no nr nr. number barrel pot",
    "depth": "höhe hoehe height hauteur altezza altura pos pos. z position down below distance",
    "axis": "as dir dir. side seite angle winkel across plane ebene",
    "diameter": "dia dia. d bore gauge mass",
    "dial": "clock reloj deviation dev difference diff abweichung écart ecart scostamento "
    "desviación afwijking",
    "thrust": "t a x l-r q",
    "pin": "p b y f-b l",
    NOTHING: "initials seen by date datum signed",
}


def reworded(rows: Sequence[NumberedRow], words: Sequence[tuple[str, str]]) -> list[NumberedRow]:
    """Return rows with words of theirs replaced by what they mean; columns of nothing are left out.

    A title of nothing is left out alone. Raises InputError for a meaning that is none.
    """
    known = {word.casefold(): meaning_of(word, meaning) for word, meaning in words}
    found = [(number, [_reworded(cell, known) for cell in cells]) for number, cells in rows]
    titles = _titles(rows)
    found[:titles] = [
        (n, ["" if cell == NOTHING else cell for cell in c]) for n, c in found[:titles]
    ]
    top = [cells for _, cells in found[:_TOP]]
    dropped = {at for cells in top for at, cell in enumerate(cells) if cell == NOTHING}
    if not dropped:
        return found
    return [(n, [c for at, c in enumerate(cells) if at not in dropped]) for n, cells in found]


def meaning_of(word: str, meaning: str) -> str:
    """Return what a word is said to mean; InputError for a meaning that is none."""
    plain = meaning.strip().casefold()
    if column_of(plain) or heading(plain).axis or plain == NOTHING:
        return plain
    raise InputError(
        "this is no meaning of a word",
        field=f"--word {word}",
        found=shown(meaning),
        allowed=MEANINGS,
    )


def _reworded(cell: str, known: Mapping[str, str]) -> str:
    if not cell or is_length(cell):
        return cell
    apart = _apart(cell)
    plain = apart.casefold()
    if cell.casefold() in known:
        return known[cell.casefold()]
    for word, meaning in known.items():
        at = re.search(rf"(?<!\w){re.escape(word)}(?!\w)", plain)
        if at:
            return (
                meaning if meaning == NOTHING else apart[: at.start()] + meaning + apart[at.end() :]
            )
    return cell


def _apart(cell: str) -> str:
    """Return a heading with cylinder and axis apart: `1A` as `1 A`."""
    joined = _JOINED.fullmatch(cell)
    return " ".join(filter(None, joined.groups())) if joined else cell


def unknown_in(cells: Sequence[str]) -> Iterator[str]:
    """Yield the words of headings that name no column, axis or depth, without their numbers."""
    for cell in cells:
        if not cell or is_length(cell) or column_of(cell) or heading(cell).axis:
            continue
        named = heading(_apart(cell)).cylinder.split()
        word = " ".join(part for part in named if not part.isdecimal())
        if word:
            yield word if word.casefold() in _apart(cell).casefold() else cell


def not_laid_out(file: str, rows: Sequence[NumberedRow]) -> InputError | None:
    """Return why rows that stand under words of readings have no layout; None where none do."""
    at = _headed(rows)
    if at is None:
        return None
    number, cells = rows[at]
    axes = [cell for cell in cells if heading(cell).axis]
    words = in_headings(rows)
    asked = unknown_words(file, words)
    if asked is not None:
        where = next((row for row, found in rows if words[0] in " ".join(found)), number)
        asked.row = where
        near = get_close_matches(words[0].casefold(), _KNOWN, n=1)
        asked.message += meant(near[0] if near else None)
        return asked
    if axes:
        return InputError(
            "no heading says where the depths stand",
            file=file,
            row=number,
            found=shown(", ".join(filter(None, cells))),
            allowed="depth over the first column",
        )
    return None


def unknown_words(file: str, words: Sequence[str]) -> UnansweredError | None:
    """Return the question what words of a sheet mean; None where there are none, or too many."""
    asked = tuple({word.casefold(): word for word in words}.values())
    if not 0 < len(asked) <= _MOST:
        return None
    return UnansweredError(
        "words of this sheet are not known",
        answers="words",
        question=f"What does '{{}}' stand for? ({MEANINGS})",
        asked=asked,
        proposed={word: likely for word in asked if (likely := _likely(word))},
        file=file,
        field="readings",
        found=", ".join(map(shown, asked)),
        allowed=f"{_WORDS}; of a new job also {OPTION} for each",
    )


def _likely(word: str) -> str:
    plain = word.casefold()
    known = (means for means, words in _LIKELY.items() if plain in words.split())
    return next(known, NOTHING if len(plain.split()) >= _SENTENCE else "")


def in_headings(rows: Sequence[NumberedRow]) -> list[str]:
    """Return the unknown words over (or before) the figures of rows that no layout was found in."""
    at = _headed(rows)
    if at is None:
        return []
    over = [cells for _, cells in rows[_titles(rows) : at]]
    found = [word for cells in (*over, rows[at][1]) for word in unknown_in(cells)]
    if found or any(heading(cell).axis for cell in rows[at][1]):
        return found
    return [word for _, cells in rows[at + 1 :] for word in unknown_in(cells)]


def _headed(rows: Sequence[NumberedRow]) -> int | None:
    """Return the row of words right above the figures; None where there is none."""
    return next((at for at in range(min(_TOP, len(rows))) if _heads(rows, at)), None)


def _titles(rows: Sequence[NumberedRow]) -> int:
    """Return how many rows at the top are titles: all above the headings, of one row or two."""
    at = _headed(rows)
    if not at:
        return 0
    over, own = rows[at - 1][1], rows[at][1]
    filled = [cell for cell in over if cell]
    whole = all(map(_has_number, filter(None, own[1:])))  # `1 T`: cylinder and axis in one cell
    is_title = whole or len(filled) < 2 or any(len(c.split()) >= _SENTENCE for c in filled)
    return at if is_title else at - 1


def _has_number(cell: str) -> bool:
    return any(part.isdecimal() for part in heading(_apart(cell)).cylinder.split())


def _heads(rows: Sequence[NumberedRow], at: int) -> bool:
    """Tell whether a row has words in several cells and stands above figures."""
    filled = [cell for cell in rows[at][1] if cell]
    below = rows[at + 1][1] if at + 1 < len(rows) else []
    return (
        len(filled) > 1
        and not all(map(is_length, filled))
        and sum(map(is_length, below)) > 0
        and sum(map(is_length, below)) >= len(below) // 2
    )
