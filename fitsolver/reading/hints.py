"""Words for messages: the text found, shortened, and the word that was probably meant."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from itertools import islice
from pathlib import Path

from fitsolver.base.errors import InputError, meant
from fitsolver.base.lengths import UNIT_NAMES, Unit

_LONGEST = 60
#: Longest word (characters) that a near one is looked for, and most words to look among: looking
#: takes the product of the lengths.
LONGEST_WORD = 80
_MOST_WORDS = 2_000
#: Words that a message lists.
_LISTED = 40


def shown(value: object) -> str:
    """Return a value as a short text of one line for a message."""
    text = str(value) if value != "" else "nothing"
    text = "".join(letter if letter.isprintable() else "?" for letter in text)
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}..."


def unknown(
    what: str,
    word: str,
    allowed: Iterable[str],
    *,
    file: str,
    row: int | str | None = None,
    field: str = "",
) -> InputError:
    """Return the refusal of a word that is not among those allowed, with a near one named."""
    words = list(allowed)
    return InputError(
        f"unknown {what}{meant(meant_of(word, words))}",
        file=file,
        row=row,
        field=shown(field) if field else "",
        found=shown(word),
        allowed=_list(words),
    )


def unit_meant(word: str) -> Unit | None:
    """Return the unit that a word names, spelled out or nearly so: `inches`, `milimeter`."""
    plain = word.strip().lower()
    if len(plain) > LONGEST_WORD:
        return None
    near = get_close_matches(plain, [name for name in UNIT_NAMES if len(name) > 2], n=1)
    return UNIT_NAMES.get(plain) or next((UNIT_NAMES[name] for name in near), None)


def meant_of(word: str, allowed: Iterable[str]) -> str | None:
    """Return the allowed word that an unknown one is near to, if any is."""
    some = islice(allowed, _MOST_WORDS)
    spelled = {one.lower(): one for one in some if len(one) <= LONGEST_WORD}
    unit = unit_meant(word)
    if unit in spelled:
        return unit
    short = word.lower() if len(word) <= LONGEST_WORD else ""
    near = get_close_matches(short, spelled, n=1, cutoff=0.7) or _longer(short, spelled)
    return spelled[near[0]] if near else None


def missing_file(path: Path) -> str:
    """Return that a file or folder is not there, with one of nearly that name beside it."""
    beside = [one.name for one in path.parent.iterdir()] if path.parent.is_dir() else []
    near = get_close_matches(path.name, beside[:_MOST_WORDS], n=1)
    return "there is no such file or folder" + meant(near[0] if near else None)


def _longer(word: str, words: Iterable[str]) -> list[str]:
    """Return the only word that begins with a short one: `pin` of `pin_diameter`."""
    found = [one for one in words if one.startswith(f"{word}_")]
    return found if len(found) == 1 and word else []


def _list(words: list[str]) -> str:
    more = f", and {len(words) - _LISTED} more" if len(words) > _LISTED else ""
    return ", ".join(map(shown, words[:_LISTED])) + more or "none here"
