"""The text of a list, whatever code page it was saved in."""

from __future__ import annotations

import re
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.reading.list_headings import HEADINGS
from fitsolver.reading.list_words import plain

#: Code pages of older programs: Western, Central European, Turkish, and that of the terminal.
_CODE_PAGES: Final = ("cp1252", "cp1250", "cp1254", "cp850")
#: Signs besides ASCII that stand beside letters in lists: letters, signs of money and of size.
_USUAL: Final = r"\x00-\x7fÀ-ÖØ-öø-žșțß€£øØ°'’´ªº®™–—\xa0"
#: A sign within a word that is none of them, or a capital within a word of small letters.
_ODD: Final = re.compile(
    rf"(?<=[a-zA-Z])[^{_USUAL}]|[^{_USUAL}](?=[a-z])|(?<=[a-z])[À-ÖØ-Þ](?=[a-z])"
)
#: Characters that tell.
_SHOWN: Final = 200_000


def decoded(file: str, content: bytes) -> str:
    """Return the text of a list: UTF-8 or UTF-16 by its mark, else in an old code page.

    Of the code pages it is the one in which fewest signs within words are no letters, and most
    words those of headings. Raises
    InputError for a file that is no text.
    """
    marked = content.startswith((b"\xff\xfe", b"\xfe\xff"))
    whole = _text(content, "utf-16" if marked else "utf-8-sig")
    if whole is not None:
        return whole
    found = [text for page in _CODE_PAGES if (text := _text(content, page)) is not None]
    if marked or not found:
        raise InputError("this is not a text file", file=file, allowed="a table saved as CSV")
    return min(found, key=lambda text: len(_ODD.findall(text[:_SHOWN])) - _known(text))


#: Words of headings that tell one code page from another: those with signs besides ASCII.
_WORDS: Final = frozenset(word for words in HEADINGS.values() for text in words
                          for word in text.split() if len(word) > 2)  # fmt: skip
_ACCENTED: Final = re.compile(r"\w*[^\W\x00-\x7f]\w*")
_HEADED: Final = 5_000


def _known(text: str) -> int:
    """Return how many of the first words with signs besides ASCII are those of headings."""
    return sum(plain(word) in _WORDS for word in _ACCENTED.findall(text[:_HEADED]))


def _text(content: bytes, encoding: str) -> str | None:
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError:
        return None
    return None if "\0" in text else text
