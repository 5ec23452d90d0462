"""Which engine type a row is of: a column, a heading between the rows, the name of its sheet."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Final

from fitsolver.reading.list_beside import bore_beside
from fitsolver.reading.list_entries import RefusedError
from fitsolver.reading.list_fractions import without_fractions
from fitsolver.reading.list_kinds import kind_of, names_article, phrase
from fitsolver.reading.list_layout import Layout
from fitsolver.reading.list_mapping import ListMapping
from fitsolver.reading.list_pieces import Named, named_by, pieces_of
from fitsolver.reading.list_seen import PAGE, PRICED, Seen, family_named
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_words import ENDED, plain


class Engines:
    """Follows the texts between the rows of one sheet, and says of which type each row is.

    `bore` is what the last heading named beside its type, `kind` the article that stands over the
    rows ('' = none), `section` the type of the last heading.
    """

    def __init__(
        self, layout: Layout, mapping: ListMapping, name: str, seen: Seen, *, alone: bool
    ) -> None:
        self._layout, self._mapping, self._seen = layout, mapping, seen
        self._sheet, self._alone = name, alone
        self._told = tuple(mapping.articles.items())
        self._skip = frozenset(map(plain, mapping.skip))
        self._titles = {title.casefold() for title in layout.titles if title}
        places = layout.places
        self.in_text = places.get("family", -1) == places.get("description", -2)
        self.section, self.bore, self.kind = "", "", ""
        self._named = name
        article = _article_in(name, self._told)
        if article:
            self.kind = article
            self._named = "" if alone else _without(name, article)
        self._sure = True
        self._headings: list[str] = []
        self._certain: set[str] = set()
        self._above = ""
        self._ended = "" if alone or not _ends(name) else name
        self._unclear: Sequence[str] = ()

    def begin_above(self, text: str, sheet: ListSheet) -> None:
        """Begin what the text above the headings names, where others below name articles, too."""
        head = self._layout.heading_row
        below = (
            "".join(cells) for row, cells in sheet.rows if row > head and sum(map(bool, cells)) == 1
        )
        named = bool(text) and bool(_article_in(text, self._told))
        if named and any(_article_in(one, self._told) for one in below):
            self._begin(text)

    def is_note(self, cells: Sequence[str]) -> bool:
        """Tell a heading or a note; one without a number of its own begins a family."""
        filled = [cell for cell in cells if cell]
        if len(filled) == 1 and PRICED.search(plain(filled[0])):
            self._seen.price_note = filled[0][:80]
            return True
        if len(filled) > 1:
            if filled[0].casefold() not in self._titles:
                return False
            return [plain(c) for c in filled] == [plain(t) for t in self._layout.titles if t]
        self._begin(filled[0])
        return True

    def _begin(self, text: str) -> None:
        """Begin what a text between the rows names: an article, an engine type, what has ended."""
        if plain(text) in self._skip or PAGE.search(plain(text)):
            return
        self._ended = text if _ends(text) else ""
        article = _article_in(text, self._told)
        if article:
            self.kind = article
        elif "family" in self._layout.places or self._mapping.family:
            self.kind = "" if len(text) > 60 else text  # rows without a word of their own ask it
        elif len(text) <= 60:
            named, self.bore = bore_beside(without_fractions(text))
            self.section, self._sure = family_named(named)
            if self._sure:
                self._headings = [one for one in self._headings if one in self._certain]
                self._certain.add(self.section)
            if self.section not in self._headings:
                self._headings.append(self.section)

    def known(self, cells: Sequence[str]) -> str:
        """Return the engine type that a column, the section or a person names, '' if none."""
        if "family" in self._layout.places and not self.in_text:
            return self._from_column(self._layout.cell(cells, "family")) or self._mapping.family
        if self._mapping.family:
            return self._mapping.family
        if self.section:
            return self._from_heading()
        if self._named and not self._alone and self._mapping.family_by != "headings":
            if self._mapping.family_by is None:
                self._seen.sheet_names[self._named] = 1
            return self._named
        return ""

    def look_above(self) -> None:
        """Raise RefusedError where what stands over a row says that it is no longer sold."""
        if self._ended:
            raise RefusedError("remark", f"it stands below '{self._ended[:60]}'")

    def _from_column(self, cell: str) -> str:
        if cell:
            if _is_article(cell):
                raise RefusedError("family", f"'{cell[:40]}' is no engine type")
            self._above = cell
        elif self._above and self._mapping.fill_down is not False:
            if self._mapping.fill_down:
                return self._above
            self._seen.fill += 1
            raise RefusedError("family", "no engine type stands here, but one in a row above")
        return cell

    def _from_heading(self) -> str:
        headings, self._headings = self._headings, []
        if headings:
            self._unclear = headings if len(headings) > 1 else ()
        if self._unclear:
            several = " and ".join(f"'{text}'" for text in self._unclear[-3:])
            raise RefusedError("family", f"two headings stand above it: {several}")
        if _SIZE.search(self.section):
            raise RefusedError("family", f"a size stands in the heading '{self.section[:40]}'")
        if not self._sure and self._mapping.family_by is None:
            self._seen.headings[self.section] = 1
        return self.section


@lru_cache(maxsize=1 << 10)
def _article_in(text: str, told: tuple[tuple[str, str], ...]) -> str:
    """Return the words of a heading or the name of a sheet that name an article, '' if none do."""
    answers = dict(told)
    if phrase(text) in answers:
        return text
    pieces = pieces_of(text)
    named = named_by(text, pieces, answers)
    return "" if named is None or not tells_article(named, answers) else named.text


def tells_article(named: Named, answers: Mapping[str, str]) -> bool:
    """Tell whether words name an article by themselves, or as a person said."""
    return phrase(named.text) in answers or any(map(names_article, named.text.split()))


def _without(name: str, article: str) -> str:
    """Return the name of a sheet without the words of its article; '' where nothing is left."""
    rest = " ".join(name.replace(article, " ").split()).strip(" -–_/,:")
    return rest if any(sign.isalpha() for sign in rest) else ""


@lru_cache(maxsize=1 << 14)
def _is_article(cell: str) -> bool:
    """Tell whether a cell names an article or its size instead of an engine type."""
    return kind_of(cell) is not None or bool(_SIZE.search(cell))


_SIZE: Final = re.compile(r"[øØ⌀]\s?\d|\d[.,]\d{2}\s?(?:mm\b|\")", re.IGNORECASE)


def _ends(text: str) -> bool:
    """Tell whether a text says that what stands below it is no longer sold, or used."""
    return bool(ENDED & set(plain(text).split()))
