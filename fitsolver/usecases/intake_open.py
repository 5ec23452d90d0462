"""Open questions from the rows and the unread columns of a list."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from statistics import median
from typing import Final

from fitsolver.reading.list_cells import OVERSIZE_UNITS, OversizeUnit, is_bore, is_oversize
from fitsolver.reading.list_entries import Open
from fitsolver.reading.list_figures import count
from fitsolver.reading.list_kinds import KINDS, kind_of
from fitsolver.reading.list_layout import Layout
from fitsolver.reading.list_mapping import ListMapping
from fitsolver.reading.list_reader import NOT_SAID, is_serious
from fitsolver.reading.list_rows import Taken
from fitsolver.reading.list_unfold import ACROSS, JOINTS, Unfolded
from fitsolver.reading.list_words import plain
from fitsolver.reading.toml_text import toml_text
from fitsolver.records.intake import Article, Asked
from fitsolver.records.words import counted
from fitsolver.usecases.intake_proposal import Proposal

#: Texts that show a column, words that are asked for at once, names that are shown.
_TEXTS: Final = 3
_WORDS: Final = 24
_NAMES: Final = 4
_UNITS: Final[dict[OversizeUnit, str]] = {
    "mm": "millimetres",
    "in": "inches",
    "thou": "thousandths of an inch",
    "hundredths": "hundredths of a millimetre",
    "um": "micrometres",
}


def quoted(text: object) -> str:
    """Return a value as it stands in a mapping file."""
    return toml_text({"x": text}).strip().removeprefix("x = ")


def skip_asked(layout: Layout, mapping: ListMapping, known: Sequence[str]) -> Iterator[Asked]:
    """Yield the unread columns: each may hold a size, a grade, a remark.

    `known` are headings of a layout that was agreed to.
    """
    skipped = set(map(plain, mapping.skip))
    before = set(map(plain, known))
    for at in layout.open:
        title = layout.title(at)
        if {plain(title)} & (skipped | before) or title in mapping.remarks:
            continue
        texts = layout.shows[at]
        shown = ", ".join(texts[:_TEXTS])
        telling = at in layout.sparse or _may_tell(texts)
        yield Asked(
            key=f"skip {title}",
            question=f"Nothing is read from the column '{title}' ({shown}). Does it say nothing "
            "that counts here (-), or what does it hold? number, description, bore, standard, "
            "oversize, grade, thickness, pieces (in one article), price, currency, stock, "
            "lead_days, family, kind (of article), more (of the description), remark",
            option=f'--skip "{title}", or --column grade="{title}"',
            line=f"skip = [{quoted(title)}]",
            proposed="" if telling else "-",
            sure=0 if telling else 0.5,
        )


def _may_tell(texts: Sequence[str]) -> bool:
    """Tell whether a column may identify articles: sizes, small counts, one or two characters."""
    short = [text for text in texts if len(text) <= 2 or is_bore(text) or is_oversize(text)]
    few = [text for text in texts if (count(text) or 99) <= 12]
    return 2 * max(len(short), len(few)) >= len(texts)


def rows_asked(
    open_: Open,
    layout: Layout,
    mapping: ListMapping,
    articles: Sequence[Article],
    *,
    again: bool,
) -> Iterator[Asked]:
    """Yield what the rows leave open: units, the standard bore, where the engine type stands."""
    yield from _sizes_asked(open_, articles, again=again)
    yield from _types_asked(open_, again=again)
    if open_.lead:
        yield _answer(
            "lead_unit", "Are the lead times days or weeks?", "days", ("days", "weeks"),
            needed=not again,
        )  # fmt: skip
    if open_.no_bores and mapping.units == "mm":
        shown = ", ".join(open_.no_bores)
        yield Asked(
            key="units",
            question=f"The bores ({shown}) are none in millimetres. In which unit are they? mm, "
            "in, um",
            option="--unit in",
            line='units = "in"',
            proposed="um" if all(text.isdecimal() for text in open_.no_bores) else "in",
            sure=0.7,
        )
    if mapping.price_for is None:
        yield from _price_for(open_, layout, articles, again=again)


def _sizes_asked(open_: Open, articles: Sequence[Article], *, again: bool) -> Iterator[Asked]:
    """Yield what the sizes leave open: their unit, what they are of, which is the standard one."""
    if open_.overs:
        units = open_.units or OVERSIZE_UNITS
        shown = ", ".join(f"{unit}: {_UNITS[unit]}" for unit in units)
        yield _answer(
            "oversize_unit", f"In which unit are the oversizes ({', '.join(open_.overs)})? {shown}",
            units[0], units,
        )  # fmt: skip
    if open_.skirts:
        yield _answer(
            "bores_are",
            f"Standard bores such as {', '.join(open_.skirts)} mm lie just below a half of a "
            "millimetre. Are they bores, or sizes of pistons?",
            "bores", ("bores", "pistons"), needed=not again,
        )  # fmt: skip
    for word in open_.standards[:_TEXTS]:
        yield Asked(
            key=f"kind {word}",
            question=f"'{word}' stands in place of an oversize. Does it mean none: standard?",
            option=f'--kind "{word}=standard"',
            line=f"kinds.{quoted(word)} = {quoted('standard')}",
            proposed="standard",
            sure=0.6,
            needed=not articles,
        )
    if open_.blank:
        yield _answer(
            "blank_is_standard",
            f"{open_.blank} rows have no oversize, where others of the same engine type have one. "
            "Are they of standard size?",
            "yes", ("yes", "no"), 0.8, needed=not articles,
        )  # fmt: skip
    if open_.smallest:
        yield _answer(
            "smallest_is_standard",
            "No row says which bore is the standard one. Is it the smallest bore of each engine "
            f"type ({_some(open_.smallest)})?",
            "yes", ("yes", "no"), 0.6,
        )  # fmt: skip


def _types_asked(open_: Open, *, again: bool) -> Iterator[Asked]:
    """Yield the question where rows without an engine type of their own have it."""
    if open_.fill:
        grouped = open_.fill >= open_.families  # one row of each type has it, others below
        yield _answer(
            "fill_down",
            f"{counted(open_.fill, 'row has', 'rows have')} no engine type, but one stands in a "
            "row above. Does it hold for the rows below it, too?",
            "yes" if grouped else "no", ("yes", "no"), 0.8 if grouped else 0.6,
        )  # fmt: skip
    if open_.headings or open_.sheet_names:
        by, names = (
            ("headings", open_.headings) if open_.headings else ("sheets", open_.sheet_names)
        )
        where = "stand as headings between the rows" if by == "headings" else "name the sheets"
        yield _answer(
            "family_by",
            f"These {where}, and are read as engine types: {_some(names)}. Are they? A heading "
            "that is none: --skip",
            by, (by,), 0.7, needed=not again,
        )  # fmt: skip


def _price_for(
    open_: Open, layout: Layout, articles: Sequence[Article], *, again: bool
) -> Iterator[Asked]:
    """Yield for how many pieces a price is, where its heading or a note says several."""
    at = layout.places.get("price")
    title = "" if at is None or at >= len(layout.titles) else layout.titles[at]
    words = set(plain(title).split())
    several = re.search(r"(?<!\d)(?!1\b)\d{1,4}(?!\d)|[(\[]p[)\]]", title) or words & _SETS
    said = title if several else open_.price_note
    if said:
        yield _answer(
            "price_for",
            f"'{said}': for how many pieces, or kits for one cylinder, is a price? 1, 2, 4; 100 "
            "where it is in hundredths of the currency",
            "4", ("1", "4"), needed=not again,
        )  # fmt: skip
        return
    prices = [item.price for item in articles if item.price]
    if prices and median(prices) >= _DEAR and not any(price % 100 for price in prices):
        shown = ", ".join(str(price // 100) for price in prices[:_TEXTS])
        yield _answer(
            "price_for",
            f"Prices are whole and high ({shown}). Are they in hundredths of the currency (100), "
            "or as they stand (1)?",
            "1", ("1", "100"), needed=not again,
        )  # fmt: skip


#: A usual price, in hundredths, from which it may be written in hundredths itself.
_DEAR: Final = 300_000


#: Words of a heading that say that a price is for several pieces.
_SETS: Final = frozenset(
    (
        "set", "sets", "satz", "jeu", "juego", "jogo", "paar", "pair", "paire", "coppia", "par",
        "stel", "dozen", "dutzend", "pence", "cent", "cents", "ct", "rp", "ore",
    )
)  # fmt: skip


def _answer(
    key: str, question: str, first: str, allowed: Sequence[str], sure: float = 0, *,
    needed: bool = True,
) -> Asked:  # fmt: skip
    """Return a question that one word answers; it is proposed where it is at all sure."""
    value: object = {"yes": True, "no": False}.get(first, first)
    return Asked(
        key=key,
        question=question,
        option=" or ".join(f"--answer {key}={one}" for one in allowed),
        line=f"{key} = {quoted(int(first) if first.isdecimal() else value)}",
        proposed=first if sure else "",
        sure=sure,
        needed=needed,
    )


def words_asked(open_: Open, articles: Sequence[Article]) -> Iterator[Asked]:
    """Yield the unknown words of descriptions, without the serious ones."""
    words = [word for word in open_.words if not is_serious(word)]
    if words:
        shown = words[:_WORDS]
        more = f" (and {len(words) - len(shown)} more)" if len(words) > len(shown) else ""
        rows = sum(open_.words[word] for word in words)
        yield Asked(
            key="words",
            question=f"These words of descriptions are not known: {', '.join(shown)}{more}, in "
            f"{rows} rows. Which of them change nothing of what an article is?",
            option=" ".join(f'--skip "{word}"' for word in shown),
            line=f"skip = {quoted(shown)}",
            proposed=", ".join(shown),
            sure=0.5,
            needed=not articles,
        )


def _some(names: Sequence[str]) -> str:
    more = f" and {len(names) - _NAMES} more" if len(names) > _NAMES else ""
    return ", ".join(names[:_NAMES]) + more


def across_asked(tables: Unfolded | None, mapping: ListMapping) -> Iterator[Asked]:
    """Yield what stands in the cells of a table with a column a size."""
    if tables is None or not tables.sizes:
        return
    if mapping.sizes_across is None:
        yield _answer(
            "sizes_across",
            f"The columns {', '.join(tables.sizes[:_NAMES])} are sizes. What stands in their "
            "cells?",
            tables.proposed or "price", ACROSS, 0.8,
        )  # fmt: skip
    if mapping.number_joint is None and tables.number:
        made = (f"{tables.number}{sign}{tables.sizes[-1]}: {word}" for word, sign in JOINTS.items())
        yield _answer(
            "number_joint",
            f"How is the number of an article made from that of its row and its size? "
            f"{', '.join(made)}",
            "dash", tuple(JOINTS),
        )  # fmt: skip


def kind_asked(found: Proposal, taken: Taken) -> Iterator[Asked]:
    """Yield the question for the kind of all articles, where no column or heading states it."""
    places, mapping = found.main.places, found.mapping
    if mapping.kind or "kind" in places or ("description" in places and taken.articles):
        return
    if found.wording is not None and "" in found.wording.kinds.values():
        return  # what their words name is asked
    unsaid = sum(item.reason == NOT_SAID for item in taken.unclear)
    if 2 * unsaid < taken.rows or not unsaid:
        return
    above = (cell for sheet, one in found.sheets for row, cells in sheet.rows for cell in cells
             if row < one.heading_row)  # fmt: skip
    proposed = next((kind for cell in above if (kind := kind_of(cell))), "")
    yield Asked(
        key="kind",
        question=f"No word says what the articles are. What are all of them? {', '.join(KINDS)}",
        option='--kind "piston kit"',
        line='kind = "piston kit"',
        proposed=proposed,
        sure=0.7 if proposed else 0,
    )
