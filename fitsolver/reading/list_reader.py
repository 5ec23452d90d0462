"""One sheet of a price or stock list, row by row; what its rows leave open is kept in `Seen`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Final, cast

from fitsolver.reading.list_beside import (
    said_once,
    without_across,
    without_fittings,
    without_others,
    without_widths,
)
from fitsolver.reading.list_cells import both_sizes, with_grade
from fitsolver.reading.list_engines import Engines
from fitsolver.reading.list_entries import NO_BORE, Entry, RefusedError
from fitsolver.reading.list_fractions import without_fractions
from fitsolver.reading.list_kind_words import place_of, places_words
from fitsolver.reading.list_kinds import KINDS, NO_PART, PLACED, Kind
from fitsolver.reading.list_layout import Layout
from fitsolver.reading.list_legend import nth_of
from fitsolver.reading.list_mapping import ListMapping
from fitsolver.reading.list_patterns import (
    Described,
    for_kind,
    read_description,
    with_family,
    words_of,
)
from fitsolver.reading.list_pieces import FAMILY_SIGN
from fitsolver.reading.list_seen import PRICED, TOP, Seen
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_values import Values
from fitsolver.reading.list_words import GRADE_WORDS, LINKS, TELLING, plain
from fitsolver.records.intake import Unclear

#: Why a row is named of which no word says what it is.
NOT_SAID: Final = "it does not say what the article is"
NO_TYPE: Final = "no engine type is named"
_MM: Final = 100_000
#: Most words of the name of an engine type that is looked for in descriptions.
_LONGEST: Final = 6


class Reader:
    """Reads the rows of one sheet."""

    def __init__(
        self, layout: Layout, mapping: ListMapping, sheet: ListSheet, seen: Seen, *, alone: bool
    ) -> None:
        self._layout, self._mapping, self._seen = layout, mapping, seen
        self._sheet = sheet.name
        self._told = tuple(mapping.articles.items())
        self._skip = frozenset(map(plain, mapping.skip))
        self._patterns = {kind: for_kind(mapping.patterns, kind) for kind in KINDS}
        self._values = Values(layout, mapping, sheet, seen)
        self._engines = Engines(layout, mapping, sheet.name, seen, alone=alone)
        above = ""
        for number, cells in sheet.rows[:TOP]:
            if number >= layout.heading_row:
                break
            filled = [cell for cell in cells if cell]
            above = filled[0] if len(filled) == 1 else ""
            texts = [cell for cell in cells if PRICED.search(plain(cell))]
            seen.price_note = texts[0][:80] if texts else seen.price_note
        self._engines.begin_above(above, sheet)

    @property
    def names_in_text(self) -> bool:
        """Tell whether descriptions name the engine types of this sheet."""
        return self._engines.in_text

    def is_note(self, cells: Sequence[str]) -> bool:
        """Tell a heading or a note; one without a number of its own begins a family."""
        return self._engines.is_note(cells)

    def unclear(self, row: int, cells: Sequence[str], refused: RefusedError) -> Unclear:
        """Return a row as one that is not understood."""
        return Unclear(
            sheet=self._sheet,
            row=row,
            number=self._values.cell(cells, "number"),
            description=self._values.cell(cells, "description"),
            field=refused.field,
            reason=refused.reason,
        )

    def line(self, cells: Sequence[str]) -> str:
        """Return the description of a row, its engine type as a sign."""
        try:
            named = self._engines.known(cells)
        except RefusedError:
            named = ""
        return self._line(_tidy(self._text(cells))[0], named)

    def _line(self, tidy: str, family: str) -> str:
        """Return a description as patterns read it: its engine type as a sign, no ring widths."""
        line = with_family(tidy, family)
        kind = words_of(line, self._told).kind
        bored = {"bore", "standard"} & set(self._layout.places)
        if kind == "rings":
            return without_widths(without_across(line) if bored else line)
        return without_fittings(line) if bored and kind in ("piston", "piston kit") else line

    def _text(self, cells: Sequence[str]) -> str:
        """Return the description, after what a column or a heading says the article is."""
        text = self._values.cell(cells, "description")
        text = f"{text} {self._values.cell(cells, 'more')}".strip()
        if words_of(text, self._told).kind is not None:
            return text
        return f"{self._values.cell(cells, 'kind') or self._engines.kind} {text}".strip()

    def in_text(self, cells: Sequence[str], families: Mapping[str, str]) -> str:
        """Return the one engine type, of those that other rows name, in a description; '' if none.

        `families` are by their plain words.
        """
        words = plain(self._values.cell(cells, "description")).split()
        found: list[tuple[int, int, str]] = []
        for first in range(len(words)):
            for last in range(min(len(words), first + _LONGEST), first, -1):
                family = families.get(" ".join(words[first:last]))
                within = any(a <= first and last <= b for a, b, _ in found)
                if family is not None and not within:
                    found.append((first, last, family))
        named = {family for _, _, family in found}
        return named.pop() if len(named) == 1 else ""

    def entry(self, row: int, cells: Sequence[str], family: str = "") -> Entry:
        """Return a row as read. Raises RefusedError with the field and the reason.

        `family` is the engine type where only other rows tell that its description names it.
        """
        values, engines = self._values, self._engines
        number = values.number(cells)
        values.look_at_cells(row, cells)
        engines.look_above()
        named = family or engines.known(cells)
        text = self._text(cells)
        tidy, nth, others = _tidy(text)
        line = self._line(tidy, named)
        kind, place = self._kind(line)
        values.look_for_remarks(cells, kind)
        said = self._described(line, kind)
        family = named or ("" if said.family == FAMILY_SIGN else said.family)
        if not family:
            raise RefusedError("family", NO_TYPE)
        if said.family not in ("", FAMILY_SIGN) and plain(said.family) != plain(family):
            raise RefusedError("family", f"the list says {family}, the description {said.family}")
        self._look_at_words(line, kind, said, others)
        sized, letter = with_grade(without_fractions(values.cell(cells, "bore")))
        bore, over = both_sizes(sized)
        if over and kind == "rings" and set("x×X") & set(values.cell(cells, "bore")):
            raise RefusedError("bore", f"'{over}' may be the width of the rings")
        bore = bore or sized
        if not (bore or said.bore) and family == engines.section:
            bore = engines.bore
        beside, counted, _ = without_others(values.oversize(cells))
        if nth_of(beside):
            beside, counted = "", nth_of(beside)
        overs: tuple[str, ...] = (beside, over, said.oversize)
        standard = values.bore(without_fractions(values.cell(cells, "standard")), "", kind)
        size = values.bore(bore, said.bore, kind)
        overs = tuple(filter(None, overs)) if kind not in NO_BORE else ()
        whole = standard is not None and said.bore[-2:].isdecimal() and standard - standard % _MM
        if overs and not bore and size in (standard, whole):
            size = None  # the description names the standard bore, maybe without its decimals
        return Entry(
            sheet=self._sheet,
            row=row,
            number=number,
            description=values.cell(cells, "description"),
            family=family,
            kind=kind,
            bore=size,
            standard=standard,
            overs=overs,
            grade=values.grade(cells, said, letter),
            place=place or _place(text, kind),
            thickness=values.thickness(cells, said, kind),
            price=values.price(cells, kind),
            stock=values.stock(cells),
            lead_days=values.lead(cells),
            nth=nth or counted,
            bare_grade=_is_bare(said.grade, line, values.cell(cells, "grade")),
        )

    def _look_at_words(self, line: str, kind: Kind, said: Described, others: Sequence[str]) -> None:
        """Raise RefusedError where a word of a description could say something that is not read."""
        words = (*words_of(line, self._told).words, *others)
        if not words:
            return
        read = set(plain(f"{said.family} {said.grade} {said.oversize}").split())
        read |= {f"{plain(said.oversize)}mm"}
        if kind == "gasket":
            read |= places_words()
        unknown = [
            word
            for word in words
            if word not in self._skip and not set(word.split()) <= read | LINKS
        ]
        if unknown:
            self._seen.words.update(unknown)
            raise RefusedError("description", f"'{unknown[0]}' is not known: it may change it")

    def _kind(self, line: str) -> tuple[Kind, str]:
        """Return what the article is, and where a gasket goes as a person said it."""
        if not line and "description" in self._layout.places and self._mapping.kind is None:
            raise RefusedError("description", "no description stands here")
        found = words_of(line, self._told).kind
        if found == NO_PART:
            raise RefusedError("description", "it is no part of a catalogue, as you said")
        if found in PLACED:
            return "gasket", PLACED[found]
        kind = found or self._mapping.kind
        if kind is None:
            raise RefusedError("description", NOT_SAID)
        return cast(Kind, kind), ""

    def _described(self, line: str, kind: Kind) -> Described:
        if "description" not in self._layout.places or kind in NO_BORE[1:]:
            return Described()
        said = read_description(line, self._patterns[kind])
        if said is None:
            raise RefusedError("description", "it keeps to none of the patterns")
        return said


@lru_cache(maxsize=1 << 14)
def _tidy(text: str) -> tuple[str, int, tuple[str, ...]]:
    """Return a description as it is read: fractions as decimals, figures that are no sizes out."""
    return without_others(said_once(without_fractions(text)))


def _is_bare(grade: str, line: str, cell: str) -> bool:
    """Tell whether a grade is of digits that no word calls so: it may be a number of pieces."""
    if cell or not grade.isdecimal():
        return False
    words = plain(line).split()
    return not any(a in GRADE_WORDS and b == grade for a, b in pairwise(words))


def _place(text: str, kind: Kind) -> str:
    return place_of(text) if kind == "gasket" else ""


def is_serious(word: str) -> bool:
    """Tell whether a word says that a row is for a person: a set of several, no longer sold."""
    return bool(set(word.split()) & TELLING)
