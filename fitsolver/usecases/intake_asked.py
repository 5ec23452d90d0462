"""Open questions of a price or stock list, each with a proposal and the form of its answer."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Final

from fitsolver.base.lengths import exact_text
from fitsolver.doubts.rows_pistons import CLEARANCE_MOST, OVER_MOST
from fitsolver.reading.list_cells import BORES
from fitsolver.reading.list_figures import Mark, length
from fitsolver.reading.list_headings import ROLES, Role
from fitsolver.reading.list_kinds import ANSWERS, NO_PART, STANDARD, is_bare, kind_of
from fitsolver.reading.list_layout import ASKED, SURE, Layout
from fitsolver.reading.list_mapping import YES_OR_NO, ListMapping
from fitsolver.reading.list_own import PISTON_KINDS, clearance_of
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_wording import Wording
from fitsolver.reading.toml_text import toml_text
from fitsolver.records.intake import Article, Asked, Unclear

#: What a list nearly always has: a column that is not found is asked for, not taken as empty.
_NEEDED: Final[tuple[Role, ...]] = ("description", "price", "stock")
_WORDS: Final[Mapping[Role, str]] = {
    "number": "the part number",
    "description": "the description",
    "family": "the engine type",
    "grade": "the grade",
    "bore": "the bore",
    "price": "the price",
    "stock": "the pieces in stock",
    "oversize": "the oversize",
    "standard": "the standard bore",
    "thickness": "the thickness of gaskets",
    "lead_days": "the days until it comes",
    "currency": "the currency",
    "pieces": "how many pieces one article has",
    "kind": "what an article is",
    "more": "more of the description",
}
#: What a phrase may name, as the question says it.
_ANSWERS: Final = ", ".join(
    {STANDARD: f"{STANDARD} (of standard size)", NO_PART: f"{NO_PART} (no part of an engine)"}.get(
        one, one
    )
    for one in ANSWERS
)
#: Phrases that are asked for; the rows of others are named as not understood.
_PHRASES: Final = 8
#: Rows by which a column of bores is known.
_JUDGED: Final = 300
#: Longest text of a grade, and the share of like articles that a column has to tell apart.
_GRADE: Final = 12
_APART: Final = 0.8
#: Share of articles that are alike before a grade is asked for, and most grades of a list.
_ALIKE: Final = 0.2
_GRADES: Final = 20


def column_asked(role: Role, layout: Layout, proposed: str, sure: float, also: str = "") -> Asked:
    """Return the question for a column."""
    none = "" if role in ("number", "family") else f", or --column {role}= for none"
    titled = [at for at, title in enumerate(layout.titles) if title]
    heads = ", ".join(map(layout.title, titled or range(len(layout.shows))))
    return Asked(
        key=f"column {role}",
        question=f"Which column holds {_WORDS[role]}{also}? Headings: {heads}",
        option=f'--column {role}="{proposed or "HEADING"}"{none}',
        line=f"columns.{role} = {_quoted(proposed or 'HEADING')}",
        proposed=proposed,
        sure=sure,
    )


def columns_asked(layout: Layout, told: Collection[Role]) -> Iterator[Asked]:
    """Yield the columns that are not found, not sure, or have a rival."""
    for role in ROLES:
        if role in told or (role not in ASKED and role not in layout.places):
            continue
        at = layout.places.get(role)
        if at is None:
            if role in _NEEDED:
                named = _naming(layout) if role == "description" else ""
                yield column_asked(role, layout, named, 0.7 if named else 0)
            continue
        rivals = layout.rivals.get(role, ())
        if rivals or layout.sure[role] < SURE:
            others = " or ".join(layout.title(rival) for rival in rivals)
            also = f": {layout.title(at)} or {others}" if rivals else ""
            sure = min(layout.sure[role], 0.5) if rivals else layout.sure[role]
            yield column_asked(role, layout, layout.title(at), sure, also)


def _naming(layout: Layout) -> str:
    """Return the heading of the column that nothing is read from and that names articles."""
    for at, texts in enumerate(layout.shows):
        named = sum(kind_of(text) is not None for text in texts)
        if at not in layout.places.values() and texts and 2 * named > len(texts):
            return layout.title(at)
    return ""


def figures_asked(
    layout: Layout, mapping: ListMapping, articles: Sequence[Article], usual: Mapping[str, str]
) -> Iterator[Asked]:
    """Yield what no list says: the currency without its sign, the lead time, the clearance.

    `usual` is what the catalogue's own head says of currency and lead_days: it is proposed.
    """
    places = layout.places
    if "price" in places and not mapping.currency:
        yield Asked(
            key="currency",
            question="In which currency are the prices?",
            option='--currency "EUR"',
            line='currency = "EUR"',
            proposed=usual.get("currency", ""),
            sure=0.9 if "currency" in usual else 0,
        )
    if "price" in places and mapping.decimal is None:
        yield Asked(
            key="decimal",
            question="Is the decimal mark of the prices a point or a comma?",
            option="--decimal comma, or --decimal point",
            line='decimal = ","',
        )
    if "lead_days" not in places and mapping.lead_days is None and not mapping.stock_only:
        yield Asked(
            key="lead_days",
            question="In how many days does an article come that is not in stock? none: only what "
            "is in stock can be had",
            option="--lead-days 6, or --lead-days none",
            line="lead_days = 6",
            proposed=usual.get("lead_days", ""),
            sure=0.9 if "lead_days" in usual else 0,
        )
    yield from _clearance_asked(mapping, articles)


def _clearance_asked(mapping: ListMapping, articles: Sequence[Article]) -> Iterator[Asked]:
    families = dict.fromkeys(a.family for a in articles if a.kind in PISTON_KINDS)
    missing = [family for family in families if clearance_of(family, mapping) is None]
    if missing:
        more = f" and {len(missing) - 3} more" if len(missing) > 3 else ""
        yield Asked(
            key="clearance",
            question="Which clearance does the maker give between a piston and the bore it is made "
            f"for, lowest and highest ({', '.join(missing[:3])}{more})?",
            option='--clearance "0.045 0.055", or for one family --clearance "P62: 0.045 0.055"',
            line='clearance."" = ["0.045", "0.055"]',
        )
    wide = list(_too_wide(mapping, articles))
    if wide and not missing:
        more = f" and {len(wide) - 3} more" if len(wide) > 3 else ""
        yield Asked(
            key="clearance",
            question=f"A clearance as made is at most bore / {CLEARANCE_MOST}, and a coated skirt "
            f"at most bore / {OVER_MOST} over its bore: {', '.join(wide[:3])}{more}. Which does "
            "the maker give, lowest and highest?",
            option='--clearance "0.045 0.055", or for one family --clearance "P62: 0.045 0.055"',
            line='clearance."" = ["0.045", "0.055"]',
        )


def _too_wide(mapping: ListMapping, articles: Sequence[Article]) -> Iterator[str]:
    """Yield the families whose clearance no catalogue would take: docs/doubts.md."""
    least: dict[str, int] = {}
    for item in articles:
        if item.kind in PISTON_KINDS and item.nominal_bore is not None:
            known = least.get(item.family, item.nominal_bore)
            least[item.family] = min(known, item.nominal_bore)
    for family, bore in least.items():
        told = clearance_of(family, mapping)
        if told is not None and told[1] * CLEARANCE_MOST > bore:
            high, most = (exact_text(t) for t in (told[1], bore // CLEARANCE_MOST // 100 * 100))
            yield f"{family} {high} mm told, {most} at most"
        elif told is not None and -told[0] * OVER_MOST > bore:
            low, over = (exact_text(t) for t in (told[0], -(bore // OVER_MOST // 100 * 100)))
            yield f"{family} {low} mm told, {over} at least"


def kinds_asked(wording: Wording | None, articles: Sequence[Article]) -> Iterator[Asked]:
    """Yield the phrases of unknown meaning, most frequent first.

    Where other rows are understood they are taken in without an answer.
    """
    if wording is None:
        return
    open_ = [words for words, kind in wording.kinds.items() if not kind]
    yield from _bare_asked(wording)
    total = sum(wording.rows.values())
    for words in open_[:_PHRASES]:
        if articles and wording.rows[words] < 0.02 * total and wording.rows[words] < 3:
            continue
        yield Asked(
            key=f"kind {words}",
            question=f"What is '{words}'? {_ANSWERS}",
            option=f'--kind "{words}=piston kit"',
            line=f"kinds.{_quoted(words)} = {_quoted('piston kit')}",
            needed=not articles,
        )


def yes_no(asked: Asked) -> tuple[str, str] | None:
    """Return what `yes` and `no` answer to a question, None where it is none of yes or no.

    A `no` of '' leaves the question open: the rows that it is about stay named.
    """
    what, _, rest = asked.key.partition(" ")
    if what in YES_OR_NO:
        return "yes", "no"
    if what == "kind" and is_bare(rest):
        return "piston kit", "piston"
    if (what == "kind" and rest and asked.proposed == STANDARD) or what == "family_by":
        return asked.proposed, ""
    return None


def _bare_asked(wording: Wording) -> Iterator[Asked]:
    """Yield the question whether rings come with pistons, where no word says so.

    A list that sells kits, too, tells them apart by itself.
    """
    if "piston kit" in wording.kinds.values():
        return
    for words, kind in wording.kinds.items():
        if kind == "piston" and is_bare(words) and words not in wording.told:
            yield Asked(
                key=f"kind {words}",
                question=f"Do rings come with '{words}'? yes: piston kit; no: piston",
                option=f'--kind "{words}=piston kit"',
                line=f"kinds.{_quoted(words)} = {_quoted('piston kit')}",
            )


def family_asked(layout: Layout, named: Sequence[str], *, needed: bool) -> Iterator[Asked]:
    """Yield the question for the engine type; `named` are those that descriptions seem to name."""
    at = layout.places.get("description")
    if named and at is not None:
        shown = ", ".join(named[:3])
        yield column_asked(
            "family", layout, layout.title(at), 0.6, f" (the descriptions seem to say: {shown})"
        )
    elif needed:
        asked = column_asked("family", layout, "", 0)
        yield asked.model_copy(
            update={"option": f"{asked.option}; --family NAME where all rows are of one"}
        )


def bore_asked(
    sheets: Sequence[tuple[ListSheet, Layout]],
    mapping: ListMapping,
    unclear: Sequence[Unclear],
    told: Collection[Role],
    unsized: Collection[str],
) -> Iterator[Asked]:
    """Yield the question for the bore where neither a column nor a description has one.

    Where every column is read, and engine types have oversizes (`unsized`), no column is asked for:
    their standard bores are.
    """
    layout = sheets[0][1]
    sized = "bore" in layout.places or any("{bore}" in one for one in mapping.patterns)
    if sized or "bore" in told or not any(item.field == "bore" for item in unclear):
        return
    rows = [cells for sheet, _ in sheets for _, cells in sheet.rows[:_JUDGED]]
    read = set(layout.places.values())
    shares = {
        at: sum(_is_bore(cells[at], mapping) for cells in rows if at < len(cells)) / len(rows)
        for at in range(len(layout.titles))
        if at not in read
    }
    best = max(shares, key=lambda at: shares[at], default=None)
    if best is not None and shares[best] > 0.5:
        yield column_asked("bore", layout, layout.title(best), round(0.6 * shares[best], 2))
    elif shares or not unsized:
        yield column_asked("bore", layout, "", 0)


def standard_asked(
    families: Sequence[str], mapping: ListMapping, articles: Sequence[Article]
) -> Iterator[Asked]:
    """Yield the bore of oversize 0 of each engine type of which the list has oversizes, no bore."""
    said, line = ("4.000", "4.000 in") if mapping.units == "in" else ("54.00", "54.00 mm")
    for family in families:
        yield Asked(
            key=f"standard_bore {family}",
            question=f"Which bore has oversize 0 in {family}?",
            option=f'--standard-bore "{family}: {said}"',
            line=f"standard_bore.{_quoted(family)} = {_quoted(line)}",
            needed=not articles,
        )


def _is_bore(cell: str, mapping: ListMapping) -> bool:
    mark: Mark = "," if "," in cell else "."
    found = length(cell, mapping.units, mark) if any(s in cell for s in ".,") else None
    return found is not None and BORES[0] <= found <= BORES[1]


def grade_asked(
    sheets: Sequence[tuple[ListSheet, Layout]],
    articles: Sequence[Article],
    told: Collection[Role],
) -> Iterator[Asked]:
    """Yield a column that distinguishes articles equal in every other figure read."""
    layout = sheets[0][1]
    if "grade" in told or "grade" in layout.places:
        return
    groups = [group for group in alike(articles) if not group[0].grade]
    if sum(map(len, groups)) < _ALIKE * len(articles) or not groups:
        return
    cells = {(sheet.name, row): cells for sheet, _ in sheets for row, cells in sheet.rows}
    read = set(layout.places.values())
    for at in range(len(layout.titles)):
        if at in read:
            continue
        apart = sum(_apart(group, cells, at) for group in groups) / len(groups)
        texts = {row[at] for row in cells.values() if at < len(row)}
        if apart >= _APART and len(texts) <= _GRADES:
            shown = " and ".join(item.number for item in groups[0][:2])
            yield column_asked("grade", layout, layout.title(at), round(0.6 * apart, 2),
                               f" ({shown} are alike in all that was read)")  # fmt: skip
            return


def alike(articles: Sequence[Article]) -> list[list[Article]]:
    """Return the groups of two or more pistons or kits equal in every figure read."""
    found: dict[tuple[object, ...], list[Article]] = defaultdict(list)
    for item in articles:
        if item.kind in PISTON_KINDS:
            same = (item.kind, item.family, item.nominal_bore, item.oversize, item.grade)
            found[same].append(item)
    return [group for group in found.values() if len(group) > 1]


def _apart(
    group: Sequence[Article], cells: Mapping[tuple[str, int], tuple[str, ...]], at: int
) -> bool:
    found = [cells[item.sheet, item.row] for item in group]
    texts = [row[at] if at < len(row) else "" for row in found]
    return len(set(texts)) == len(texts) and all(0 < len(text) <= _GRADE for text in texts)


def _quoted(text: str) -> str:
    return toml_text({"x": text}).strip().removeprefix("x = ")
